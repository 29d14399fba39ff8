"""What marks a SQLite file as a store of ours, and how to look into one without changing a byte.

The first hundred bytes tell whose file it is (SQLite's own description of its file format,
sqlite.org/fileformat2.html section 1.3: magic text at 0, user_version at 60, application_id at 68). Only the
standard library: the start of the program looks in here before anything heavy is loaded.
"""

from __future__ import annotations

from pathlib import Path
from typing import Literal

APPLICATION_ID = 0x44694361
"""The bytes `DiCa`, at byte 68 of the file."""

VERSION = 3
"""The version of the tables that this program writes."""

Head = Literal["nothing", "ours", "foreign", "cut-short"]

_MAGIC = b"SQLite format 3\0"
_HEADER = 100


def head_of(path: Path) -> Head:
    """Whose file it is by its first bytes; `nothing` for an empty or missing one. Raises OSError."""
    try:
        with path.open("rb") as file:
            head = file.read(_HEADER)
    except (FileNotFoundError, NotADirectoryError):
        return "nothing"
    if not head:
        return "nothing"
    if len(head) < _HEADER and _MAGIC.startswith(head[: len(_MAGIC)]):
        return "cut-short"
    marked = head.startswith(_MAGIC) and int.from_bytes(head[68:72], "big") == APPLICATION_ID
    return "ours" if marked else "foreign"


def at_rest(path: Path) -> bool:
    """Whether all of the store is in its one file: no write-ahead log, no rollback journal beside it."""
    return not _has(path, "-wal") and not _has(path, "-journal")


def reading_uri(path: Path) -> str:
    """A `file:` URI by which SQLite reads a store of ours.

    While it is at rest it is opened as one that cannot change, so that not even side files are made. Else it
    is read under SQLite's own locks; a journal left by a program that was killed has to be rolled back first,
    which is SQLite's to do and takes writing.
    """
    manner = "mode=rw" if _has(path, "-journal") else "mode=ro"
    if at_rest(path):
        manner += "&immutable=1"
    return f"{path.absolute().as_uri()}?{manner}"


def _has(path: Path, ending: str) -> bool:
    try:
        return Path(f"{path}{ending}").stat().st_size > 0
    except OSError:
        return False
