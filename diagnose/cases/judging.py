"""Is this file a store of ours? Judged read-only, before anything may write to it.

The first hundred bytes tell whose file it is (SQLite file format, sqlite.org/fileformat2.html section 1.3:
magic text at 0, page size at 16, user_version at 60, application_id at 68). Only what is ours by those bytes
is opened at all, and then so that SQLite can change nothing, not even make its side files.
"""

from __future__ import annotations

import sqlite3
import time
from contextlib import closing
from pathlib import Path

from diagnose.cases import refusals
from diagnose.cases.stamp import APPLICATION_ID, VERSION, reading_uri
from diagnose.cases.tables import metadata

_MAGIC = b"SQLite format 3\0"
_SOON = (0.0, 0.05, 0.3)
_WHOLE = 4 * 1024 * 1024
"""Files up to this size are gone through page by page; that takes some 10 ms. In a larger one a damaged page
is met, and refused, when it is read: opening must not take longer with every case."""


def judge(path: Path) -> int | None:
    """The version of the store in the file, or None if the file is empty or not there yet.

    Raises StoreRefused for a folder, a foreign, damaged, truncated or newer file. Looks again twice before
    it calls a file damaged: another program may be in the middle of making it.
    """
    if path.is_dir():
        raise refusals.is_folder(str(path))
    for pause in _SOON:
        time.sleep(pause)
        try:
            if _empty(path):
                return None
            version = _version(path)
        except PermissionError as error:
            raise refusals.not_writable(str(path)) from error
        except (sqlite3.Error, OSError):
            continue
        if version > VERSION:
            raise refusals.too_new(str(path), version, VERSION)
        return version
    raise refusals.damaged(str(path))


def _empty(path: Path) -> bool:
    """Whether there is nothing in the file. Raises StoreRefused where its first bytes are not ours."""
    try:
        with path.open("rb") as file:
            head = file.read(100)
    except FileNotFoundError:
        return True
    if head and (len(head) < 100 or head[:16] != _MAGIC or int.from_bytes(head[68:72]) != APPLICATION_ID):
        if len(head) < 100 and _MAGIC.startswith(head[:16]):
            raise refusals.damaged(str(path))
        raise refusals.not_a_store(str(path))
    return not head


def _version(path: Path) -> int:
    """What the store says of itself, twice over. Raises sqlite3.Error where that cannot be had."""
    with closing(sqlite3.connect(reading_uri(path), uri=True)) as connection:
        (by_header,) = connection.execute("PRAGMA user_version").fetchone()
        if by_header > VERSION:
            return int(by_header)
        (by_table,) = connection.execute("SELECT max(version) FROM case_store").fetchone()
        tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        names = {name for (name,) in tables}
        if by_table != by_header or (by_table == VERSION and not names.issuperset(metadata.tables)):
            raise sqlite3.DatabaseError("the store contradicts itself")
        if path.stat().st_size <= _WHOLE:
            (verdict,) = connection.execute("PRAGMA quick_check(1)").fetchone()
            if verdict != "ok":
                raise sqlite3.DatabaseError(verdict)
    return int(by_header)
