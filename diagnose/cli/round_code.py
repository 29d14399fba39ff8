"""A round brought back by the code of its printed list, or by the code that a phone shows."""

from __future__ import annotations

import shutil
import sys
from typing import TYPE_CHECKING

import click

from diagnose.cases.rounds_records import RoundLine, RoundRecord
from diagnose.cli.round_at_hand import AtHand, OtherRound
from diagnose.cli.round_marks import danger_told, keep, known_of, refuse_a_stopped_vehicle, show_kept
from diagnose.cli.round_prevention import marked_in
from diagnose.rounds.code_parts import Head, read_head
from diagnose.rounds.past import past_of
from diagnose.terms import DiagnoseError, WrongUsage
from diagnose.terms.rounds import Round

if TYPE_CHECKING:
    from diagnose.rounds.brought import Brought
    from diagnose.rounds.list_code import Rows
    from diagnose.rounds.phone_code import PhoneRound
    from diagnose.terminal.console import Console

TYPED = "typed"
LONGEST = 20_000
"""More characters than any list can take."""


class NotReadable(DiagnoseError):
    """The round asks something else now than when a phone's page was made."""


def head_of(code: str, name: str | None) -> Head:
    """How the code begins; raises WrongCode, LaterCode, and OtherRound where another round was named."""
    head = read_head(code)
    if name is not None and name != head.round:
        raise OtherRound(f"this code is of a {head.round} round, not of a {name}")
    return head


def take_code(
    there: AtHand, head: Head, console: Console | None, number: int | None, resume: bool, as_json: bool
) -> int:
    """The round of a code into the store; returns the exit code. `console` is where somebody can be asked.

    Raises OtherVehicleOfCode, and what the kinds raise.
    """
    record = there.record(number) if resume else None
    head.of_vehicle(there.desk.vehicle)
    round = there.round(head.round)
    if head.kind == "list":
        return _take_list(there, head, _as_printed(there, head, record), record, console, as_json)
    if resume or there.who:
        raise WrongUsage("a phone's code says which round of which phone it is: leave out --resume and --by")
    _take_phone(there, head, round, as_json)
    return 0


def _as_printed(there: AtHand, head: Head, record: RoundRecord | None) -> Round:
    """The round with the tasks from the trees that it had on paper.

    Where the cases make another choice by now all there are: each row is known by its mark all the same.
    """
    today = there.whole_round(head.round, marked_in(record))
    fits = head.fits(today, there.desk.trees.common().facts)
    return today if fits else there.whole_round(head.round, every=True)


def _take_list(
    there: AtHand,
    head: Head,
    round: Round,
    record: RoundRecord | None,
    console: Console | None,
    as_json: bool,
) -> int:
    from diagnose.rounds.list_code import rows_of

    common = there.desk.trees.common()
    rows = rows_of(head, round, common.facts, common.places)
    refuse_a_stopped_vehicle(there, record)
    if console is not None:
        return _ask(there, rows, record, console)
    from diagnose.rounds.brought import speaks_of_danger
    from diagnose.rounds.ticked_line import completed, read_line
    from diagnose.terminal.round_ticking import ticked_page

    typed = sys.stdin.read(LONGEST + 1) if sys.stdin is not None else ""
    if speaks_of_danger(typed):
        raise danger_told(there, TYPED, "what was typed")
    if len(typed) > LONGEST:
        raise WrongUsage(f"nothing was kept: that is more than {LONGEST} characters, which no list takes")
    known = known_of(there, round, record)
    line = read_line(typed, rows, known, TYPED)
    if not (line.brought.marks or line.brought.facts or line.rest):
        raise WrongUsage(
            "what was ticked? Write it on one line, such as: wrong 4 9: it is loose; not done 12; rest fine"
        )
    past = past_of(round, record.lines if record is not None else (), there.vehicle(stopped=False).facts)
    found = completed(line, rows, past)
    if not as_json:
        click.echo(ticked_page(found, rows, shutil.get_terminal_size().columns).text())
    keep(
        there,
        _with_what_was_marked(there, round, record, found.brought),
        record,
        found.brought,
        TYPED,
        as_json,
    )
    return 0


def _with_what_was_marked(there: AtHand, round: Round, record: RoundRecord | None, brought: Brought) -> Round:
    return there.whole_round(round.id, marked_in(record) | {mark.task for mark in brought.marks})


def _ask(there: AtHand, rows: Rows, record: RoundRecord | None, console: Console) -> int:
    from diagnose.cli.round_prompt import CTRL_C, stop
    from diagnose.terminal.dangers import DangerTold
    from diagnose.terminal.layout import Page
    from diagnose.terminal.round_pages import counted, title_of
    from diagnose.terminal.round_ticking import PutAside, Ticking

    round = rows.round
    page = Page(console.width()).say(title_of(round.id, there.desk.vehicle), "strong")
    printed = counted(len(rows.order), "row") if rows.order else "Rows"
    page.say(f"{printed} of a printed list. Nothing is kept before you have seen all of it once.").gap()
    page.say(
        "If you smell gas, an alarm sounds, somebody feels unwell, or there is smoke, type: danger."
    ).gap()
    console.show(page.lines)
    past = past_of(round, record.lines if record is not None else (), there.vehicle(stopped=False).facts)
    try:
        found = Ticking(console, rows, known_of(there, round, record), past).ask()
    except DangerTold as told:
        stop(there, console, told)
        return 0
    except (PutAside, EOFError):
        console.show(Page(console.width()).say("Nothing was kept.").lines)
        return 0
    except KeyboardInterrupt:
        console.show(Page(console.width()).say("Nothing was kept.").lines)
        return CTRL_C
    whole = _with_what_was_marked(there, round, record, found.brought)
    keep(there, whole, record, found.brought, TYPED, False, asked=True)
    return 0


def _take_phone(there: AtHand, head: Head, round: Round, as_json: bool) -> None:
    from diagnose.cases.rounds_arriving import take_in_round
    from diagnose.rounds.arriving import fresh_lines
    from diagnose.rounds.book import LooseBook
    from diagnose.rounds.phone_code import read_phone, texts_tag
    from diagnose.terminal.round_pages import counted

    desk, now = there.desk, there.desk.clock()
    told = read_phone(head, round, desk.trees.common().facts, now)
    if not told.readable and told.stop is None:
        raise NotReadable(f"nothing was kept: {_unread(round)}")
    going = there.going(round, LooseBook(), stopped=False)
    carded = {fact.check: fact.answer for fact in going.vehicle.facts if fact.answer}
    same = told.readable and told.texts == texts_tag(round)
    arriving = RoundRecord(
        0,
        round.id,
        round.digest if same else "",
        "left-off",
        told.began,
        told.changed,
        desk.vehicle,
        told.label,
    )
    added: list[RoundLine] = []

    def fresh(here: tuple[RoundLine, ...]) -> list[RoundLine]:
        added[:] = fresh_lines(told, round, here, going.overdue, carded, now)
        return added

    record, before = take_in_round(desk.store, arriving, fresh)
    if not told.readable:
        raise NotReadable(
            f"danger stopped this round, so round {record.number} is stopped here; {_unread(round)}"
        )
    marks = counted(sum(line.noted == "mark" for line in added), "mark")
    if not added and before:
        text = "Nothing new: this is here already,"
    else:
        text = f"{marks} of the {told.label}, begun on {told.began:%Y-%m-%d at %H:%M} UTC, kept"
    show_kept(there, round, record.number, text, as_json, more=_more(told, added, same), added=bool(added))


def _more(told: PhoneRound, added: list[RoundLine], same: bool) -> str:
    """What else is said of a phone's round."""
    said = []
    if any(line.noted == "danger" for line in added):
        said.append("Danger stopped it on the phone, so the vehicle is stopped here too.")
    if not same:
        said.append(
            "Texts of this round have changed since the phone's page was made; its marks go by the older."
        )
    return "\n".join(said)


def _unread(round: Round) -> str:
    return (
        f"the {round.id} round asks something else now than when the phone's page was made, so its marks "
        'cannot be read from the code; bring them as a file instead: on the phone, "How it stands", then '
        '"The marks for the program"'
    )
