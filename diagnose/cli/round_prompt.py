"""A round at the prompt: begun or taken up, gone through, and where it was left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.cases.rounds_records import RoundRecord
from diagnose.cases.rounds_store import begin_round, rounds_kept, set_stage
from diagnose.cli.round_at_hand import AtHand
from diagnose.cli.round_prevention import marked_in, of_the_trees
from diagnose.rounds.book import StoreBook
from diagnose.rounds.going import Going
from diagnose.rounds.ordering import planned
from diagnose.terminal.dangers import DangerTold, stop_before_a_walk
from diagnose.terminal.endings import stopped_end
from diagnose.terminal.layout import Page
from diagnose.terminal.picking import pick
from diagnose.terminal.round_dialogue import RoundDialogue
from diagnose.terminal.round_pages import counted, opening_page, title_of
from diagnose.walking.views import Choice

if TYPE_CHECKING:
    from diagnose.terminal.console import Console

CTRL_C = 130
NEW = "new"


def go_through(there: AtHand, console: Console, number: int | None, resume: bool) -> int:
    """Begin a round or take one up; returns the exit code."""
    try:
        record = there.record(number) if resume else _waiting(there, console)
    except DangerTold as told:
        return stop(there, console, told)
    except EOFError:
        return 0
    except KeyboardInterrupt:
        return CTRL_C
    notices = [] if record is None else _of_the_past(there, record)
    if record is None:
        round, desk = there.whole_round(), there.desk
        record = begin_round(desk.store, round.id, round.digest, desk.vehicle, there.who, desk.clock())
    elif record.stage != "stopped":
        set_stage(there.desk.store, record.number, "open", there.desk.clock())
    going = there.going(
        there.whole_round(record.round, marked_in(record)),
        StoreBook(there.desk.store, record.number, there.desk.clock),
    )
    dialogue = RoundDialogue(
        going,
        console,
        there.desk,
        there.again(record.number),
        lambda: there.come_to(going),
        _opening(
            there,
            going,
            console.width(),
            [*notices, *_of_short(there), *_due(going), *of_the_trees(there, going.round)],
        ),
    )
    return dialogue.run()


def _waiting(there: AtHand, console: Console) -> RoundRecord | None:
    """A round of this name and vehicle that was left off, if it is to be gone on with."""
    desk = there.desk
    found = rounds_kept(
        desk.store,
        round=there.round().id,
        vehicle=desk.vehicle,
        stages=("open", "left-off", "stopped"),
        limit=1,
    )
    if not found:
        return None
    record = found[0]
    page = Page(console.width()).say(
        f"Round {record.number} ({title_of(record.round, record.vehicle)}, begun {record.begun:%d %B}) "
        "is not at its end.",
        "strong",
    )
    console.show(page.lines)
    choices = (Choice("on", "Go on with it"), Choice(NEW, "Begin anew"))
    return None if pick(console, choices, skip="on") == NEW else record


def _opening(there: AtHand, going: Going, width: int, notices: list[str]) -> Page:
    left = going.open_tasks()
    done = frozenset(going.round.tasks) - left.keys()
    plan = planned(going.round.tasks, going.round.after, there.desk.trees.common().places, done)
    return opening_page(going.round, there.desk.vehicle, len(left), plan.minutes, width, notices)


def _of_the_past(there: AtHand, record: RoundRecord) -> list[str]:
    """What is said of a round that is taken up: that its file has changed, and what it has no more."""
    round = there.whole_round(record.round, marked_in(record))
    if record.digest == round.digest:
        return []
    from diagnose.rounds.past import past_of

    dropped = past_of(round, record.lines).dropped
    gone = f" It has these no more: {', '.join(dropped)}." if dropped else ""
    return [f"The file of this round has changed since it was begun.{gone} What still has a place is kept."]


def _of_short(there: AtHand) -> list[str]:
    """What is said of a short round: how much is left out, and where safety alone takes longer."""
    short = there.short
    if short is None:
        return []
    told = f"A short round: {counted(len(short.left_out), 'task')} of it is left out."
    if len(short.left_out) != 1:
        told = f"A short round: {counted(len(short.left_out), 'task')} of it are left out."
    if short.too_long:
        told += " What it has for safety takes longer than you have; none of that is left out."
    return [told]


def _due(going: Going) -> list[str]:
    """What the card's dates say is over, of the tasks of this round."""
    return list(dict.fromkeys(told for task in going.there().values() for told in going.overdue(task)))


def stop(there: AtHand, console: Console, told: DangerTold) -> int:
    """What danger told before a round is in hand leads to; returns the exit code."""
    desk = there.desk
    end = stop_before_a_walk(
        told.heard, desk.trees.common().referrals, desk.calling.numbers, desk.own_numbers
    )
    console.show(stopped_end(end, console.width()).lines)
    return 0
