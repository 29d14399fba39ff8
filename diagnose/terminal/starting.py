"""The first screens: what is wrong, in the person's own words, and whether an older walk is to go on."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from diagnose.knowledge.collection import Heading, UnknownSymptom, is_path
from diagnose.knowledge.symptom_search import Match, search_symptoms
from diagnose.terminal.console import Console
from diagnose.terminal.dangers import DangerTold, told_danger
from diagnose.terminal.desk import Desk
from diagnose.terminal.layout import Page
from diagnose.terminal.offering import FORESEEN
from diagnose.terminal.picking import pick
from diagnose.terminal.round_offer import WORD, RoundWanted, round_picked, tell_of_rounds
from diagnose.terminal.understanding import command_of, plain_words
from diagnose.walking.danger_words import ANY_DANGER
from diagnose.walking.views import NO_CERTIFICATE, Choice

if TYPE_CHECKING:
    from diagnose.cases.rounds_records import RoundHead

MOST_OFFERED = 5
MUCH_LIKE = 0.8
"""From this likeness on words tell of a symptom though something else was asked."""
FAR_BEHIND = 0.3
"""How far behind the likest symptom one may be and still be offered."""
_LIKE_AN_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)+")
MOST_TO_RESUME = 3
NONE_OF_THESE = "none-of-these"
SOMETHING_NEW = "something-new"
GO_ON = "go-on"


class SomethingNew(Exception):
    """Asked whether to go on with something older, somebody told of a symptom."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.words = words


def _tells_of_a_symptom(desk: Desk, typed: str) -> None:
    """Raises SomethingNew where the words are much like a symptom; `go on please` is like many, a little."""
    likest = search_symptoms(typed, desk.trees.headings()).good[:1]
    if likest and likest[0].likeness >= MUCH_LIKE:
        raise SomethingNew(typed)


def is_named(desk: Desk, words: str) -> bool:
    """Whether the words are an id or a path, and not somebody's own words."""
    return is_path(words) or words in desk.trees.ids()


def ask_symptom(console: Console, desk: Desk, rounds: Sequence[RoundHead] = ()) -> str:
    """Ask what is wrong until a symptom is found; returns its id, or nothing where somebody leaves off.

    Raises DangerTold where the words tell of a danger, RoundWanted where one of `rounds` is wanted.
    """
    page = Page(console.width())
    page.say("What is wrong?", "strong").say("In a few words, such as: no warm air.", indent=2).gap()
    page.say(
        "If you smell gas, an alarm sounds, somebody feels unwell, or there is smoke, type: danger."
    ).gap()
    if desk.card is None and desk.usual is not None and desk.usual.may_offer(desk.clock().date()):
        page.say(FORESEEN, "quiet").gap()
    tell_of_rounds(page, rounds)
    page.say(NO_CERTIFICATE, "quiet").say("Or type: list, help, leave off, danger.", "quiet")
    console.show(page.lines)
    while True:
        typed = console.ask()
        command = command_of(typed)
        if command is not None and command.command == "danger":
            raise DangerTold(ANY_DANGER)
        heard = None if is_named(desk, typed.strip()) else told_danger(console, typed)
        if heard is not None:
            raise DangerTold(heard)
        if command is not None and command.command == "leave off":
            return ""
        if rounds and plain_words(typed) == WORD:
            number = round_picked(console, rounds)
            if number is not None:
                raise RoundWanted(number)
        elif found := _found(console, desk, typed):
            return found
        again = Page(console.width()).gap()
        again.say("What is wrong? Say it in other words, or type: list, leave off, danger.", "strong")
        console.show(again.lines)


def symptom_meant(console: Console, desk: Desk, words: str) -> str:
    """The symptom that words on the command line mean: a path, an id, or words to be searched.

    Nothing where the person picks none of those offered; raises UnknownSymptom where nothing is like it.
    """
    if is_named(desk, words):
        return words
    if _LIKE_AN_ID.fullmatch(words):
        desk.trees.path_of(words)
    headings = desk.trees.headings()
    search = search_symptoms(words, headings)
    if not search.good:
        raise UnknownSymptom(words, tuple(match.id for match in search.nearest))
    return _taken(console, search.clear, headings) or _offered(console, headings, search.good)


def offer_to_resume(console: Console, desk: Desk) -> int | None:
    """Offer to go on with what was left off; returns the case to go on with, None for something new.

    The first of the two questions needs no store, which is loaded while it is being read. Words that tell of
    something new are raised as SomethingNew.
    """
    choices = (Choice(GO_ON, "Go on with it"), Choice(SOMETHING_NEW, "Something new"))
    console.show(Page(console.width()).say("Something was left off.", "strong").lines)
    if pick(console, choices, skip=SOMETHING_NEW, words=partial(_tells_of_a_symptom, desk)) == SOMETHING_NEW:
        return None
    names = {heading.id: heading.symptom for heading in desk.trees.headings()}
    waiting = [record for record in desk.waiting_cases() if record.symptom in names][:MOST_TO_RESUME]
    if not waiting:
        text = (
            "None of it can be gone on with here. (Is its tree in a folder of yours? Name it with --trees.)"
        )
        console.show(Page(console.width()).say(text).lines)
        return None
    if len(waiting) == 1:
        return waiting[0].case
    console.show(Page(console.width()).gap().say("Which?", "strong").lines)
    listed = [
        Choice(
            f"case-{record.case}",  # a bare number would stand for a place in the list
            f"{names[record.symptom]} (case {record.case}, {record.changed:%d %B}"
            f"{', ' + record.vehicle if record.vehicle else ''})",
        )
        for record in waiting
    ]
    picked = pick(console, [*listed, Choice(SOMETHING_NEW, "Something new")], skip=SOMETHING_NEW)
    return None if picked == SOMETHING_NEW else int(picked.removeprefix("case-"))


def _found(console: Console, desk: Desk, typed: str) -> str:
    words = plain_words(typed)
    headings = desk.trees.headings()
    if words in ("list", "help") or typed.strip() == "?":
        return _offered(console, headings)
    if not words:
        return ""
    search = search_symptoms(typed, headings)
    if not search.good:
        console.show(Page(console.width()).say(f'Nothing here clearly fits "{typed.strip()[:60]}".').lines)
    return _taken(console, search.clear, headings) or _offered(
        console, headings, search.good or search.nearest
    )


def _taken(console: Console, match: Match | None, headings: Sequence[Heading]) -> str:
    """A symptom that is clearly meant, said so that a wrong guess is seen; nothing where there is none."""
    if match is None or not any(heading.id == match.id and heading.shipped for heading in headings):
        return ""
    page = Page(console.width()).gap()
    console.show(page.say("So it is this. (Not this? Type: leave off.)", "quiet").lines)
    return match.id


def _offered(console: Console, headings: Sequence[Heading], matches: Sequence[Match] | None = None) -> str:
    """Offer symptoms to pick from, all of them without `matches`; nothing where none of them is meant."""
    by_id = {heading.id: heading for heading in headings}
    near = [
        match for match in matches or () if matches and matches[0].likeness - match.likeness <= FAR_BEHIND
    ]
    most = headings if matches is None else [by_id[match.id] for match in near[:MOST_OFFERED]]
    page = Page(console.width()).gap()
    page.say("Is it this?" if len(most) == 1 else "Which of these is it?", "strong")
    console.show(page.lines)
    choices = [Choice(heading.id, _name(heading)) for heading in most]
    picked = pick(console, [*choices, Choice(NONE_OF_THESE, "None of these")], skip=NONE_OF_THESE)
    return "" if picked == NONE_OF_THESE else picked


def _name(heading: Heading) -> str:
    return heading.symptom + ("" if heading.shipped else " (your own tree; not checked by this project)")
