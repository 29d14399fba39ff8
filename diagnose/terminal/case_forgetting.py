"""What is shown before cases are forgotten, and what is said afterwards."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.cases.forgetting import Going, Traces
from diagnose.cases.merging import Standing
from diagnose.cases.rounds_records import RoundRecord
from diagnose.terminal.case_exchange import number
from diagnose.terminal.case_list import NOT_CONFIRMED, STATES, command, day
from diagnose.terminal.layout import Line, Page

MOST_SHOWN = 30
"""So many cases are shown; of more, their number."""

_TRACES: dict[Traces | None, str] = {
    None: "",
    "gone": "Nothing of them is left in the store's file.",
    "in-the-file": "The store is in use, or its disk is full, so the file still holds traces of them; the "
    "next time that cases are forgotten these go as well.",
    "on-the-server": "The server still holds traces of them until it clears up by itself (VACUUM FULL "
    "does so at once), and its own backups for as long as they are kept.",
}


def going(
    cases: Sequence[Going],
    stores: Sequence[Standing],
    width: int,
    options: Sequence[str],
    rounds: Sequence[RoundRecord] = (),
) -> Page:
    """What goes: each case with its vehicle and cause, each round, each merged store with what it counts."""
    page = Page(width)
    if cases:
        page.say("These go for good, with every answer that was given and with what they count:")
    for each in cases[:MOST_SHOWN]:
        vehicle = f", {each.vehicle}" if each.vehicle else ""
        was = f"it was {each.cause}" if each.confirmed else NOT_CONFIRMED
        page.hang(
            f"{each.case}  ",
            f"{each.symptom}{vehicle}, {day(each.opened)}, {STATES[each.state]}, {was}, "
            f"{number(each.lines, 'line')}",
        )
    if len(cases) > MOST_SHOWN:
        page.say(f"and {len(cases) - MOST_SHOWN} more", indent=2)
    sources = sorted({each.source for each in cases if each.source})
    if sources:
        page.say(
            f"Some were brought in from {', '.join(sources)}; bringing that in again would bring them back."
        )
    if rounds:
        page.say("These rounds go for good, with everything that was noted on them:")
    for each_round in rounds[:MOST_SHOWN]:
        of = f", {each_round.vehicle}" if each_round.vehicle else ""
        page.hang(
            f"{each_round.number}  ",
            f"{each_round.round}{of}, {day(each_round.begun)}, {number(len(each_round.lines), 'line')}",
        )
    if len(rounds) > MOST_SHOWN:
        page.say(f"and {len(rounds) - MOST_SHOWN} more", indent=2)
    for store in stores:
        page.say(
            f"What was merged from {store.origin} goes: export {store.number}, "
            f"{number(store.confirmed, 'confirmed case')}. Merging that again would bring it back."
        )
    if any(each.confirmed for each in cases):
        page.say("Exports that you gave away still count them; a new one puts that right:")
        page.lines.append(Line("  " + command("cases", "export", "-o", "FILE", *options)))
    if cases or rounds:
        page.say("Copies of the store still hold them.")
    return page


def forgotten(
    cases: Sequence[Going], stores: Sequence[Standing], traces: Traces | None, width: int, rounds: int = 0
) -> Page:
    """What was done; `rounds` is how many of those were forgotten."""
    page = Page(width)
    if stores:
        page.say(f"What was merged from {number(len(stores), 'store')} is taken out.")
    if cases or rounds:
        gone = [number(many, word) for many, word in ((len(cases), "case"), (rounds, "round")) if many]
        page.say(f"{' and '.join(gone)} forgotten. {_TRACES[traces]}")
    return page
