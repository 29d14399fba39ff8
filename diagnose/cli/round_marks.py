"""What was ticked on paper or on a phone, brought back into a round: all of it, or nothing."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cases.rounds_records import RoundRecord
from diagnose.cases.rounds_store import begin_round, note
from diagnose.cli.round_at_hand import AtHand
from diagnose.cli.round_document import print_as_json
from diagnose.cli.round_prevention import marked_in
from diagnose.rounds.book import LooseBook, StoreBook
from diagnose.rounds.brought import Brought, dangers_in, lines_of
from diagnose.rounds.marks_file import Known, load_marks
from diagnose.rounds.past import past_of
from diagnose.terms import DiagnoseError
from diagnose.terms.rounds import Round

if TYPE_CHECKING:
    from diagnose.terminal.layout import Page


class Uncleared(DiagnoseError):
    """Danger stopped the vehicle, and nobody has said that it was cleared."""


def take_marks(there: AtHand, path: Path, number: int | None, resume: bool, as_json: bool) -> None:
    """The marks of a file into a kept round, or into a new one; then where the round stands.

    A note that speaks of danger is no mark: nothing is kept, and it is told what to do. Raises
    FlawedKnowledge with every flaw of the file, Uncleared.
    """
    record = there.record(number) if resume else None
    name = record.round if record is not None else None
    every = there.whole_round(name, every=True)
    brought = load_marks(path, every, known_of(there, every, record))
    round = there.whole_round(name, marked_in(record) | {mark.task for mark in brought.marks})
    keep(there, round, record, brought, str(path), as_json)


def known_of(there: AtHand, round: Round, record: RoundRecord | None) -> Known:
    """What is known of the vehicle before anything is brought back."""
    carded = {fact.check: fact.answer for fact in there.vehicle(stopped=False).facts if fact.answer}
    facts = past_of(round, record.lines if record is not None else ()).facts
    return Known({**facts, **carded}, carded, there.desk.trees.common().facts)


def refuse_a_stopped_vehicle(there: AtHand, record: RoundRecord | None) -> None:
    """Raises Uncleared where danger stopped the vehicle or the round."""
    if there.desk.stopped_by() is not None or (record is not None and record.stage == "stopped"):
        raise Uncleared(
            "danger stopped this vehicle, so nothing was kept; whether somebody qualified has cleared it is "
            "asked at the prompt: diagnose round without --marks or --code"
        )


def danger_told(there: AtHand, where: str, beside: str) -> DiagnoseError:
    """What is said of words that may speak of danger where a mark should stand."""
    return DiagnoseError(
        f"{where}: {beside} may speak of danger, so nothing was kept. If there is danger "
        f"now: all out, and call {there.desk.calling.numbers[0]}. Else say it in other words."
    )


def keep(
    there: AtHand,
    round: Round,
    record: RoundRecord | None,
    brought: Brought,
    where: str,
    as_json: bool,
    *,
    asked: bool = False,
) -> None:
    """Everything into a kept round, or into a new one; then where it stands. Raises Uncleared.

    Where somebody was `asked` about each word of danger, and said that there is none now, notes may have it.
    """
    desk = there.desk
    if not (brought.marks or brought.facts):
        raise DiagnoseError(f"{where}: no task is marked, so nothing was kept")
    if not asked and (told := dangers_in(brought.marks)):
        raise danger_told(there, where, f"the note beside {', '.join(mark.task for mark in told)}")
    refuse_a_stopped_vehicle(there, record)
    going = there.going(round, LooseBook(record.lines if record is not None else ()), stopped=False)
    lines = lines_of(brought, going, desk.clock(), there.who)
    if record is None:
        record = begin_round(desk.store, round.id, round.digest, desk.vehicle, there.who, desk.clock())
    note(desk.store, record.number, lines)
    marks = sum(line.noted == "mark" for line in lines)
    show_kept(there, round, record.number, f"{_counted(marks, len(lines) - marks)} kept", as_json)


def show_kept(
    there: AtHand,
    round: Round,
    number: int,
    told: str,
    as_json: bool,
    *,
    more: str = "",
    added: bool = True,
) -> None:
    """Leaves the round off or ends it, unless nothing was `added`, and tells where it stands.

    `told` is what was done, `more` what is said beside it.
    """
    from diagnose.terminal.round_end import outcome_page

    kept = there.going(round, StoreBook(there.desk.store, number, there.desk.clock))
    if added:
        kept.leave_off()
    if as_json:
        print_as_json(there, kept, number)
        return
    outcome, judged = there.come_to(kept)
    width = shutil.get_terminal_size().columns
    again = there.again(number) if outcome.left else ""
    page: Page = outcome_page(round, outcome, judged, width, there.desk.vehicle, again)
    behind = f"{more}\n" if more else ""
    click.echo(f"{told} in round {number}.\n{behind}\n{page.text()}")


def _counted(marks: int, facts: int) -> str:
    from diagnose.terminal.round_pages import counted

    told = counted(marks, "mark")
    return f"{told} and {counted(facts, 'answer')} about the vehicle" if facts else told
