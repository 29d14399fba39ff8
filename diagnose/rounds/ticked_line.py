"""What was ticked on a printed list, typed the quick way: `wrong 4 9: the strap is loose; rest fine`.

Clauses are divided by `;` or by lines. One names an end and rows, with a note behind a colon; `rest fine` or
`rest not done` says what holds for the rows that no clause names; a letter or a fact with an answer says
something of the vehicle. A row is named by its number, by the four characters beside it or by its task's id.
What is typed is untrusted: every flaw is told with its place, and where there is one nothing of it is taken.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from diagnose.cases.codes import plain
from diagnose.knowledge.ids import nearest, quoted
from diagnose.rounds.brought import Brought, Ticked, against_the_card, answer_meant, facts_of, no_answer
from diagnose.rounds.list_code import Rows
from diagnose.rounds.marks_file import LONGEST_NOTE, Known, not_for_this_vehicle
from diagnose.rounds.past import RoundPast, held_back
from diagnose.rounds.presence import tasks_there
from diagnose.terms import Flaw, FlawedKnowledge
from diagnose.terms.rounds import TASK_ENDS, TaskEnd, TaskMark

_END = re.compile(
    r"(?P<rest>(?:the\s+|all\s+the\s+)?rest\s+)?(?P<end>fine|wrong|not[\s-]+done|not[\s-]+fitted)(?![\w-])",
    re.IGNORECASE,
)
_REST = re.compile(r"(the |all the )?rest", re.IGNORECASE)
_ROW = re.compile(r"[^\s,:]+")
_RANGE = re.compile(r"(\d{1,3})-(\d{1,3})")
_FACT = re.compile(r"([A-Za-z][\w-]*)\s*[:=]?\s+(\S.*)|([A-Za-z][\w-]*)\s*[:=]\s*(\S.*)")
CHANGED = "this list was printed before something of the round changed"


@dataclass(frozen=True, slots=True)
class Line:
    """What was typed, once nothing of it is wrong."""

    brought: Brought
    """What was said of single rows and of the vehicle."""
    rest: TaskEnd | None = None
    """What was said of all other rows: *fine*, *not done*, or nothing."""


@dataclass(frozen=True, slots=True)
class Completed:
    """Every row of the list with its end."""

    brought: Brought
    waiting: Mapping[str, str]
    """Tasks that *rest fine* did not make fine, since another one holds them back -> that one."""


def read_line(text: str, rows: Rows, known: Known, name: str = "typed") -> Line:
    """What a line says; raises FlawedKnowledge with every flaw of it, `name` standing for a file's name."""
    reading = _Reading(rows, known, name)
    for line, column, clause in _clauses(text):
        reading.clause(line, column, clause)
    reading.of_this_vehicle()
    if reading.flaws:
        raise FlawedKnowledge(tuple(sorted(reading.flaws, key=lambda each: (each.line, each.column))))
    return Line(Brought(tuple(reading.marks), reading.facts), reading.rest)


def completed(line: Line, rows: Rows, past: RoundPast) -> Completed:
    """What holds for each row. A box that nobody ticked is *not done*, unless somebody said that it is fine.

    What was marked on the round before, other than as not done, stays as it is where no clause names it. And
    what was said of the rest alone makes nothing fine that is not to be done at all, for the sake of
    something that is wrong or was not done: that is taken as not done.
    """
    round, facts = rows.round, {**past.facts, **line.brought.facts}
    there = tasks_there(round, facts)
    said = {mark.task: mark for mark in line.brought.marks}
    settled = {id for id, mark in past.marks.items() if mark.end != "not-done"}
    open_rows = [id for id in rows.order if id in there and id not in said and id not in settled]
    ends: dict[str, TaskEnd] = dict.fromkeys(open_rows, line.rest or "not-done")
    waiting: dict[str, str] = {}
    marks = {id: mark.end for id, mark in past.marks.items()} | {id: mark.end for id, mark in said.items()}
    while True:
        now = datetime.now(UTC)
        every = {id: TaskMark(id, end, now) for id, end in {**marks, **ends}.items()}
        held = held_back(round, there, every)
        fresh = [id for id in ends if ends[id] == "fine" and id in held]
        if not fresh:
            break
        for id in fresh:
            ends[id], waiting[id] = "not-done", held[id][0]
    filled = tuple(Ticked(id, end) for id, end in ends.items())
    place = {id: at for at, id in enumerate(rows.order)}
    marked = sorted((*said.values(), *filled), key=lambda mark: place.get(mark.task, len(place)))
    return Completed(Brought(tuple(marked), line.brought.facts), waiting)


def _clauses(text: str) -> Iterator[tuple[int, int, str]]:
    """Each clause with the line and column, from 1, at which it begins."""
    for number, line in enumerate(text.splitlines(), 1):
        for found in re.finditer(r"[^;]+", line):
            clause = found[0]
            if clause.strip():
                start = len(clause) - len(clause.lstrip())
                yield number, found.start() + start + 1, clause.strip()


class _Reading:
    """One line while it is read."""

    def __init__(self, rows: Rows, known: Known, name: str) -> None:
        self.rows, self.known, self.name = rows, known, name
        self.flaws: list[Flaw] = []
        self.marks: list[Ticked] = []
        self.facts: dict[str, str] = {}
        self.rest: TaskEnd | None = None
        self._places: dict[str, tuple[int, int]] = {}
        self._ids = {old: task.id for task in rows.round.tasks.values() for old in task.was}
        self._ids |= {id: id for id in rows.round.tasks}

    def flaw(self, line: int, column: int, told: str, meant: str = "") -> None:
        """Something is wrong here."""
        self.flaws.append(Flaw(self.name, line, column, told, meant))

    def clause(self, line: int, column: int, clause: str) -> None:
        """One clause: rows with an end, the rest, or something of the vehicle."""
        begins = _END.match(clause)
        if begins is None and _REST.fullmatch(clause):
            self.flaw(line, column, "what is the rest? Write: rest fine, or: rest not done")
            return
        if begins is None:
            self._fact(line, column, clause)
            return
        end = _end_of(begins["end"])
        behind = clause[begins.end() :]
        at = begins.end() + len(behind) - len(behind.lstrip(" :\t"))
        behind = behind.lstrip(" :\t")
        if begins["rest"]:
            self._rest(line, column, end, behind)
            return
        listed, _, note = behind.partition(":")
        note = " ".join(note.split())
        if len(note) > LONGEST_NOTE:
            self.flaw(line, column, f"a note is a text of {LONGEST_NOTE} characters at most")
        found = [token for token in _ROW.finditer(listed) if token[0].casefold() not in ("and", "&")]
        if not found:
            self.flaw(line, column, f"{end.replace('-', ' ')} of which rows? Write their numbers behind it")
        for token in found:
            self._row(line, column + at + token.start(), token[0], end, note)

    def of_this_vehicle(self) -> None:
        """Marks on tasks that the vehicle cannot have, once everything was read."""
        for mark in self.marks:
            told = not_for_this_vehicle(self.rows.round, mark.task, mark.end, self.known.facts, self.facts)
            if told:
                self.flaw(*self._places[mark.task], told)

    def _rest(self, line: int, column: int, end: TaskEnd, behind: str) -> None:
        if end not in ("fine", "not-done"):
            self.flaw(line, column, "the rest is fine or not done; name the rows of anything else")
        elif behind:
            self.flaw(line, column, f"behind the rest nothing is named, as is {quoted(behind)}")
        elif self.rest is not None:
            self.flaw(line, column, "what the rest is stands here already")
        elif end == "fine" and self.rows.changed:
            self.flaw(
                line, column, f"{CHANGED}, so the rest is not known; name what is fine by its characters"
            )
        else:
            self.rest = end

    def _row(self, line: int, column: int, token: str, end: TaskEnd, note: str) -> None:
        between = _RANGE.fullmatch(token)
        numbers = range(int(between[1]), int(between[2]) + 1) if between else ()
        if between and not numbers:
            self.flaw(line, column, f"{token} is no stretch of rows: the lower number comes first")
            return
        if self.rows.changed and (between or _is_number(token)):
            self.flaw(
                line, column, f"{CHANGED}, so {token} may be another row now; write its four characters"
            )
            return
        for each in map(str, numbers) if between else (token,):
            id = self._task(line, column, each, end)
            if id is None:
                return
            if id in self._places:
                again = "" if each == id else f" ({id})"
                self.flaw(line, column, f"{each}{again} has an end already")
                return
            self._places[id] = (line, column)
            self.marks.append(Ticked(id, end, note))

    def _task(self, line: int, column: int, token: str, end: TaskEnd) -> str | None:
        """The task that a number, the four characters or an id names; None where that is told to be wrong."""
        if _is_number(token):
            if 1 <= int(token) <= len(self.rows.order):
                return self.rows.order[int(token) - 1]
            self.flaw(
                line, column, f"there is no row {token}; this list has rows 1 to {len(self.rows.order)}"
            )
            return None
        if (id := self._ids.get(token.casefold())) is not None:
            if self.rows.changed and end == "fine":
                told = f"{CHANGED}; for {id} to be fine, write the four characters beside its row"
                self.flaw(line, column, told)
                return None
            return id
        sign = plain(token)
        if sign in self.rows.marks:
            id = self.rows.marks[sign]
            if self.rows.changed or id in self.rows.order:
                return id
            self.flaw(line, column, f"{token} ({id}) is not on this list")
        elif len(sign) == 4 and "-" not in token:
            told = (
                f"no row of the {self.rows.round.id} round reads as {quoted(token)} did: it has changed or "
                "gone, or a character is wrong; nothing ticked beside it counts before it is looked at again"
            )
            self.flaw(line, column, told)
        else:
            self.flaw(line, column, f"{quoted(token)} is no row of this list", nearest(token, self._ids))
        return None

    def _fact(self, line: int, column: int, clause: str) -> None:
        found = _FACT.fullmatch(clause)
        word, answer = (found[1] or found[3], found[2] or found[4]) if found else (clause.split()[0], "")
        asked = facts_of(self.rows.round, self.known.checks)
        check = self.rows.facts.get(word.casefold()) or asked.get(word.casefold())
        if check is None and len(word) == 1 and answer:
            letters = ", ".join(self.rows.facts)
            had = f"this list has {letters}" if letters else "nothing is asked of it on this list"
            self.flaw(line, column, f"there is no {word} about the vehicle; {had}")
            return
        if check is None:
            told = f"{quoted(clause)} is not understood; write an end and rows, such as: wrong 4 9"
            words = ("fine", "wrong", "rest", *asked)
            self.flaw(line, column, told, nearest(word.casefold(), words))
            return
        meant = answer_meant(check, answer)
        if meant is None:
            self.flaw(line, column, *no_answer(check, quoted(answer), answer))
        elif told := against_the_card(check.id, meant, self.known.carded):
            self.flaw(line, column, told)
        elif check.id in self.facts:
            self.flaw(line, column, f"{check.id} has an answer already")
        else:
            self.facts[check.id] = meant


def _end_of(words: str) -> TaskEnd:
    id = "-".join(re.split(r"[\s-]+", words.casefold()))
    return next(end for end in TASK_ENDS if end == id)


def _is_number(token: str) -> bool:
    return token.isascii() and token.isdigit() and len(token) <= 3
