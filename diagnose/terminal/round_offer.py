"""Rounds that are not at their end, told of where somebody says what is wrong: one line, never a question.

Who stands in front of a cold heater reads on and loses nothing; who came for the round types one word.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

from diagnose.cases.peek import Peek
from diagnose.cases.rounds_records import RoundHead
from diagnose.rounds.lately import worth_going_on
from diagnose.terminal.console import Console
from diagnose.terminal.desk import Desk
from diagnose.terminal.layout import Page
from diagnose.terminal.picking import pick
from diagnose.terminal.round_pages import title_of
from diagnose.terms import DiagnoseError
from diagnose.walking.views import Choice

WORD = "round"
"""What is typed to go on with a round."""
MOST_OFFERED = 9
NONE_OF_THEM = "none-of-them"


class RoundWanted(Exception):
    """Somebody wants to go on with a round, and not to say what is wrong."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


def rounds_left(desk: Desk, seen: Peek) -> tuple[RoundHead, ...]:
    """The rounds that may be gone on with; `seen` is what a quick look at the store has told.

    Nothing where the store cannot be read: that is told when a case is opened in it.
    """
    found: Sequence[RoundHead] = seen.rounds or ()
    if seen == Peek() and "://" in desk.url:
        with suppress(DiagnoseError):
            from diagnose.cases.rounds_store import rounds_not_ended

            found = rounds_not_ended(desk.store)
    return worth_going_on(found, desk.clock(), None if desk.by_default else desk.vehicle or None)


def tell_of_rounds(page: Page, rounds: Sequence[RoundHead]) -> None:
    """The line about them; none where there are none."""
    if len(rounds) > 1:
        told = f"{len(rounds)} rounds are not at their end. To go on with one, type: {WORD}."
    elif not rounds:
        return
    elif rounds[0].stage == "stopped":
        title = title_of(rounds[0].round, rounds[0].vehicle)
        told = f"Danger stopped a round ({title}). Has somebody qualified cleared it? Then type: {WORD}."
    else:
        title = title_of(rounds[0].round, rounds[0].vehicle)
        told = f"A round is not at its end ({title}). To go on with it, type: {WORD}."
    page.say(told, "quiet").gap()


def round_picked(console: Console, rounds: Sequence[RoundHead]) -> int | None:
    """The number of the round that is meant; None where none of them is. Raises DangerTold."""
    if len(rounds) == 1:
        return rounds[0].number
    console.show(Page(console.width()).gap().say("Which round?", "strong").lines)
    choices = [Choice(f"round-{each.number}", _name(each)) for each in rounds[:MOST_OFFERED]]
    picked = pick(console, [*choices, Choice(NONE_OF_THEM, "None of them")], skip=NONE_OF_THEM)
    return None if picked == NONE_OF_THEM else int(picked.removeprefix("round-"))


def _name(each: RoundHead) -> str:
    stopped = ", stopped for danger" if each.stage == "stopped" else ""
    return f"{title_of(each.round, each.vehicle)}, {each.changed:%d %B}{stopped}"
