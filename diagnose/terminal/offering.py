"""A card is offered to whoever has none: after a walk, at a terminal, and seldom.

What was told about the vehicle need not be told again, so it may be kept at once, in a file at the usual
place that later walks take by themselves. It is never asked before a walk, nor after a stop or when somebody
leaves off: a person in the cold has other things in mind. A *no* holds for good, *not now* for a season.
"""

from __future__ import annotations

import json
import os
import shlex
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.terminal.console import Console
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.picking import pick
from diagnose.terms import Finding
from diagnose.walking.views import Choice

if TYPE_CHECKING:
    from diagnose.terminal.desk import Desk

NOT_NOW_HOLDS = timedelta(days=90)
"""How long nobody is asked again after *not now*: about as long as a season."""
FORESEEN = "What you tell about the vehicle can be kept at the end, so that it is asked only once."
KEEP, MORE, NOT_NOW, NEVER = "keep", "more", "not-now", "never"


@dataclass(frozen=True, slots=True)
class UsualPlace:
    """Where the card of one's own vehicle stands, and where it is kept what was answered to the offer."""

    card: Path
    answered: Path

    def may_offer(self, today: date) -> bool:
        """Whether somebody may be asked: there is no card, and no *no* that still holds."""
        if os.path.lexists(self.card):  # a link to nowhere counts, and a folder that is locked raises nothing
            return False
        with suppress(OSError, ValueError, TypeError, KeyError):
            said = json.loads(self.answered.read_text(encoding="utf-8"))
            asked = date.fromisoformat(said["asked"])
            return not said["for_good"] and not asked <= today < asked + NOT_NOW_HOLDS
        return True

    def remember(self, today: date, *, for_good: bool) -> None:
        """Keep a *no*. Where that cannot be written somebody is asked once more, which stops nothing."""
        with suppress(OSError):
            self.answered.parent.mkdir(parents=True, exist_ok=True)
            text = json.dumps({"asked": today.isoformat(), "for_good": for_good})
            self.answered.write_text(text + "\n", encoding="utf-8")


def offer_card(console: Console, desk: Desk, place: UsualPlace, told: Sequence[tuple[str, Finding]]) -> None:
    """Offer to keep what was told (each in words and as a finding), or to make a card where nothing was.

    Raises DangerTold, KeyboardInterrupt and EOFError as the console does; nothing is written then.
    """
    today = desk.clock().date()
    _ask(console, place, told)
    picked = pick(console, _choices(told), skip=NOT_NOW)
    if picked in (NOT_NOW, NEVER):
        place.remember(today, for_good=picked == NEVER)
        return
    facts = [finding for _, finding in told]
    if picked == MORE:
        from diagnose.knowledge.card_words import CardWords
        from diagnose.terminal.card_dialogue import CardDialogue

        text = CardDialogue(console, CardWords(desk.trees), today).run(str(place.card), known=facts)
    else:
        from diagnose.knowledge.card import VehicleCard
        from diagnose.knowledge.card_writing import card_text

        text = card_text(VehicleCard(facts=tuple(facts)), str(place.card))
    _write(console, place.card, text)


def card_in_use(name: str, width: int) -> Page:
    """That the card at the usual place is used, and how to walk without it."""
    page = Page(width).say(f'With the card of "{name}". Another vehicle, or no card? Type:', "quiet")
    return page.say("diagnose walk --vehicle NAME", "quiet", indent=2).gap()


def _ask(console: Console, place: UsualPlace, told: Sequence[tuple[str, Finding]]) -> None:
    page = Page(console.width())
    if told:
        page.say("Keep what you told about this vehicle, so that it is not asked again?", "strong")
        for text, _ in told:
            page.hang("- ", text)
    else:
        page.say("Make a card of this vehicle?", "strong")
        page.say("A walk with it asks less, and shows where things are and whom to call.")
    page.say("It is one small file on this machine, without names or addresses.", "quiet")
    console.show([Line(""), *page.lines])


def _choices(told: Sequence[tuple[str, Finding]]) -> tuple[Choice, ...]:
    more = "Keep it, and add more by short questions" if told else "Make one, by short questions"
    keep = (Choice(KEEP, "Keep just this"),) if told else ()
    later = (Choice(NOT_NOW, "Not now"), Choice(NEVER, "No, and do not ask again"))
    return (*keep, Choice(MORE, more), *later)


def _write(console: Console, path: Path, text: str) -> None:
    page = Page(console.width()).gap()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as sink:
            sink.write(text)
    except OSError as error:
        page.say(f"The card cannot be written to {path}: {error.strerror}. Nothing was kept.")
        console.show(page.lines)
        return
    page.say(f"Kept in {path}. From now on it is used by itself. You can add to it in any editor.")
    page.say("To print it in large type:")
    page.say(shlex.join(["diagnose", "card", "print", "-o", "locker-card.html"]), indent=2)
    console.show(page.lines)
