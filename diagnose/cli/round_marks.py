"""What was ticked on a printed list, brought back into a round: all of the file, or nothing."""

from __future__ import annotations

import shutil
from pathlib import Path

import click

from diagnose.cases.rounds_records import RoundLine
from diagnose.cases.rounds_store import begin_round, note
from diagnose.cli.round_at_hand import AtHand
from diagnose.cli.round_document import print_as_json
from diagnose.rounds.again import as_noted
from diagnose.rounds.book import LooseBook, StoreBook
from diagnose.rounds.marks_file import dangers_in, load_marks
from diagnose.rounds.past import past_of
from diagnose.terms import DiagnoseError


class Uncleared(DiagnoseError):
    """Danger stopped the vehicle, and nobody has said that it was cleared."""


def take_marks(there: AtHand, path: Path, number: int | None, resume: bool, as_json: bool) -> None:
    """The marks of a file into a kept round, or into a new one; then where the round stands.

    A note that speaks of danger is no mark: nothing is kept, and it is told what to do. Raises
    FlawedKnowledge with every flaw of the file, Uncleared.
    """
    desk = there.desk
    record = there.record(number) if resume else None
    round = there.round(record.round if record is not None else None)
    vehicle = there.vehicle()
    facts = past_of(round, record.lines if record is not None else (), vehicle.facts).facts
    marks = load_marks(path, round, facts)
    if dangers_in(marks):
        told = ", ".join(mark.task for mark in dangers_in(marks))
        raise DiagnoseError(
            f"{path}: the note beside {told} may speak of danger, so nothing was kept. If there is danger "
            f"now: all out, and call {desk.calling.numbers[0]}. Else say it in other words."
        )
    if vehicle.stopped_by is not None or (record is not None and record.stage == "stopped"):
        raise Uncleared(
            "danger stopped this vehicle, so nothing was kept; whether somebody qualified has cleared it is "
            "asked at the prompt: diagnose round without --marks"
        )
    going = there.going(round, LooseBook(record.lines if record is not None else ()), stopped=False)
    lines = []
    for mark in marks:
        end, text = as_noted(mark.end, mark.note, going.overdue(round.tasks[mark.task]))
        lines.append(RoundLine(desk.clock(), "mark", mark.task, end, there.who, text))
    if record is None:
        record = begin_round(desk.store, round.id, round.digest, desk.vehicle, there.who, desk.clock())
    note(desk.store, record.number, lines)
    kept = there.going(round, StoreBook(desk.store, record.number, desk.clock), stopped=False)
    kept.leave_off()
    if as_json:
        print_as_json(there, kept, record.number)
        return
    from diagnose.terminal.round_end import outcome_page
    from diagnose.terminal.round_pages import counted

    outcome, judged = there.come_to(kept)
    width = shutil.get_terminal_size().columns
    again = there.again(record.number) if outcome.left else ""
    page = outcome_page(round, outcome, judged, width, desk.vehicle, again)
    click.echo(f"{counted(len(lines), 'mark')} kept in round {record.number}.\n\n{page.text()}")
