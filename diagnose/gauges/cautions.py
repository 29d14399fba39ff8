"""Cautions that come with gauges, worded once; signal words as in ANSI Z535.6."""

from __future__ import annotations

from diagnose.terms import Caution

BATTERY = Caution(
    "high-current",
    "WARNING",
    "A battery holds acid and gives off a gas that explodes. Goggles, fresh air, no spark, no ring or watch. "
    "Leave one alone that is swollen, cracked, hot, leaking, frozen or smells of rotten eggs.",
)
FROZEN = Caution(
    "frozen-battery",
    "DANGER",
    "A frozen battery is neither charged nor jump started: it can burst. Let it thaw for a day in a cool "
    "room; if its case bulges or is cracked, it is done with.",
)
