"""What marks a SQLite file as a store of ours, and how to look into one without changing a byte.

Only the standard library: the start of the program looks in here before anything heavy is loaded.
"""

from __future__ import annotations

from pathlib import Path

APPLICATION_ID = 0x44694361
"""The bytes `DiCa`, at byte 68 of the file."""

VERSION = 1
"""The version of the tables that this program writes."""


def reading_uri(path: Path) -> str:
    """A `file:` URI by which SQLite reads the store.

    While nobody else is at it (no write-ahead log, no rollback journal) it is opened as one that cannot
    change, so that not even side files are made. Else it is read under SQLite's own locks; a journal left by
    a program that was killed has to be rolled back first, which is SQLite's to do and takes writing.
    """
    manner = "mode=ro&immutable=1"
    if _has(path, "-journal"):
        manner = "mode=rw"
    elif _has(path, "-wal"):
        manner = "mode=ro"
    return f"{path.absolute().as_uri()}?{manner}"


def _has(path: Path, ending: str) -> bool:
    try:
        return Path(f"{path}{ending}").stat().st_size > 0
    except OSError:
        return False
