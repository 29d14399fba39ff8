"""Where a store is: a file's path, or a URL. Only the standard library, for the start looks in here.

A URL may hold a password. `Address.shown` is the only form of it that goes into any text; the driver's own
messages are never passed on.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

from diagnose.cases.refusals import StoreRefused

_SCHEME = re.compile(r"([A-Za-z][A-Za-z0-9+.-]+):/")
_SQLITE = ("sqlite", "sqlite+pysqlite")
_POSTGRESQL = ("postgresql", "postgres", "postgresql+psycopg")


@dataclass(frozen=True, slots=True)
class Address:
    """A store's place: `path` for a SQLite file, `url` for a PostgreSQL database."""

    shown: str
    path: Path | None = None
    url: str = field(default="", repr=False)


def address_of(text: str) -> Address:
    """What `--cases` or DIAGNOSE_CASES names.

    `cases.sqlite`, `sqlite:///cases.sqlite` and `sqlite:////home/ann/cases.sqlite` are files (three strokes:
    from the current folder; four: from the root), `postgresql://ann@host/cases` is a database. Raises
    StoreRefused for anything else, without repeating it: it may hold a password.
    """
    scheme = _SCHEME.match(text)
    if scheme is None:
        if text.strip():
            return _file(text)
    elif scheme[1] in _SQLITE:
        before, _, path = text.partition(":///")
        if before == scheme[1] and path and path != ":memory:" and "?" not in path:
            return _file(path)
    elif scheme[1] in _POSTGRESQL and text.startswith(f"{scheme[1]}://"):
        rest = text.partition("://")[2]
        return Address(_without_password(rest), url=f"postgresql+psycopg://{rest}")
    raise StoreRefused(
        "the address of the case store is none that this program knows; write a file's path, "
        "sqlite:///FILE or postgresql://NAME@HOST/DATABASE"
    )


def _file(text: str) -> Address:
    path = Path(text).expanduser()
    return Address(str(path), path)


def _without_password(rest: str) -> str:
    """`postgresql://` with host and database, or without where it cannot be told what is a password."""
    place, _, options = rest.partition("?")
    if "@" in options:
        return "postgresql://..."
    server, stroke, database = place.rpartition("@")[2].partition("/")
    return f"postgresql://{server}{stroke}{database}"
