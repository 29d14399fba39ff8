"""A walk that something wrong on a round has opened: what is known for it, and what becomes of it.

Where it is gone on with apart from the round, that is noted on the round as if it had been walked there:
danger stops the round too, and where another tree knows better, the task is marked with that tree's case.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from diagnose.cases.rounds_records import RoundLine, RoundRecord, standing_lines
from diagnose.cases.rounds_store import note, rounds_of_case
from diagnose.terminal.console import Console
from diagnose.terminal.desk import Desk, Opened
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.round_pages import title_of
from diagnose.terms import NOT_SURE, Finding, Tree
from diagnose.walking.handing_over import carried_over

if TYPE_CHECKING:
    from diagnose.rounds.going import Going


def known_on_the_round(going: Going, walked: Iterable[Opened], tree: Tree) -> list[Finding]:
    """Facts that were asked on the round, and what its walks have found where the tree asks the same."""
    on_card = {fact.check for fact in going.vehicle.facts}
    facts = [
        Finding(fact, answer)
        for fact, answer in going.past.facts.items()
        if fact not in on_card and fact in {*tree.checks, *tree.applies_to} and answer != NOT_SURE
    ]
    found = [
        finding
        for opened in walked
        for finding in carried_over(tuple(opened.walk.situation.findings.values()), opened.tree, tree)
    ]
    return [*facts, *(each for each in found if each.check not in {fact.check for fact in facts})]


def noted_on_its_rounds(desk: Desk, first: Opened, last: Opened) -> RoundRecord | None:
    """Note where a walk has led on each round that opened it; returns the latest of these, or None."""
    rounds = rounds_of_case(desk.store, first.case)
    record = last.record()
    for each in rounds:
        mark = _mark_with(each, first.case)
        if mark is None:
            continue
        lines = []
        if last.case != first.case:
            lines.append(RoundLine(desk.clock(), "mark", mark.subject, "wrong", "", mark.note, last.case))
        if record.state == "stopped":
            referral = record.referral or "workshop"
            lines.append(RoundLine(desk.clock(), "danger", mark.subject, referral))
        if lines:
            note(desk.store, each.number, lines)
    return rounds[0] if rounds else None


def tell_of_its_round(console: Console, desk: Desk, round: RoundRecord, last: Opened) -> None:
    """That it came from a round, and how that is taken up again."""
    title = title_of(round.round, round.vehicle)
    page = Page(console.width())
    state = last.record().state
    if state == "stopped":
        page.say(f"The round it came from is stopped too ({title}). Once somebody qualified has cleared it:")
    elif state == "cured":
        page.say(f"It came from a round ({title}). Look at that task once more:")
    else:
        page.say(f"It came from a round ({title}). To go on with that:")
    console.show([Line(""), *page.say(desk.round_command(round.number), indent=2).lines])


def _mark_with(round: RoundRecord, case: int) -> RoundLine | None:
    """The latest mark of the task that this case belongs to, where it still has this case."""
    marks = [line for line in standing_lines(round.lines) if line.noted == "mark"]
    task = next((line.subject for line in reversed(marks) if line.case == case), None)
    latest = next((line for line in reversed(marks) if line.subject == task), None)
    return latest if latest is not None and latest.case == case else None
