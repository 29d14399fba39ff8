"""What one store tells another: the sums over its own cases, as a file of JSON.

Whole counts by symptom, cause, check, answer, year and ending, and nothing else: no vehicle, no text of
anybody's, no date finer than a year. A file stands for everything that its store has counted so far, so a
later one takes the place of an earlier one and nothing is counted twice. `origin` names the store (made at
random with it), `number` counts its exports. The digest tells a file that was damaged or changed on its
way; it is no signature.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

FORMAT = "case-sums"
VERSION = 2
"""The latest version of the format that this program writes; it reads this and every earlier one.

An export that holds no case by its code is still written in version 1, which earlier programs read.
"""

TABLES = ("causes", "answers", "unconfirmed")
"""The three tables in the order of the file, which is that of `diagnose.cases.tables.SUMS`."""

COLUMNS: Mapping[str, tuple[str, ...]] = {
    "causes": ("symptom", "cause", "year", "ending", "total"),
    "answers": ("symptom", "cause", "check", "answer", "year", "ending", "total"),
    "unconfirmed": ("symptom", "year", "ending", "total"),
}
"""What stands in a row of each table."""

SINGLE = ("by_code", "by_code_answers")
"""The tables that version 2 has besides: cases that came by their code, which are in no other table."""

SINGLE_COLUMNS: Mapping[str, tuple[str, ...]] = {
    "by_code": ("source", "case", "symptom", "cause", "year", "ending"),
    "by_code_answers": ("source", "case", "check", "answer"),
}
"""What stands in a row of those; the cause is empty where nobody has told it."""

Row = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Export:
    """The sums of one store as they were when it gave out this number; rows in rising order, none twice."""

    origin: str
    number: int
    causes: tuple[Row, ...] = ()
    answers: tuple[Row, ...] = ()
    unconfirmed: tuple[Row, ...] = ()
    at_least: int = 0
    """Cells below this were withheld (`diagnose.cases.exchange_withholding`); 0 where none were."""
    by_code: tuple[Row, ...] = ()
    """Cases of other stores that came by their code, each under its number there."""
    by_code_answers: tuple[Row, ...] = ()

    @property
    def version(self) -> int:
        """The version of the format that it takes."""
        return 2 if self.by_code else 1

    @property
    def confirmed(self) -> int:
        """How many confirmed cases are counted."""
        return sum(int(row[-1]) for row in self.causes) + sum(bool(row[3]) for row in self.by_code)

    @property
    def untold(self) -> int:
        """How many cases are counted that nobody has confirmed."""
        return sum(int(row[-1]) for row in self.unconfirmed) + sum(not row[3] for row in self.by_code)

    @property
    def symptoms(self) -> tuple[str, ...]:
        """The symptoms of which something is counted, in alphabetical order."""
        counted = {row[0] for table in TABLES for row in getattr(self, table)}
        return tuple(sorted(counted | {row[2] for row in self.by_code}))

    @property
    def digest(self) -> str:
        """SHA-256 over `canonical`, in hexadecimal digits."""
        return digest_of(self._content())

    def text(self) -> str:
        """The file: JSON, a row on each line, in the same order for the same sums."""
        content = self._content()
        tables = [key for key in content if key in (*TABLES, *SINGLE)]
        parts = [f"{json.dumps(key)}: {json.dumps(content[key])}" for key in content if key not in tables]
        parts += [f"{json.dumps(table)}: {_rows(content[table])}" for table in tables]
        parts.append(f'"digest": "{digest_of(content)}"')
        return "{\n" + ",\n".join(parts) + "\n}\n"

    def _content(self) -> dict[str, Any]:
        head = {"format": FORMAT, "version": self.version, "origin": self.origin, "number": self.number}
        names = (*TABLES, *SINGLE) if self.by_code else TABLES
        tables = {table: [list(row) for row in getattr(self, table)] for table in names}
        return {**head, "at_least": self.at_least, **tables}


def canonical(content: Mapping[str, Any]) -> bytes:
    """The bytes that the digest is taken over: everything but the digest itself.

    Keys sorted, no spaces, UTF-8: the JSON Canonicalization Scheme (RFC 8785) for what can stand here,
    which is whole numbers and ASCII text.

    >>> canonical({"number": 3, "digest": "...", "causes": [["hob", "x", 2026, "cured", 1]]})
    b'{"causes":[["hob","x",2026,"cured",1]],"number":3}'
    """
    signed = {key: value for key, value in content.items() if key != "digest"}
    return json.dumps(signed, sort_keys=True, separators=(",", ":")).encode("ascii")


def digest_of(content: Mapping[str, Any]) -> str:
    """SHA-256 (FIPS 180-4) over `canonical`, in hexadecimal digits."""
    return hashlib.sha256(canonical(content)).hexdigest()


def _rows(rows: Iterable[list[Any]]) -> str:
    lines = ",\n".join(json.dumps(row, separators=(",", ":")) for row in rows)
    return f"[\n{lines}\n]" if lines else "[]"
