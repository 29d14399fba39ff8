"""Is this file a store of ours? Judged read-only, before anything may write to it.

Only what is ours by its first bytes is opened at all, and then so that SQLite can change nothing.
"""

from __future__ import annotations

import sqlite3
import time
from contextlib import closing
from pathlib import Path

from diagnose.cases import refusals
from diagnose.cases.kinds import of_wrong_kind
from diagnose.cases.stamp import VERSION, at_rest, head_of, reading_uri
from diagnose.cases.tables import metadata

_SOON = (0.0, 0.05, 0.3)
_WHOLE = 4 * 1024 * 1024
"""Files up to this size are gone through page by page; that takes some 10 ms. In a larger one a damaged page
is met, and refused, when it is read: opening must not take longer with every case."""
_EVERY_VALUE = 1024 * 1024
"""Files up to this size are gone through value by value too, which takes three times as long."""


def judge(path: Path) -> int | None:
    """The version of the store in the file, or None if the file is empty or not there yet.

    Raises StoreRefused for a folder, a foreign, damaged, truncated or newer file, StoreBusy for one that
    stays locked. Looks again twice before it calls a file damaged: another program may be just making it.
    """
    shown = str(path)
    for pause in _SOON:
        time.sleep(pause)
        try:
            version = _version(path)
        except OSError as error:
            raise refusals.not_opened(shown, error) from error
        except sqlite3.Error as error:
            refusal = refusals.by_sqlite(shown, error)
            if refusal is not None and not isinstance(refusal, refusals.StoreDamaged):
                raise refusal from error
            continue
        except UnicodeDecodeError:
            continue  # SQLite's complaint quotes what is scrambled, and that need not be text
        if version is not None and version > VERSION:
            raise refusals.too_new(shown, version, VERSION)
        return version
    raise refusals.damaged(shown)


def _version(path: Path) -> int | None:
    if path.is_dir():
        raise refusals.is_folder(str(path))
    if path.exists() and not path.is_file():
        raise refusals.not_a_store(str(path))
    head = head_of(path)
    if head == "foreign":
        raise refusals.not_a_store(str(path))
    if head == "cut-short":
        raise sqlite3.DatabaseError("less than a header")
    return None if head == "nothing" else _version_inside(path)


def _version_inside(path: Path) -> int:
    """What the store says of itself, twice over. Raises sqlite3.Error where that cannot be had."""
    with closing(sqlite3.connect(reading_uri(path), uri=True)) as connection:
        (by_header,) = connection.execute("PRAGMA user_version").fetchone()
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
        (page,) = connection.execute("PRAGMA page_size").fetchone()
        # SQLite reads what is missing from the last page as zeros and says nothing.
        size = path.stat().st_size
        if at_rest(path) and (size < pages * page or size % page):
            raise sqlite3.DatabaseError("cut short")
        if by_header > VERSION:
            return int(by_header)
        (by_table,) = connection.execute("SELECT max(version) FROM case_store").fetchone()
        tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        names = {name for (name,) in tables}
        if by_table != by_header or (by_table == VERSION and not names.issuperset(metadata.tables)):
            raise sqlite3.DatabaseError("the store contradicts itself")
        if size <= _WHOLE:
            (verdict,) = connection.execute("PRAGMA quick_check(1)").fetchone()
            if verdict != "ok":
                raise sqlite3.DatabaseError(verdict)
        small = size <= min(_EVERY_VALUE, _WHOLE)
        if small and by_table == VERSION and any(of_wrong_kind(connection)):
            raise sqlite3.DatabaseError("values of a wrong kind")
    return int(by_header)
