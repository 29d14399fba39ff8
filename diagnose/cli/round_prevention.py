"""What the trees' preventions and this store's cases say for a round on the command line.

A lay-up gets tasks of its own from the preventions that none of its tasks does; on a lay-up and a wake-up the
cases of this store speak for the tasks that stand out.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from diagnose.terminal.sentences import inside
from diagnose.terms import DiagnoseError, Tree, WrongUsage
from diagnose.terms.rounds import Round

if TYPE_CHECKING:
    from diagnose.cases.rounds_records import RoundRecord
    from diagnose.cli.round_at_hand import AtHand
    from diagnose.rounds.preventions import Valued
    from diagnose.rounds.preventions_spoken import Cases

SPOKEN_FOR = ("lay-up", "wake-up")
"""Rounds for whose tasks the cases after a lay-up may speak."""
BOOKED = 2
"""Things that are named beside a referral, no more."""
WHEN_BOOKING = "p3-list"
"""The task by which it is booked what others have to do."""


@dataclass(frozen=True, slots=True)
class OfTheTrees:
    """What was looked up once for this vehicle."""

    trees: Mapping[str, Tree]
    ranking: tuple[Valued, ...]
    cases: Cases
    shipped: frozenset[str]


def with_the_trees(
    there: AtHand, round: Round, marked: Collection[str] = (), *, every: bool = False, ended: bool = False
) -> Round:
    """A lay-up with its tasks from the trees; any other round as it is.

    One that is `ended` has those alone that were marked: it is not begun anew by what the cases say since.
    """
    if round.id != "lay-up":
        return round
    from diagnose.rounds.preventions import chosen, with_preventions

    known = _known(there)
    wanted = {each.prevention.id for each in known.ranking} if every else marked
    tasks = chosen(known.ranking, wanted)
    if ended:
        tasks = tuple(each for each in tasks if each.prevention.id in marked)
    return with_preventions(round, tasks, known.shipped)


def marked_in(record: RoundRecord | None) -> set[str]:
    """The tasks that a kept round has marks of."""
    return {line.subject for line in record.lines if line.noted == "mark"} if record is not None else set()


def reasons_for(there: AtHand, round: Round) -> dict[str, list[str]]:
    """Task -> what this store's own cases say for it; beside the list that is written, what to book."""
    if round.id not in SPOKEN_FOR:
        return {}
    from diagnose.rounds.preventions_spoken import cases_after_a_lay_up, spoken_for

    known = there.prevention
    cases = known.cases if known else cases_after_a_lay_up(there.desk.store, lambda: _trees(there))
    found = spoken_for(round, cases)
    trees = known.trees if known else _trees(there) if found else {}
    reasons = {id: [spoken.says(trees)] for id, spoken in found.items()}
    if round.id == "lay-up" and WHEN_BOOKING in round.tasks:
        reasons.setdefault(WHEN_BOOKING, []).extend(_booked(there))
    return reasons


def of_the_trees(there: AtHand, round: Round) -> list[str]:
    """What is said of it before the first task."""
    if round.id != "lay-up":
        return []
    more = sum(task.gathered for task in round.tasks.values())
    told = {0: "", 1: "One of its tasks is what a tree says prevents a fault. "}
    first = told.get(more, f"{more} of its tasks are what the trees say prevents faults. ")
    return [f"{first}What to have done besides, and all the rest: diagnose round lay-up --preventions"]


def _booked(there: AtHand) -> list[str]:
    """A line for each referral: what to have done there, that which saves most."""
    return [
        f"To book with {_by(there, refer)}: {' '.join(each.prevention.text for each in some[:BOOKED])}"
        for refer, some in _bookings(there).items()
    ]


def as_values(there: AtHand, round: Round) -> dict[str, Any]:
    """The part of the round's JSON document; nothing but for a lay-up."""
    if round.id != "lay-up":
        return {}
    rest = [each for each in _known(there).ranking if each.prevention.id not in round.tasks]
    return {
        "preventions": {
            "to_book": {refer: [_values(each) for each in some] for refer, some in _bookings(there).items()},
            "not_asked": [_values(each) for each in rest if each.prevention.kind != "book"],
        }
    }


def show_preventions(there: AtHand, as_json: bool) -> None:
    """All that the trees say prevents a fault and no task of the lay-up does; raises WrongUsage elsewhere."""
    from diagnose.terminal.layout import Page

    round = there.round()
    if round.id != "lay-up":
        raise WrongUsage(f"--preventions is for the lay-up, not for a {round.id}")
    whole = there.whole_round()
    if as_json:
        tasks = [_values(each) for each in _known(there).ranking if each.prevention.id in whole.tasks]
        click.echo(json.dumps({"tasks": tasks, **as_values(there, whole)}, ensure_ascii=False, indent=2))
        return
    page = Page(shutil.get_terminal_size().columns)
    page.say("What the trees say prevents faults, beside the tasks of the lay-up", "strong")
    page.say(
        "First what saves most, in minutes expected a year: how often the trees and this store's cases have "
        "it, times what it costs on a journey, half of it kept away (judgement).",
        "quiet",
    )
    ranking = _known(there).ranking
    _section(page, "Tasks of this lay-up", [each for each in ranking if each.prevention.id in whole.tasks])
    for refer, some in _bookings(there).items():
        _section(page, f"To book with {_by(there, refer)}", some)
    rest = [
        each for each in ranking if each.prevention.id not in whole.tasks and each.prevention.kind != "book"
    ]
    _section(page, "The rest: for another time, for somebody qualified, or worth less", rest)
    click.echo(page.text())


def _section(page: Any, title: str, some: Iterable[Valued]) -> None:
    rows = [(f"{each.saved:.1f}", each.prevention.text) for each in some]
    page.gap().say(title, "strong")
    if rows:
        page.listing(rows)
    else:
        page.say("Nothing.", indent=2)


def _values(each: Valued) -> dict[str, Any]:
    of = each.prevention
    return {
        "prevention": of.id,
        "says": of.text,
        "minutes_saved": each.saved,
        "against": [{"tree": tree, "cause": cause} for tree, cause in of.against],
    }


def _bookings(there: AtHand) -> dict[str, tuple[Valued, ...]]:
    from diagnose.rounds.preventions import to_book

    return to_book(_known(there).ranking)


def _by(there: AtHand, refer: str) -> str:
    referral = there.desk.trees.common().referrals.get(refer)
    return inside(referral.to) if referral is not None else refer


def _known(there: AtHand) -> OfTheTrees:
    if there.prevention is None:
        there.prevention = _looked_up(there)
    return there.prevention


def _looked_up(there: AtHand) -> OfTheTrees:
    from diagnose.cli.round_short import vehicle_years
    from diagnose.reasoning.model import build_model
    from diagnose.rounds.preventions import preventions, valued
    from diagnose.rounds.preventions_spoken import cases_after_a_lay_up
    from diagnose.rounds.stakes import stake_of

    desk, trees, now = there.desk, _trees(there), there.desk.clock()
    found = preventions(trees, there.round("lay-up").tasks.values(), desk.trees.common().places)
    facts = {fact.check: fact.answer for fact in there.vehicle(stopped=False).facts if fact.answer}
    tallies = {id: desk.store.tally(id, now, desk.settings.half_life) for id in trees}
    # Without routes, whatever the cache has: what becomes a task must not hang on that.
    stakes = {
        id: stake_of(build_model(tree, "owner", desk.settings, tallies[id], frozenset(desk.trees.ids())))
        for id, tree in trees.items()
    }
    ranking = valued(found, stakes, vehicle_years(desk.store, now), facts)
    shipped = frozenset(heading.id for heading in desk.trees.headings() if heading.shipped)
    return OfTheTrees(trees, ranking, cases_after_a_lay_up(desk.store, lambda: trees), shipped)


def _trees(there: AtHand) -> dict[str, Tree]:
    found = {}
    for id in there.desk.trees.ids():
        try:
            found[id] = there.desk.trees.tree(id)
        except DiagnoseError:
            continue  # a broken tree of one's own is told when it is walked
    return found
