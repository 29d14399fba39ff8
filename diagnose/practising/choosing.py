"""What a learner may choose among: every step of the tree for this person, the ends, and some forbidden acts.

The numbers stay the same throughout an exercise, so that a class can speak of "number 14". Where the
forbidden acts stand among the others follows from the seed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from diagnose.practising.chance import Chance
from diagnose.practising.traps import MOST_TRAPS, TRAPS, Trap
from diagnose.reasoning.hypotheses import Hypothesis
from diagnose.reasoning.model import HAND_OVER_MINUTES, Model
from diagnose.terms import Hands, Step, Tree
from diagnose.walking.stops import tree_hazards

Kind = Literal["check", "remedy", "referral", "handover", "stop", "trap"]
Group = Literal["dangers", "look", "controls", "tools", "put right", "hand over"]
STOP = "stop"


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that can be chosen."""

    number: int
    """From 1 on, in the order in which they are shown."""
    kind: Kind
    id: str
    """The id of the check, cut set, referral, tree or forbidden act; `stop` for stopping."""
    group: Group
    says: str
    minutes: float = 0.0
    """Hands-on, without the way there."""
    wait: float = 0.0
    price: float = 0.0
    at: tuple[str, ...] = ()
    """The places where it is done, by their ids."""
    hands: Hands | None = None
    trap: Trap | None = None

    @property
    def step(self) -> Step:
        """The step that it is; raises ValueError for stopping and for a forbidden act."""
        if (
            self.kind == "check"
            or self.kind == "remedy"
            or self.kind == "referral"
            or self.kind == "handover"
        ):
            return Step(self.kind, self.id)
        raise ValueError(f'"{self.id}" is no step of a tree')


def choices(model: Model, seed: int, titles: Mapping[str, str] | None = None) -> tuple[Choice, ...]:
    """Everything that can be chosen, numbered; `titles` are the symptoms of trees that it may go on in."""
    listed = [*_checks(model), *_remedies(model)]
    chance = Chance(seed, "traps")
    for trap in traps_of(model.tree, chance):
        places = _among(listed, trap)
        at = places[0] + chance.below(len(places) + 1)
        group = listed[places[0]].group
        listed.insert(at, Choice(0, "trap", trap.id, group, trap.says, hands=trap.among, trap=trap))
    listed += _endings(model, titles or {})
    return tuple(replace(each, number=number) for number, each in enumerate(listed, 1))


def traps_of(tree: Tree, chance: Chance) -> list[Trap]:
    """The forbidden acts of one exercise: those that the hazards of its tree suggest, a few of them."""
    there = tree_hazards(tree)
    fitting = [trap for trap in TRAPS if not trap.hazards.isdisjoint(there)]
    drawn = chance.shuffled(len(fitting))[:MOST_TRAPS]
    return [fitting[at] for at in sorted(drawn)]


def _among(listed: list[Choice], trap: Trap) -> list[int]:
    """The places of the steps that a forbidden act stands among: those of its kind, else the nearest kind."""
    for group in (trap.among, "controls", "look", "put right", "dangers"):
        places = [at for at, each in enumerate(listed) if each.group == group]
        if places:
            return places
    raise AssertionError("a tree has a check, else it has no route")


def _checks(model: Model) -> list[Choice]:
    groups: dict[Group, list[Choice]] = {"dangers": [], "look": [], "controls": [], "tools": []}
    for table in model.checks:
        check = table.check
        group: Group = "dangers" if table.first else check.hands
        effort = (check.minutes, check.wait, check.price, (check.at,) if check.at is not None else ())
        groups[group].append(Choice(0, "check", check.id, group, check.ask, *effort, check.hands))
    return [each for group in groups.values() for each in group]


def _remedies(model: Model) -> list[Choice]:
    def remedy(each: Hypothesis) -> Choice:
        effort = (each.minutes + model.tree.cured_when.minutes, each.wait, each.price, each.places)
        return Choice(0, "remedy", each.id, "put right", each.says, *effort, each.hands)

    return [remedy(model.hypotheses[table.hypothesis]) for table in model.remedies]


def _endings(model: Model, titles: Mapping[str, str]) -> list[Choice]:
    tree = model.tree
    found = []
    for ending in model.endings[: model.referrals]:
        to = tree.referrals[ending.step.of]
        found.append(Choice(0, "referral", to.id, "hand over", to.to, to.minutes, to.wait, to.price))
    last = model.referrals + model.hand_overs
    for id in dict.fromkeys(ending.step.of for ending in model.endings[model.referrals : last]):
        says = f"Go on with another tree: {titles.get(id, id)}"
        found.append(Choice(0, "handover", id, "hand over", says, HAND_OVER_MINUTES))
    return [*found, Choice(0, "stop", STOP, "hand over", "Stop here: it is not safe to go on")]
