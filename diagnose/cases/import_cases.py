"""From the rows of a file to cases as the store keeps them, with the reason for each row that cannot come in.

Per row this does a handful of look-ups, for each distinct text is understood once (`import_words`); what is
wrong with a row is worked out only where a look-up says that something is. Memory does not grow with the
file: rows go through in batches, numbers that were seen are kept in a database beside the memory.
"""

from __future__ import annotations

import gc
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, TypeVar

from diagnose.cases.cells import as_it_was
from diagnose.cases.import_columns import Columns
from diagnose.cases.import_meanings import Known, Meanings, Refusal
from diagnose.cases.import_rows import BadRow, Rows
from diagnose.cases.import_words import LONGEST_NUMBER, Words
from diagnose.knowledge.ids import quoted
from diagnose.terms import Flaw

T = TypeVar("T")
AT_ONCE = 5_000
"""Rows that are in memory at one time."""
MOST_TOLD = 1_000
"""Flaws that are kept to be told one by one; the file of refused rows holds all of them."""
MOST_WORDS = 2_000
"""Distinct words without a meaning that are counted."""

Finding = tuple[str, str, float | None, float | None]
"""(check, answer, value, uncertainty)"""
Prepared = tuple[str, str, str, str, str, int, str, str, str, tuple[Finding, ...]]
"""(number, symptom, tree's digest, state, opened, year, vehicle, its key, cause or "", findings)"""
Refused = Callable[[int, Sequence[Any], str], None]
"""Takes what was refused: the row's number, its cells, the reason."""


@dataclass(slots=True)
class Report:
    """What reading a file came to."""

    rows: int = 0
    """All that are not empty, below the header."""
    good: int = 0
    confirmed: int = 0
    """Of the good ones, those with a cause."""
    doubtful: int = 0
    """Refused for nothing but words that are only like known ones."""
    refused: int = 0
    """Refused for something else."""
    left_out: int = 0
    """Rows whose symptom the mapping leaves out."""
    repeated: int = 0
    """Rows that say again what one before said under the same number."""
    flaws: list[tuple[Flaw, bool]] = field(default_factory=list)
    """The first of them, each with whether its row is only doubtful."""
    words: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    """(kind, id, words) that a mapping could explain -> rows."""
    unread: tuple[str, ...] = ()
    notes: list[str] = field(default_factory=list)

    @property
    def kept_out(self) -> int:
        """Rows that do not come in though they should."""
        return self.doubtful + self.refused


@contextmanager
def only_new_objects_searched() -> Iterator[None]:
    """Python's search for unreachable objects leaves alone what was there before.

    So many small tuples come and go in an import that the search would otherwise go through the whole program
    again and again: a sixth of all the work, and it finds nothing.
    """
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()


class RowReader:
    """Reads one file's rows as cases; `report` fills up meanwhile."""

    def __init__(
        self, rows: Rows, columns: Columns, words: Words, shown: str, refused: Refused = lambda *_: None
    ) -> None:
        self.rows, self.columns, self.words, self.shown = rows, columns, words, shown
        self._refused = refused
        self.report = Report(unread=columns.unread)
        self._numbers: Meanings[str | Refusal] = Meanings(_number)

    def batches(self) -> Iterator[list[Prepared]]:
        """The cases, some thousand at a time."""
        with closing(_Seen()) as seen:
            for batch in batched(self._cases(), AT_ONCE):
                yield self._once(seen, batch)
        self.report.notes = list(self.rows.notes)

    def _cases(self) -> Iterator[tuple[Prepared, int, list[Any]]]:
        of = self.columns.fields
        c_case, c_date, c_symptom = of["case"], of["date"], of["symptom"]
        c_cause, c_vehicle, c_state = of["cause"], of["vehicle"], of["state"]
        checks = self.columns.checks
        days, symptoms, states = self.words.days, self.words.symptoms, self.words.states
        vehicles, answers_of, report = self.words.vehicles, self.words.answers, self.report
        for at, row in self.rows:
            report.rows += 1
            if row.__class__ is BadRow:
                assert isinstance(row, BadRow)
                self._refuse(at, row.cells, [(row.column, Refusal(row.why))])
                continue
            assert isinstance(row, list)
            row.append("")  # what a column holds that is not there
            number = row[c_case]
            if number.__class__ is not str or not number.isalnum():
                number = text_of_number(number)
            day, known = days[row[c_date]], symptoms[row[c_symptom]]
            state, vehicle = states[row[c_state]], vehicles[row[c_vehicle]]
            if known is None:
                report.left_out += 1
                continue
            if (
                known.__class__ is not Known or day.__class__ is Refusal or state.__class__ is Refusal
                or vehicle.__class__ is Refusal or not 0 < len(number) <= LONGEST_NUMBER
                or not number.isprintable() or number[0] == "="
            ):  # fmt: skip
                self._refuse(at, row[:-1], self._why(row, number))
                continue
            cause = known.causes[row[c_cause]]
            findings: list[Finding] = []
            bad = cause.__class__ is Refusal
            for column, check in checks:
                text = row[column]
                if text != "":
                    meanings = known.answers.get(check) or answers_of(known, check)
                    answer = meanings[text]
                    if answer.__class__ is Refusal:
                        bad = True
                    elif answer is not None:
                        findings.append(answer)
            if bad:
                self._refuse(at, row[:-1], self._why(row, number))
                continue
            case = (
                number, known.id, known.digest, state, *day, *vehicle, cause, tuple(findings),  # type: ignore
            )  # fmt: skip
            yield case, at, row

    def _why(self, row: list[Any], number: str) -> list[tuple[int, Refusal]]:
        """Everything that is wrong with a row, each with its column from 1."""
        of, words = self.columns.fields, self.words
        found: list[tuple[int, Any]] = [(of["case"], self._numbers[number])]
        found += [(of["date"], words.days[row[of["date"]]]), (of["state"], words.states[row[of["state"]]])]
        found += [(of["vehicle"], words.vehicles[row[of["vehicle"]]])]
        known = words.symptoms[row[of["symptom"]]]
        found.append((of["symptom"], known))
        if isinstance(known, Known):
            found.append((of["cause"], known.causes[row[of["cause"]]]))
            found += [
                (at, words.answers(known, check)[row[at]])
                for at, check in self.columns.checks
                if row[at] != ""
            ]
        said = []
        for at, meaning in found:
            if isinstance(meaning, Refusal):
                if is_formula(row[at]):
                    meaning = Refusal(
                        f"a formula stands here ({quoted(str(row[at]))}); put its value instead"
                    )
                said.append((at + 1, meaning))
        return sorted(said, key=lambda each: each[0])

    def _refuse(self, at: int, cells: Sequence[Any], why: list[tuple[int, Refusal]]) -> None:
        report = self.report
        doubtful = all(refusal.doubtful for _, refusal in why)
        if doubtful:
            report.doubtful += 1
        else:
            report.refused += 1
        for column, refusal in why:
            if len(report.flaws) < MOST_TOLD:
                flaw = Flaw(self.shown, at, column, refusal.text, refusal.meant)
                report.flaws.append((flaw, doubtful))
            about = refusal.about
            if about is not None and (about in report.words or len(report.words) < MOST_WORDS):
                report.words[about] += 1
        self._refused(at, cells, "; ".join(refusal.message for _, refusal in why))

    def _once(self, seen: _Seen, batch: Sequence[tuple[Prepared, int, list[Any]]]) -> list[Prepared]:
        """The cases whose number was not there before; the others are told, or passed over as said again."""
        before = seen.add([(case[0], at, hash(case)) for case, at, _ in batch])
        cases = [case for case, _, _ in batch]
        if before:
            cases = []
            for case, at, row in batch:
                first, digest = before[case[0]]
                if first == at:
                    cases.append(case)
                elif digest == hash(case):
                    self.report.repeated += 1
                else:
                    text = f"case {quoted(case[0])} stands on row {first} already, and with other content"
                    self._refuse(at, row[:-1], [(self.columns.fields["case"] + 1, Refusal(text))])
        self.report.good += len(cases)
        self.report.confirmed += sum(1 for case in cases if case[8])
        return cases


class _Seen:
    """The numbers seen so far, on disk once they are many."""

    def __init__(self) -> None:
        # A database without a name: SQLite keeps it in memory up to its cache, and beyond that in a file.
        self._kept = sqlite3.connect("", isolation_level=None)
        self._kept.execute("PRAGMA cache_size = -16000")
        self._kept.execute("PRAGMA journal_mode = OFF")
        self._kept.execute("CREATE TABLE seen (number TEXT PRIMARY KEY, row INT, digest INT) WITHOUT ROWID")
        self._kept.execute("BEGIN")

    def close(self) -> None:
        """Forget all."""
        self._kept.close()

    def add(self, rows: list[tuple[str, int, int]]) -> dict[str, tuple[int, int]]:
        """Notes rows; where any was there before, number -> (its first row, digest) of them all."""
        added = self._kept.executemany("INSERT OR IGNORE INTO seen VALUES (?, ?, ?)", rows).rowcount
        if added == len(rows):
            return {}
        find = "SELECT row, digest FROM seen WHERE number = ?"
        return {number: self._kept.execute(find, (number,)).fetchone() for number, _, _ in rows}


def batched(items: Iterator[T], number: int) -> Iterator[tuple[T, ...]]:
    """So many at a time (itertools.batched, from Python 3.12 on)."""
    while some := tuple(islice(items, number)):
        yield some


def text_of_number(cell: Any) -> str:
    """A case's number as text; where the file holds it as a number, 17.0 is 17."""
    if isinstance(cell, str):
        return as_it_was(cell.strip())
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    return repr(cell)


def is_formula(cell: Any) -> bool:
    """Whether a spreadsheet would compute a cell: text that begins with an equals sign."""
    return isinstance(cell, str) and cell.lstrip().startswith("=")


def _number(number: str) -> str | Refusal:
    if not number:
        return Refusal("no number of the case stands here; without one it would count anew each time")
    if len(number) > LONGEST_NUMBER:
        return Refusal(f"the case's number has {len(number)} characters; {LONGEST_NUMBER} at most")
    if not number.isprintable():
        return Refusal("a control or invisible character stands in the case's number")
    if is_formula(number):
        return Refusal("the case's number is a formula")
    return number
