"""The strict reading of an export: a file that came from somebody else, by mail or on a stick.

Bytes in, an `Export` out, or every flaw with its line and column. Nothing in the file is believed: its size
and form, the types, the ids, the counts and the digest are looked at before anything is counted. Whatever
may stand in a file fits into the store and leaves a ranking in one piece.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, get_args

from diagnose.cases.exchange import (
    COLUMNS,
    FORMAT,
    SINGLE,
    SINGLE_COLUMNS,
    TABLES,
    VERSION,
    Export,
    Row,
    digest_of,
)
from diagnose.cases.exchange_form import Apart, Flaws, take_apart
from diagnose.cases.exchange_withholding import LEAST
from diagnose.knowledge.characters import without_refused
from diagnose.knowledge.ids import quoted, why_no_id
from diagnose.terms import NOT_LISTED, Flaw, FlawedKnowledge, State

LARGEST = 32 * 1024 * 1024
"""Bytes of one file. A row takes some seventy, so that is near half a million rows."""
MOST = 10_000_000
"""The highest total of one cell; no workshop sees more cases of one cause in a year."""
HIGHEST_NUMBER = 2**31 - 1
FIRST_YEAR = 1900
MOST_CAUSES = 20
"""How many causes one case can have had together."""

_PLAIN = ("format", "version", "origin", "number", "at_least", "digest")
_NEWER = re.compile(rf'\s*{{\s*"format"\s*:\s*"{FORMAT}"\s*,\s*"version"\s*:\s*([0-9]{{1,9}})\b')
"""Format and version stand first in every version of the format, whatever else may change."""
_ORIGIN = re.compile(r"[0-9a-f]{16}")
_DIGEST = re.compile(r"[0-9a-f]{64}")
_SOURCE = re.compile(r"[0-9a-f]{4}")
_DISTINCT: Mapping[str, int] = {"by_code": 2, "by_code_answers": 3}
"""In so many columns no two rows of a table may agree; else it is all but the total."""
_STATES = get_args(State)
_OVER = ("cured", "referred", "stopped")


def load_export(path: Path, year: int) -> Export:
    """The export in a file; `year` is the present one. Raises FlawedKnowledge with every flaw."""
    shown = without_refused(str(path))
    try:
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise FlawedKnowledge((Flaw(shown, 1, 1, f"cannot be read: {reason}"),)) from error
    return read_export(content, shown, year)


def read_export(content: bytes, file: str, year: int) -> Export:
    """The same for what the file holds; `file` is its name in the flaws."""
    if len(content) > LARGEST:
        raise FlawedKnowledge((Flaw(file, 1, 1, f"is larger than {LARGEST // 2**20} MiB"),))
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise FlawedKnowledge((Flaw(file, line, 1, "is no text in UTF-8"),)) from error
    flaws = Flaws(file, text)
    _refuse_newer(flaws)
    single = SINGLE if _version(text) > 1 else ()
    columns = {**COLUMNS, **{table: SINGLE_COLUMNS[table] for table in single}}
    apart = take_apart(flaws, _PLAIN, columns)
    tables = (*TABLES, *single)
    _look_at_head(flaws, apart, tables)
    for table in tables:
        _look_at_rows(flaws, table, apart.tables[table], year)
    flaws.tell()
    _look_at_answers(flaws, apart)
    if single:
        _look_at_single_answers(flaws, apart)
    rows = {table: [row for _, row in apart.tables[table]] for table in tables}
    if apart.plain["digest"] != digest_of(apart.plain | rows):
        flaws.at(
            apart.at["digest"], "the digest does not fit the file, which was damaged or changed on its way"
        )
    flaws.tell()
    origin, number, at_least = (apart.plain[key] for key in ("origin", "number", "at_least"))
    return Export(
        origin, number, at_least=at_least, **{name: tuple(map(tuple, rows[name])) for name in tables}
    )


def _version(text: str) -> int:
    found = _NEWER.match(text)
    return int(found[1]) if found else 1


def _refuse_newer(flaws: Flaws) -> None:
    """A later version may hold what this program does not know, so nothing else is told of it."""
    found = _NEWER.match(flaws.text)
    if found and int(found[1]) > VERSION:
        flaws.stop(
            found.start(1),
            f"has version {int(found[1])} of the format, this program reads up to {VERSION}; "
            "update the program",
        )


def _look_at_head(flaws: Flaws, apart: Apart, tables: Sequence[str]) -> None:
    """Whose file it is first: of another format nothing else is told."""
    at, values = apart.at, apart.plain
    if values.get("format") != FORMAT:
        flaws.stop(at.get("format", 0), f'is no export of a case store: its format is not "{FORMAT}"')
    rules: dict[str, tuple[Callable[[Any], object], str]] = {
        "version": (lambda n: _whole(n) and 0 < n <= VERSION, f"a number from 1 to {VERSION}"),
        "origin": (lambda word: isinstance(word, str) and _ORIGIN.fullmatch(word), "16 hexadecimal digits"),
        "number": (lambda n: _whole(n) and 0 < n <= HIGHEST_NUMBER, f"a number from 1 to {HIGHEST_NUMBER}"),
        "at_least": (lambda n: _whole(n) and (n == 0 or LEAST <= n <= MOST), f"0, or a number from {LEAST}"),
        "digest": (lambda word: isinstance(word, str) and _DIGEST.fullmatch(word), "64 hexadecimal digits"),
    }
    for key, (fits, wanted) in rules.items():
        if key in values and not fits(values[key]):
            flaws.at(at[key], f'"{key}" is {wanted}')
    for key in (*_PLAIN, *tables):
        if key not in at:
            flaws.at(0, f'key "{key}" is missing')
            apart.tables.setdefault(key, [])


def _look_at_rows(flaws: Flaws, table: str, rows: list[tuple[int, list[Any]]], year: int) -> None:
    seen: set[Row] = set()
    for number, (at, row) in enumerate(rows, 1):
        flaw = _flaw_of_row(table, row, year)
        distinct = slice(_DISTINCT.get(table, -1))
        if not flaw and tuple(row[distinct]) in seen:
            flaw = "it counts what a row before it counts"
        if flaw:
            flaws.at(at, f"row {number} of {table}: {flaw}")
        else:
            seen.add(tuple(row[distinct]))


def _flaw_of_row(table: str, row: list[Any], year: int) -> str:
    columns = SINGLE_COLUMNS.get(table) or COLUMNS[table]
    if len(row) != len(columns):
        return f"it is no list of {', '.join(columns)}"
    endings = _OVER if table == "unconfirmed" else _STATES
    for column, value in zip(columns, row, strict=True):
        if column == "source":
            flaw = "" if isinstance(value, str) and _SOURCE.fullmatch(value) else "is no 4 hexadecimal digits"
        elif column == "case":
            flaw = _flaw_of_number(value, 1, HIGHEST_NUMBER)
        elif column == "cause" and table == "by_code" and value == "":
            flaw = "" if row[-1] in _OVER else "is empty, and the case is not over"
        elif column == "ending":
            flaw = "" if value in endings else f"is none of {', '.join(endings)}"
        elif column == "total":
            flaw = _flaw_of_number(value, 1, MOST)
        elif column == "year":
            flaw = _flaw_of_number(value, FIRST_YEAR, year + 1)
        else:
            flaw = _flaw_of_cause(value) if column == "cause" else _flaw_of_id(value)
        if flaw:
            return f"{column} {flaw}"
    return ""


def _look_at_answers(flaws: Flaws, apart: Apart) -> None:
    """No check can have been answered in more cases than the cause has."""
    cases = {tuple(row[:4]): row[4] for _, row in apart.tables["causes"]}
    answered: dict[Row, int] = defaultdict(int)
    for number, (at, (symptom, cause, check, _, year, ending, total)) in enumerate(
        apart.tables["answers"], 1
    ):
        cell = (symptom, cause, year, ending)
        answered[*cell, check] += total
        if answered[*cell, check] > cases.get(cell, 0):
            flaws.at(at, f"row {number} of answers: more answers than the cause has cases")


def _look_at_single_answers(flaws: Flaws, apart: Apart) -> None:
    """Answers belong to a case that is there and has a cause; without one they count for nothing."""
    if not apart.tables["by_code"]:
        flaws.at(apart.at["by_code"], "by_code is empty: without such cases the version is 1")
    told = {tuple(row[:2]) for _, row in apart.tables["by_code"] if row[3]}
    for number, (at, row) in enumerate(apart.tables["by_code_answers"], 1):
        if tuple(row[:2]) not in told:
            flaws.at(at, f"row {number} of by_code_answers: no case with a cause has this number")


def _whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _flaw_of_number(value: Any, least: int, most: int) -> str:
    return "" if _whole(value) and least <= value <= most else f"is no number from {least} to {most}"


def _flaw_of_id(value: Any) -> str:
    if not isinstance(value, str):
        return "is no text"
    flaw = why_no_id(value)
    return f"{quoted(without_refused(value))} {flaw}" if flaw else ""


def _flaw_of_cause(value: Any) -> str:
    if value == NOT_LISTED:
        return ""
    if not isinstance(value, str):
        return "is no text"
    causes = value.split("+")
    if len(causes) > MOST_CAUSES:
        return f"joins {len(causes)} causes; {MOST_CAUSES} is the most"
    if len(set(causes)) < len(causes):
        return "names one cause twice"
    return next((flaw for flaw in map(_flaw_of_id, causes) if flaw), "")
