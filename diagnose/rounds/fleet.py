"""A fleet on its round, as values: each vehicle's verdict, what is left of it, and what the fleet needs.

Only what is known already is told here: tasks that are not done yet, walks that are not over, dates that are
over. What the open tasks may still bring to light is left to the simulation (`fleet_chance`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from diagnose.rounds.due import DueDate
from diagnose.rounds.fleet_needs import Errand, OpenWalk, Part, comes
from diagnose.terms.rounds import RoundId, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class FleetVehicle:
    """One vehicle of the fleet on this round."""

    name: str
    file: str
    """Its card's."""
    verdict: Verdict
    reasons: tuple[str, ...] = ()
    must_not_use: tuple[str, ...] = ()
    begun: date | None = None
    """When its round was begun; None where it was not, or so long ago that it counts no more."""
    stopped: bool = False
    """Whether danger stopped it and nobody qualified has cleared it."""
    tasks: int = 0
    """How many tasks the round has for it, as far as is known."""
    left: tuple[str, ...] = ()
    """The tasks that are not done, in the order that takes the fewest minutes."""
    round_minutes: float = 0.0
    """What those take: hands-on, ways and idle time, one person alone."""
    walks: tuple[OpenWalk, ...] = ()
    """Walks that are not over, or not begun although something is wrong."""
    errands: tuple[Errand, ...] = ()
    """What somebody else has to do."""
    parts: tuple[Part, ...] = ()
    overdue: tuple[DueDate, ...] = ()
    """Dates of the card that are over, the longest first; never those of a driver's papers."""
    facts: Mapping[str, str] = field(default_factory=dict)
    """What is known of it: fact -> answer."""

    @property
    def walk_minutes(self) -> float:
        """The planner's expected minutes of the open walks; of one whose tree is not at hand, nought."""
        return sum(each.ahead.minutes for each in self.walks if each.ahead is not None)

    @property
    def minutes(self) -> float:
        """All minutes left."""
        return self.round_minutes + self.walk_minutes

    @property
    def out(self) -> bool:
        """Whether nothing is left and it waits for nobody."""
        return not (self.left or self.walks or self.errands or self.stopped)


@dataclass(frozen=True, slots=True)
class Visit:
    """Everything that one person called can do in one visit."""

    referral: str
    vehicles: tuple[tuple[str, tuple[Errand, ...]], ...]
    """(vehicle, its errands)."""

    @property
    def minutes(self) -> float:
        """Minutes there, judgement: see `fleet_needs.MINUTES_THERE`."""
        return sum(errand.minutes for _, errands in self.vehicles for errand in errands)


@dataclass(frozen=True, slots=True)
class ToBuy:
    """One thing to buy, over the whole fleet."""

    says: str
    sure: tuple[str, ...]
    """Vehicles that need it: its date is over."""
    perhaps: tuple[str, ...]
    """Vehicles that may need it: something is wrong there which it can belong to."""


@dataclass(frozen=True, slots=True)
class Fleet:
    """Every vehicle that has a card, in the order of the least left, and what they need together."""

    round: RoundId
    says: str
    today: date
    vehicles: tuple[FleetVehicle, ...]
    visits: tuple[Visit, ...]
    to_buy: tuple[ToBuy, ...]
    without_card: tuple[str, ...] = ()
    """Vehicles that have an open round of this kind in the store and no card in the folder."""

    @property
    def minutes(self) -> float:
        """All minutes left."""
        return sum(each.minutes for each in self.vehicles)

    @property
    def overdue(self) -> Mapping[str, tuple[tuple[str, DueDate], ...]]:
        """What is over -> (vehicle, date), the longest first; of most vehicles first."""
        found: dict[str, list[tuple[str, DueDate]]] = defaultdict(list)
        for each in self.vehicles:
            for due in each.overdue:
                found[due.of].append((each.name, due))
        for pairs in found.values():
            pairs.sort(key=lambda pair: (pair[1].day or date.max, natural(pair[0])))
        return {of: tuple(pairs) for of, pairs in sorted(found.items(), key=lambda each: -len(each[1]))}

    def count(self, verdict: Verdict) -> int:
        """How many vehicles have a verdict."""
        return sum(each.verdict == verdict for each in self.vehicles)


def fleet_of(
    round: RoundId,
    says: str,
    today: date,
    vehicles: Iterable[FleetVehicle],
    without_card: Sequence[str] = (),
) -> Fleet:
    """The vehicles put together; those with the least left come first, of equal ones by name."""
    ordered = tuple(sorted(vehicles, key=lambda each: (each.minutes, len(each.errands), natural(each.name))))
    by_name = sorted(ordered, key=lambda each: natural(each.name))
    return Fleet(round, says, today, ordered, _visits(by_name), _to_buy(by_name), tuple(without_card))


def natural(name: str) -> tuple[tuple[bool, int, str], ...]:
    """A key by which *van 9* comes before *van 10*.

    >>> sorted(["Van 10", "van 9", "the blue one"], key=natural)
    ['the blue one', 'van 9', 'Van 10']
    """
    parts: list[str] = []
    for letter in name.casefold():
        if parts and letter.isdecimal() == parts[-1][-1].isdecimal():
            parts[-1] += letter
        else:
            parts.append(letter)
    return tuple((part[0].isdecimal(), int(part) if part[0].isdecimal() else 0, part) for part in parts)


def _visits(vehicles: Sequence[FleetVehicle]) -> tuple[Visit, ...]:
    """One visit for each whom something waits for; whoever has the most vehicles comes first."""
    called: dict[str, dict[str, list[Errand]]] = defaultdict(lambda: defaultdict(list))
    for each in vehicles:
        for errand in each.errands:
            called[comes(errand.referral)][each.name].append(errand)
    visits = [
        Visit(referral, tuple((name, tuple(errands)) for name, errands in whose.items()))
        for referral, whose in called.items()
    ]
    return tuple(sorted(visits, key=lambda visit: (-len(visit.vehicles), visit.referral)))


def _to_buy(vehicles: Sequence[FleetVehicle]) -> tuple[ToBuy, ...]:
    wanted: dict[str, tuple[list[str], list[str]]] = defaultdict(lambda: ([], []))
    for each in vehicles:
        for part in each.parts:
            names = wanted[part.says][0 if part.sure else 1]
            names.append(each.name)
    listed = [ToBuy(says, tuple(sure), tuple(perhaps)) for says, (sure, perhaps) in wanted.items()]
    return tuple(sorted(listed, key=lambda each: (-len(each.sure), -len(each.perhaps), each.says)))
