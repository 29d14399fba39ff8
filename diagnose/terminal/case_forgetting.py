"""What is shown before cases are forgotten, and what is said afterwards."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.cases.forgetting import Going, Traces
from diagnose.cases.merging import Standing
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


def going(cases: Sequence[Going], stores: Sequence[Standing], width: int, options: Sequence[str]) -> Page:
    """What goes: each case with its vehicle and cause, each merged store with what it counts."""
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
    for store in stores:
        page.say(
            f"What was merged from {store.origin} goes: export {store.number}, "
            f"{number(store.confirmed, 'confirmed case')}. Merging that again would bring it back."
        )
    if any(each.confirmed for each in cases):
        page.say("Exports that you gave away still count them; a new one puts that right:")
        page.lines.append(Line("  " + command("cases", "export", "-o", "FILE", *options)))
    if cases:
        page.say("Copies of the store still hold them.")
    return page


def forgotten(cases: Sequence[Going], stores: Sequence[Standing], traces: Traces | None, width: int) -> Page:
    """What was done."""
    page = Page(width)
    if stores:
        page.say(f"What was merged from {number(len(stores), 'store')} is taken out.")
    if cases:
        page.say(f"{number(len(cases), 'case')} forgotten. {_TRACES[traces]}")
    return page
