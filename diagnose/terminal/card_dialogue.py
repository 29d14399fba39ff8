"""A short talk that ends in a vehicle's card: every question may be passed over with Enter."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence, Set
from datetime import date
from typing import TypeVar

from diagnose.knowledge.card import VehicleCard, read_card
from diagnose.knowledge.card_fields import DATES, DateKind
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.card_writing import card_text
from diagnose.knowledge.fields import NEEDS
from diagnose.knowledge.ids import nearest
from diagnose.terminal.console import Console
from diagnose.terminal.dangers import DangerTold, told_danger
from diagnose.terminal.keeping_facts import CHANGING, OF_THE_SEASON
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.picking import pick
from diagnose.terminal.understanding import command_of, plain_words
from diagnose.terms import Check, Finding, FlawedKnowledge
from diagnose.walking.danger_words import ANY_DANGER
from diagnose.walking.views import Choice

T = TypeVar("T")
CALLED = ("gas-engineer", "electrician", "workshop", "recovery")
"""Whose numbers are asked for; the others may be written into the file."""
PASSED, LEFT = "passed", "left"
FIRST_PARTS = ("battery-isolator", "main-fuse", "gas-valves", "water-drains", "hook-up-inlet", "heater-panel")
"""Parts that somebody may have to find in a hurry; all of them would fill a small screen."""
STARTER = "starter-battery"
"""A fact and a date that no caravan has."""


class CardDialogue:
    """Asks for what a card may hold; `run` returns its text."""

    def __init__(self, console: Console, words: CardWords, today: date) -> None:
        self.console, self.words, self.today = console, words, today
        self.left = False
        """Whether somebody has had enough: the rest is passed over without being asked."""

    def run(self, file: str, known: Sequence[Finding] = ()) -> str:
        """The text of the card for a file of that name, with the facts that are known and what is told here.

        Raises DangerTold, and as the console does.
        """
        self._say("The card of a vehicle: what is true of it, where things are, what is due.", "strong")
        self._say(
            "Enter passes a question over. Type leave off when you have had enough: what you told so far is "
            "kept. Leave out names, addresses and the number plate."
        )
        label = self._line("What do you call the vehicle? Such as: the blue van.", self._label)
        country = self._country()
        told = {fact.check: fact for fact in known}
        for fact in self._facts():
            if fact.id not in told and not (fact.id == STARTER and _towed(told)):
                found = self._fact(fact)
                told |= {fact.id: found} if found is not None else {}
        facts = [told[id] for id in self.words.facts if id in told]
        card = VehicleCard(
            label=label or "",
            country=country,
            facts=tuple(facts),
            where=self._where(),
            cannot=self._cannot(),
            dates=self._dates(without={STARTER} if _towed(told) else frozenset()),
            numbers=self._numbers(),
        )
        text = card_text(card, file)
        read_card(text, file, self.words, self.today)  # what is written is sure to be read again
        return text

    def _facts(self) -> list[Check]:
        left_out = (*CHANGING, *OF_THE_SEASON)
        return [fact for id, fact in self.words.facts.items() if id not in left_out and not fact.reading]

    def _country(self) -> str | None:
        countries = self.words.countries
        choices = [Choice(id, country.says) for id, country in countries.items()]
        picked = self._picked("Which country is it in? The emergency number follows from it.", "", choices)
        return picked if picked in countries else None

    def _fact(self, fact: Check) -> Finding | None:
        choices = [Choice(answer.id, answer.says) for answer in fact.answers]
        picked = self._picked(fact.ask, fact.how, choices)
        return Finding(fact.id, picked) if picked in fact.answer_ids() else None

    def _picked(self, ask: str, how: str, choices: Sequence[Choice]) -> str:
        """The id that is picked, PASSED for none of them."""
        if self.left:
            return PASSED
        self._say(ask, "strong")
        if how:
            self._say(how)
        picked = pick(self.console, choices, skip=PASSED, leave=LEFT)
        self.left = picked == LEFT
        return picked

    def _where(self) -> dict[str, str]:
        if self.left:
            return {}
        parts = self.words.parts
        self._say("Where things are. Type a part and where it is, Enter when that is all, such as:", "strong")
        self._say("battery-isolator: under the driver's seat, red key")
        first = [part for part in FIRST_PARTS if part in parts]
        self._say(f"Such parts are: {', '.join(first)}. To see all {len(parts)}, type: parts")
        found: dict[str, str] = {}
        while (typed := self._typed()) is not None:
            part, colon, place = (each.strip() for each in typed.partition(":"))
            id = "-".join(plain_words(part).split())
            if plain_words(typed) == "parts":
                self._say(f"{', '.join(parts)}.")
            elif not colon or not place:
                self._say("Type a part, a colon and where it is. Or just Enter.")
            elif id not in parts:
                meant = nearest(id, parts)
                like = f' Did you mean "{meant}"?' if meant else ""
                self._say(f"No tree names that part.{like}")
            elif self._holds({"where": {id: place}}):
                found[id] = place
        return found

    def _cannot(self) -> frozenset[str]:
        if self.left:
            return frozenset()
        self._say("Which of these can you not do? What needs it is left to somebody else.", "strong")
        self._say(f"Type the words: {', '.join(NEEDS)}. Or just Enter.")

        def needs(typed: str) -> frozenset[str]:
            said = plain_words(typed).split()
            wrong = [word for word in said if word not in NEEDS]
            if wrong:
                raise ValueError(f"Only these words: {', '.join(NEEDS)}.")
            return frozenset(said)

        return self._line("", needs) or frozenset()

    def _dates(self, without: Set[str]) -> dict[str, date]:
        if self.left:
            return {}
        self._say("Dates, as printed or as last done: 2023-06-30, or 2023-06. Enter passes over.", "strong")
        found = {}
        for id, kind in DATES.items():
            if id in without:
                continue
            day = self._line(_asked(kind), lambda typed, id=id: self._date(id, typed))  # type: ignore[misc]
            if day is not None:
                found[id] = day
        return found

    def _date(self, id: str, typed: str) -> date:
        return self._read({"dates": {id: typed}}).dates[id]

    def _numbers(self) -> dict[str, str]:
        found = {}
        for id in CALLED:
            who = self.words.referrals[id].to
            number = self._line(
                f"A number to call, if you have one: {who[:1].lower() + who[1:]}?",
                lambda typed, id=id: self._read({"numbers": {id: typed}}).numbers[id],  # type: ignore[misc]
            )
            if number:
                found[id] = number
        return found

    def _label(self, typed: str) -> str:
        card = self._read({"label": typed})
        for advice in card.advice:
            self._say(f"Mind: {advice.text}.")
        return card.label

    def _read(self, content: object) -> VehicleCard:
        """A card of one entry, read as the file will be; raises ValueError with what is wrong with it."""
        try:
            return read_card(json.dumps(content, ensure_ascii=False), "card", self.words, self.today)
        except FlawedKnowledge as error:
            raise ValueError(error.flaws[0].message + ".") from None

    def _holds(self, content: object) -> bool:
        try:
            self._read(content)
        except ValueError as refusal:
            self._say(str(refusal))
            return False
        return True

    def _line(self, ask: str, take: Callable[[str], T]) -> T | None:
        """What a line typed comes to; asked again where it comes to nothing, None where it is passed over."""
        if self.left:
            return None
        if ask:
            self._say(ask, "strong")
        while (typed := self._typed()) is not None:
            try:
                return take(typed)
            except ValueError as refusal:
                self._say(str(refusal))
        return None

    def _typed(self) -> str | None:
        """A line; None for an empty one or *not sure*. Raises DangerTold where danger is told instead."""
        typed = "".join(letter if letter.isprintable() else " " for letter in self.console.ask()).strip()
        command = command_of(typed)
        if command is not None and command.command == "danger":
            raise DangerTold(ANY_DANGER)
        self.left = command is not None and command.command == "leave off"
        if not typed or command is not None:
            return None
        heard = told_danger(self.console, typed)
        if heard is not None:
            raise DangerTold(heard)
        return typed

    def _say(self, text: str, manner: str = "plain") -> None:
        page = Page(self.console.width())
        page.say(text, "strong" if manner == "strong" else "plain")
        lines: Sequence[Line] = [Line(""), *page.lines] if manner == "strong" else page.lines
        self.console.show(lines)


def _towed(told: Mapping[str, Finding]) -> bool:
    return "build" in told and told["build"].answer == "caravan"


def _asked(kind: DateKind) -> str:
    of = {"made": "When was it made or fitted", "done": "When was it last done", "ends": "When does it end"}
    asked = of[kind.means].replace("was it", "were they") if kind.many else of[kind.means]
    code = " Four figures: week and year." if kind.says in ("tyres", "spare tyre") else ""
    return f"{kind.says[:1].upper() + kind.says[1:]}: {asked.lower()}?{code}"
