"""Exercises as the command line asks for them: the trees at hand, and how the hidden fault is drawn.

The rates at which waiting and money count are the program's own, whatever this user has set: a class has to
meet the same vehicle and the same minutes on every machine.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from diagnose.cli.counted import tally_from
from diagnose.knowledge.collection import Library
from diagnose.terms import DiagnoseError, Role, Settings, WrongUsage

if TYPE_CHECKING:
    from diagnose.practising.exercise import Exercise
    from diagnose.practising.hiding import Level, Record
    from diagnose.practising.practice import Practice
    from diagnose.reasoning.model import Model
    from diagnose.reasoning.route import Route

By = Literal["share", "difficulty", "misses"]


@dataclass(slots=True)
class AtHand:
    """The trees, and what is made of them once."""

    trees: Library
    store: str | None = None
    named: str | None = None
    """The tree that was named on the command line, by id or path: codes are of that one first."""
    _made: dict[tuple[str, Role], tuple[Model, Route, Mapping[str, str]]] = field(default_factory=dict)

    def of(self, word: str, role: Role) -> tuple[Model, Route, Mapping[str, str]]:
        """The model of a tree, its route, and the symptoms of the trees that it may hand over to."""
        from diagnose.reasoning.model import build_model
        from diagnose.walking.places import cache_folder
        from diagnose.walking.shelf import route_for

        if (word, role) not in self._made:
            tree = self.trees.tree(word)
            settings = Settings()
            tally = tally_from(tree, self.store, settings.half_life)
            model = build_model(tree, role, settings, tally, other_trees=frozenset(self.trees.ids()))
            last = model.referrals + model.hand_overs
            titles = {
                each.step.of: self.trees.tree(each.step.of).symptom
                for each in model.endings[model.referrals : last]
            }
            self._made[word, role] = model, route_for(model, cache_folder()), titles
        return self._made[word, role]

    def by_tag(self, tag: int, role: Role) -> tuple[Model, Route, Mapping[str, str]]:
        """The same for the symptom that a code names; raises DiagnoseError where no tree here is of it."""
        from diagnose.walking.case_codes import symptom_tag

        if self.named is not None and symptom_tag(self.trees.tree(self.named).id) == tag:
            return self.of(self.named, role)
        fitting = [id for id in self.trees.ids() if symptom_tag(id) == tag]
        if not fitting:
            raise DiagnoseError("this code is of a symptom for which there is no tree here (see --trees)")
        return self.of(fitting[0], role)

    def by_code(self, code: str) -> Practice:
        """The exercise of a code as it begins, be it of an exercise or of a result."""
        from diagnose.practising.result_code import practice_of

        return practice_of(code, self.by_tag)


@dataclass(frozen=True, slots=True)
class Wanted:
    """How the hidden fault is drawn."""

    by: By = "share"
    level: Level = "hard"
    fault: str | None = None
    earlier: Path | None = None
    learner: str = ""


def drawn(at_hand: AtHand, word: str, role: Role, seed: int, wanted: Wanted) -> Practice:
    """A new exercise. Raises WrongUsage for a fault that the tree does not have."""
    from diagnose.practising.exercise import Exercise
    from diagnose.practising.hiding import fault_by_difficulty, fault_by_misses, fault_by_share
    from diagnose.practising.practice import Practice

    model, route, titles = at_hand.of(word, role)
    if wanted.fault is not None:
        fault = _named(model, wanted.fault)
    elif wanted.by == "difficulty":
        fault = fault_by_difficulty(model, route, seed, wanted.level)
    elif wanted.by == "misses":
        fault = fault_by_misses(model, seed, _earlier(at_hand, model, wanted))
    else:
        fault = fault_by_share(model, seed)
    exercise: Exercise = Exercise(model, seed, fault)
    return Practice(exercise, route, titles)


def _named(model: Model, word: str) -> int:
    if word in model.index:
        return model.index[word]
    meant = next(iter(get_close_matches(word, model.ids, n=1)), "")
    hint = f' (did you mean "{meant}"?)' if meant else ""
    raise WrongUsage(f'"{word}" is no cause of "{model.tree.id}"{hint}')


def _earlier(at_hand: AtHand, model: Model, wanted: Wanted) -> Mapping[str, Record]:
    """What the learner met and missed of this symptom, from a class table or from lines with codes."""
    from diagnose.cli.practise_class import results
    from diagnose.practising.class_table import Earlier, NoTable, earlier_in, is_a_table, records

    assert wanted.earlier is not None, "told before"
    text = read_text(wanted.earlier)
    if is_a_table(text):
        try:
            told = earlier_in(text)
        except NoTable as error:
            raise DiagnoseError(f"cannot read {wanted.earlier}: {error}") from None
    else:
        found, faults = results(at_hand, [str(wanted.earlier)])
        if faults:
            raise DiagnoseError("\n".join(faults))
        told = [
            Earlier(learner, model.tree.id, score.practice.vehicle.fault_id, score.found)
            for learner, score in found
            if score.practice.exercise.model is model
        ]
    return records(told, model.tree.id, wanted.learner)


def read_text(path: Path) -> str:
    """A file's text; raises DiagnoseError where it cannot be read."""
    try:
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise DiagnoseError(f"cannot read {path}: {error.strerror}") from None
    except UnicodeDecodeError:
        raise DiagnoseError(f"cannot read {path}: it is no text in UTF-8") from None
