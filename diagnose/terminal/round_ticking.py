"""A printed list brought back at the prompt: what was wrong, not done, not fitted, and what the rest is.

Nothing is fine because nobody said anything: the rest is fine only once somebody types that word. All of it
is shown once before anything is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from diagnose.rounds.list_code import Rows
from diagnose.rounds.marks_file import Known
from diagnose.rounds.past import RoundPast
from diagnose.rounds.presence import is_there
from diagnose.rounds.ticked_line import CHANGED, Completed, completed, read_line
from diagnose.terminal.console import Console
from diagnose.terminal.dangers import YES_OR_NO, DangerTold, told_danger
from diagnose.terminal.layout import Page
from diagnose.terminal.round_end import ENDS
from diagnose.terminal.round_pages import counted
from diagnose.terminal.sentences import ended, sentence
from diagnose.terminal.understanding import Chosen, meaning
from diagnose.terms import FlawedKnowledge
from diagnose.terms.rounds import TaskEnd

ENDS_ASKED: tuple[tuple[TaskEnd, str], ...] = (
    ("wrong", "Which are wrong?"),
    ("not-done", "Which were not done?"),
    ("not-fitted", "Which are not fitted?"),
)
HOW = "Numbers, a note behind a colon: 4: it is loose; 9 12. Enter: none."
HOW_CHANGED = "The four characters beside each, a note behind a colon. Enter: none."


class PutAside(Exception):
    """Somebody leaves it before anything is kept."""


@dataclass(slots=True)
class Ticking:
    """A list and the console at which it is brought back."""

    console: Console
    rows: Rows
    known: Known
    past: RoundPast
    _said: list[str] = field(default_factory=list)

    def ask(self) -> Completed:
        """Every row with its end, once somebody has agreed to it.

        Raises PutAside, DangerTold, and EOFError at the end of the input.
        """
        if self.rows.changed:
            self._show(self._page().say(f"{sentence(CHANGED)} Its numbers are not used.", "strong"))
        for end, question in ENDS_ASKED:
            self._clauses(question, HOW_CHANGED if self.rows.changed else HOW, _of_end(end))
        if self.rows.changed:
            self._clauses("Which are fine?", HOW_CHANGED, _of_end("fine"))
        self._vehicle()
        self._rest()
        found = completed(read_line(self._line(), self.rows, self.known), self.rows, self.past)
        self._show(ticked_page(found, self.rows, self.console.width()))
        self._show(self._page().say("Keep this? Type the whole word: yes or no.", "strong"))
        while True:
            meant = meaning(self._typed(), YES_OR_NO, whole=True)
            if isinstance(meant, Chosen):
                if meant.choice.id == "no":
                    raise PutAside
                return found
            self._show(self._page().say("Here it has to be the whole word: yes or no."))

    def _vehicle(self) -> None:
        open_facts = {
            letter: check for letter, check in self.rows.facts.items() if check.id not in self.known.carded
        }
        if not open_facts:
            return
        page = self._page().say("What is ticked about the vehicle?", "strong")
        for letter, check in open_facts.items():
            page.hang(f"{letter}  ", f"{check.ask} {', '.join((*check.answer_ids(), 'not sure'))}", indent=2)
        self._show(page)
        self._clauses("", f"Such as: {next(iter(open_facts))} not sure. Enter: nothing.", lambda part: part)

    def _rest(self) -> None:
        line = read_line(self._line(), self.rows, self.known)
        facts = {**self.past.facts, **line.brought.facts}
        said = {mark.task for mark in line.brought.marks}
        left = [
            str(number)
            for number, id in enumerate(self.rows.order, 1)
            if id not in said and is_there(self.rows.round.tasks[id], facts)
        ]
        if not left:
            return
        page = self._page().say(f"Left: {counted(len(left), 'row')}, {', '.join(left)}.", "strong")
        page.say("Were they all ticked fine? Then type the whole word: fine. Enter: they were not done.")
        self._show(page)
        while True:
            typed = " ".join(self._typed().casefold().replace("-", " ").split())
            if typed in ("fine", "not done", ""):
                self._said.append(f"rest {typed or 'not done'}")
                return
            self._show(self._page().say("Type the whole word: fine. Or just Enter, for not done."))

    def _clauses(self, question: str, how: str, clause: Callable[[str], str]) -> None:
        """Ask until what is typed is understood, or nothing is."""
        page = self._page()
        if question:
            page.say(question, "strong")
        self._show(page.say(how, "quiet"))
        while True:
            typed = self._typed()
            parts = [clause(part.strip()) for part in typed.split(";") if part.strip()]
            if typed.strip().casefold() in ("", "none", "nothing"):
                return
            try:
                read_line("\n".join([*self._said, *parts]), self.rows, self.known)
            except FlawedKnowledge as flawed:
                page = self._page()
                for flaw in flawed.flaws:
                    page.hang("- ", ended(sentence(flaw.message)))
                self._show(page.say("Type it again, or just Enter for none."))
                continue
            self._said += parts
            return

    def _typed(self) -> str:
        typed = self.console.ask()
        if typed.strip().casefold() in ("leave off", "leave", "quit"):
            raise PutAside
        heard = told_danger(self.console, typed)
        if heard is not None:
            raise DangerTold(heard)
        return typed

    def _line(self) -> str:
        return "\n".join(self._said)

    def _page(self) -> Page:
        return Page(self.console.width())

    def _show(self, page: Page) -> None:
        self.console.show(page.lines)


def ticked_page(found: Completed, rows: Rows, width: int) -> Page:
    """Every row with its end, and what of it was not taken as it was said."""
    page = Page(width)
    number = {id: str(at) for at, id in enumerate(rows.order, 1)}
    for mark in found.brought.marks:
        note = f" Noted: {ended(mark.note)}" if mark.note else ""
        first = number.get(mark.task, mark.task)
        what = ended(rows.round.tasks[mark.task].what)
        page.hang(f"{first:>3}  {ENDS[mark.end].upper():10}  ", f"{what}{note}", indent=0)
    for fact, answer in found.brought.facts.items():
        page.hang("  -  ", f"{fact}: {answer.replace('-', ' ')}", indent=0)
    if found.waiting:
        page.gap().say(_waiting(found, rows, number), "strong")
    return page.gap()


def _waiting(found: Completed, rows: Rows, number: dict[str, str]) -> str:
    told: Sequence[str] = [
        f"{number.get(id, id)} (comes only after {number.get(before, before)})"
        for id, before in found.waiting.items()
    ]
    return f"Taken as not done, since nobody named them: {', '.join(told)}."


def _of_end(end: TaskEnd) -> Callable[[str], str]:
    return lambda part: f"{end.replace('-', ' ')} {part}"
