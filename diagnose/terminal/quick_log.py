"""Logging a case that is over: which cause was it, shown for a yes. A digit and Enter will do everywhere.

Whoever logs has somebody waiting and cold or gloved hands, so there are no more than nine things to choose
from and nothing has to be spelt. Nothing is guessed either: what is logged has been picked, or its id typed,
and has been shown in full; Enter alone is a yes only where the id was typed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.knowledge.cause_search import CauseMatch, search_causes
from diagnose.knowledge.symptom_search import search_symptoms
from diagnose.terminal.console import Console
from diagnose.terminal.dangers import DangerTold
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.understanding import command_of, plain_words
from diagnose.terms import NOT_LISTED, Tree
from diagnose.walking.danger_words import ANY_DANGER

MOST = 8
NONE_OF_THESE = ("0", "none of these", "none", "not listed")
_YES, _NO = ("1", "y", "yes"), ("2", "n", "no")
_OTHERWISE = "Or say it in other words. To log nothing, type: leave off."


class LeftOff(Exception):
    """Nothing is to be logged."""


@dataclass(frozen=True, slots=True)
class Picked:
    """What it was."""

    tree: Tree
    cause: str
    """A cut set's id or `not-listed`."""
    says: str
    exact: bool = False
    """Whether the very ids were typed."""


@dataclass(frozen=True, slots=True)
class Draft:
    """What would be logged, in words; `again` is a case that has the same already."""

    vehicle: str
    day: str
    state: str
    findings: tuple[str, ...] = ()
    again: int | None = None


def ask_what_it_was(console: Console, trees: Sequence[Tree], words: str = "") -> Picked:
    """Ask until a cause is picked; raises LeftOff, DangerTold, and EOFError at the end of the input."""
    while True:
        words = words or _words(console)
        matches = search_causes(words, trees)
        if len(matches) == 1 and matches[0].exact:
            return _picked(matches[0], trees)
        if not matches:
            text = f'Nothing here fits "{words.strip()[:60]}".'
            console.show(Page(console.width()).say(text, "strong").lines)
        taken, words = _from_list(console, [_lines_of(match, trees) for match in matches], "Which was it?")
        if taken is not None:
            return _picked(matches[taken], trees)
        if not words:
            return _not_listed(console, trees, matches)


def is_to_be_logged(console: Console, picked: Picked, draft: Draft) -> bool:
    """Show what would be logged, and ask for a yes; raises LeftOff, DangerTold, EOFError."""
    page = Page(console.width()).say("To be logged:", "strong")
    page.say(picked.tree.symptom, indent=2)
    it_was = f"{picked.says} ({picked.cause})" if picked.cause != NOT_LISTED else picked.says
    page.hang("It was: ", it_was, indent=2)
    of = f', vehicle "{draft.vehicle}"' if draft.vehicle else ", no vehicle named"
    page.say(f"{draft.state.capitalize()} on {draft.day}{of}.", indent=2)
    for finding in draft.findings:
        page.hang("Found: ", finding, indent=2)
    if draft.again is not None:
        page.say(f"Case {draft.again} has the same vehicle, day and cause. Is this another one?", "strong")
    page.gap().listing([("1", "Yes, log it"), ("2", "No")])
    console.show([Line(""), *page.lines])
    while True:
        typed = _answer(console)
        if typed in _YES or (not typed and picked.exact and draft.again is None):
            return True
        if typed in _NO:
            return False
        console.show(Page(console.width()).say("Type 1 for yes or 2 for no.").lines)


def not_listed(tree: Tree) -> Picked:
    """A cause that the tree does not know."""
    return Picked(tree, NOT_LISTED, "something that is not listed")


def _words(console: Console) -> str:
    page = Page(console.width()).say("What was it?", "strong")
    console.show(page.say("In a few words, such as: spider in flue.", indent=2).lines)
    while not (typed := _answer(console)):
        console.show(Page(console.width()).say("A word or two, or type: leave off.").lines)
    return typed


def _not_listed(console: Console, trees: Sequence[Tree], matches: Sequence[CauseMatch]) -> Picked:
    """Something that no tree lists, of a symptom that has to be picked."""
    by_id = {tree.id: tree for tree in trees}
    offered = list(dict.fromkeys(match.symptom for match in matches))[:MOST]
    while True:
        lines = [(by_id[id].symptom + _whose(by_id[id]), "") for id in offered]
        taken, words = _from_list(console, lines, "It is logged as not listed. What was the symptom?")
        if taken is not None:
            return not_listed(by_id[offered[taken]])
        if not words:
            text = "What no tree is about cannot be logged. `diagnose symptoms` lists what there is."
            console.show(Page(console.width()).say(text).lines)
            raise LeftOff
        search = search_symptoms(words, trees)
        offered = [match.id for match in search.good or search.nearest][:MOST]


def _from_list(console: Console, entries: Sequence[tuple[str, str]], question: str) -> tuple[int | None, str]:
    """The place of what was picked, or None with the other words that were typed; none for none of these."""
    page = Page(console.width()).say(question, "strong")
    for number, (says, under) in enumerate(entries, 1):
        page.hang(f"{number}  ", says).say(under, "quiet", indent=5)
    page.hang("0  ", "None of these").say(_OTHERWISE, "quiet")
    console.show(page.lines)
    while True:
        typed = _answer(console)
        if typed in NONE_OF_THESE:
            return None, ""
        if typed.isascii() and typed.isdecimal():
            if 1 <= int(typed) <= len(entries):
                return int(typed) - 1, ""
        elif typed:
            return None, typed
        console.show(Page(console.width()).say(f"Type a number from 0 to {len(entries)}.").lines)


def _answer(console: Console) -> str:
    """What was typed, as plain words where they mean something; raises for the words that always work."""
    typed = console.ask().strip()
    command = command_of(typed)
    if command is not None and command.command == "danger":
        raise DangerTold(ANY_DANGER)
    if command is not None and command.command == "leave off":
        raise LeftOff
    words = plain_words(typed)
    return words if words in (*NONE_OF_THESE, *_YES, *_NO) else typed


def _lines_of(match: CauseMatch, trees: Sequence[Tree]) -> tuple[str, str]:
    tree = next(tree for tree in trees if tree.id == match.symptom)
    return match.says, match.symptom_says + _whose(tree)


def _whose(tree: Tree) -> str:
    return "" if tree.shipped else " (your own tree; not checked by this project)"


def _picked(match: CauseMatch, trees: Sequence[Tree]) -> Picked:
    tree = next(tree for tree in trees if tree.id == match.symptom)
    return Picked(tree, match.cause, match.says, match.exact)


def logged_page(case: int, picked: Picked, forget: str, width: int) -> Sequence[Line]:
    """That it is logged, and how to take it back."""
    it_was = f"{picked.says} ({picked.cause})" if picked.cause != NOT_LISTED else picked.says
    page = Page(width).say(f"Case {case} is logged: {it_was}. It counts from the next walk on.")
    return page.say(f"To take it back: {forget}").lines
