"""A class's results in one table, and what a learner missed in earlier ones.

A line is a learner's label and a result's code; the label is whatever the learner chose, or nothing. The
table is CSV, its cells disarmed for spreadsheets; it is read back to practise what was missed.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass

from diagnose.cases.cells import as_it_was, disarmed
from diagnose.cases.codes import ALPHABET, WrongCode, number_of, plain
from diagnose.practising.hiding import Record
from diagnose.practising.scoring import Score
from diagnose.terms import DiagnoseError

_WORD = re.compile(r"[^\s,;]+")
LONGEST_LINE = 2000
"""Characters: the longest code of all, spelled out word for word, with a label before it."""


class NoTable(DiagnoseError):
    """A file is no table of a class."""


COLUMNS = (
    "learner",
    "exercise",
    "symptom",
    "cause",
    "found",
    "ended",
    "minutes",
    "best_minutes",
    "marks",
    "costliest_turn",
    "minutes_lost",
)


@dataclass(frozen=True, slots=True)
class Handed:
    """One line as it was handed in: a label, perhaps empty, and a code as it was typed."""

    learner: str
    code: str


@dataclass(frozen=True, slots=True)
class Earlier:
    """One row of a class table, as far as it is learned from."""

    learner: str
    symptom: str
    cause: str
    found: bool | None


def handed_in(line: str) -> Handed:
    """A label and a code on one line, the code last; raises WrongCode where the line ends in none.

    >>> handed_in("robin, 0042-7524-4371"), handed_in("0042 7524 4371").learner
    (Handed(learner='robin', code='0042-7524-4371'), '')
    """
    if len(line) > LONGEST_LINE:
        raise WrongCode(f"this line is longer than any result is ({LONGEST_LINE} characters)")
    starts = [word.start() for word in _WORD.finditer(line)]
    for start in starts:
        with suppress(WrongCode):
            number_of(line[start:])
            return Handed(line[:start].strip(" \t,;:"), line[start:].strip())
    like = [start for start in starts if _looks_like_a_code(line[start:])]
    if not like:
        raise WrongCode("there is no code at the end of this line")
    number_of(line[like[0] :])
    raise AssertionError("it is no code")


def _looks_like_a_code(text: str) -> bool:
    """Whether nearly all of a text are characters of codes, and enough of them."""
    signs = plain(text)
    return len(signs) > 10 and sum(sign in ALPHABET for sign in signs) * 10 >= len(signs) * 9


def row_of(learner: str, score: Score) -> dict[str, str]:
    """One result as a row; minutes are whole ones, everything counted in minutes."""
    practice = score.practice
    turn = score.costliest
    found = "" if score.found is None else "yes" if score.found else "no"
    lost = turn.worth.regret if turn is not None and turn.worth is not None else 0.0
    return {
        "learner": learner,
        "exercise": practice.exercise.code(),
        "symptom": practice.exercise.model.tree.id,
        "cause": practice.vehicle.fault_id,
        "found": found,
        "ended": score.ended,
        "minutes": f"{score.spent.cost:.0f}",
        "best_minutes": f"{score.best.spent().cost:.0f}",
        "marks": str(score.traps),
        "costliest_turn": _costliest(score),
        "minutes_lost": f"{lost:.0f}",
    }


def _costliest(score: Score) -> str:
    turn = score.costliest
    if turn is None or turn.worth is None:
        return ""
    place = score.practice.turns.index(turn) + 1
    return f"turn {place}: {turn.choice.id} rather than {turn.worth.better.of}"


def as_csv(rows: Iterable[dict[str, str]]) -> str:
    """The table, with a header; lines end as RFC 4180 has it."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for row in rows:
        writer.writerow([disarmed(row[column]) for column in COLUMNS])
    return text.getvalue()


def is_a_table(text: str) -> bool:
    """Whether a text is such a table rather than lines with codes."""
    first = text.lstrip("\ufeff").partition("\n")[0]
    header = next(csv.reader([first]), []) if len(first) <= LONGEST_LINE else []
    return {"learner", "symptom", "cause", "found"} <= {cell.strip() for cell in header}


def earlier_in(text: str) -> list[Earlier]:
    """The rows of a table; other columns are passed over, and a row without a symptom as well.

    Raises NoTable for a text that no program could have written as one.
    """
    rows = csv.DictReader(io.StringIO(text.lstrip("\ufeff"), newline=""))
    told = {"yes": True, "no": False}
    try:
        return [
            Earlier(
                as_it_was(row.get("learner") or ""),
                row["symptom"] or "",
                row["cause"] or "",
                told.get((row["found"] or "").strip().lower()),
            )
            for row in rows
            if row.get("symptom")
        ]
    except csv.Error as error:
        raise NoTable(f"line {rows.line_num + 1} is none of a class table: {error}") from None


def records(earlier: Sequence[Earlier], symptom: str, learner: str = "") -> dict[str, Record]:
    """Fault -> how often it was met and missed, of one symptom; of one learner, where one is named.

    An exercise that rightly ended in a stop says nothing about its fault.
    """
    found: dict[str, Record] = {}
    for each in earlier:
        if each.symptom != symptom or each.found is None or (learner and each.learner != learner):
            continue
        known = found.get(each.cause, Record())
        found[each.cause] = Record(known.met + 1, known.missed + (not each.found))
    return found
