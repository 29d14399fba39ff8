"""A copy of a store in a file, while others go on using it, and a copy put back in the store's place.

Only the standard library. The shell's own copy would miss what stands in the write-ahead log beside the
file, and a log that is left lying beside a copy which was put back would be played into it; hence these
two.
"""

from __future__ import annotations

import os
import secrets
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path

from diagnose.cases import refusals
from diagnose.cases.addresses import Address
from diagnose.cases.judging import judge
from diagnose.cases.stamp import head_of, reading_uri
from diagnose.terms import DiagnoseError

_BESIDE = ("-wal", "-shm", "-journal")
"""The endings of the files that SQLite keeps beside a store."""


class NotCopied(DiagnoseError):
    """No copy was made, or none was put back. Nothing was changed."""


def copy_store(address: Address, target: Path, *, new_origin: bool = False) -> None:
    """Writes the store as it stands now to a file of its own, whole or not at all.

    No folder is made: one that is missing is a disk that is not there. With `new_origin` the copy is a
    store that can go on beside the other: its sums and codes bear another name.

    A file that is there already is replaced if it is a case store too. Raises NotCopied, StoreRefused,
    StoreBusy.
    """
    path = _path_of(address)
    if not path.exists():
        raise NotCopied(f"there is no case store {address.shown} yet; nothing was copied")
    if judge(path) is None:
        raise NotCopied(f"the case store {address.shown} is empty; nothing was copied")
    if target.exists() and (target.samefile(path) or head_of(target) not in ("ours", "nothing")):
        raise NotCopied(
            f"{target} is the store itself"
            if target.samefile(path)
            else f"{target} is no copy of a case store; it was left as it is, name another file"
        )
    # Others may write to it meanwhile, so it is read under SQLite's own locks.
    uri = f"{path.absolute().as_uri()}?mode=rw"

    def fill(part: Path) -> None:
        _vacuum_into(address.shown, uri, part)
        if new_origin:
            _name_anew(part)

    _write(target, fill)


def put_back(address: Address, copy: Path) -> Path | None:
    """Puts a copy in the store's place; the copy itself stays.

    What stood there, whole or not, is kept under the name that is returned (None: nothing stood there). A
    copy that is not a whole store is refused, and nothing is touched. Raises NotCopied, StoreRefused.
    """
    path = _path_of(address)
    if not copy.exists():
        raise NotCopied(f"there is no file {copy}; nothing was put back")
    if path.exists() and copy.samefile(path):
        raise NotCopied(f"{copy} is the store itself; nothing was put back")
    if path.is_dir():
        raise refusals.is_folder(str(path))
    aside: list[Path | None] = []

    def take_place(part: Path) -> None:
        _vacuum_into(str(copy), reading_uri(copy), part)
        aside.append(_move_aside(path))

    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise refusals.not_made(str(path)) from error
    try:
        if judge(copy) is None:
            raise NotCopied(f"{copy} is empty; nothing was put back")
        _write(path, take_place)
    except refusals.StoreDamaged as error:
        raise NotCopied(f"the copy {copy} is damaged itself; nothing was put back, try another") from error
    return aside[0]


def _path_of(address: Address) -> Path:
    if address.path is None:
        raise NotCopied(
            f"the case store {address.shown} is on a server, which has programs of its own for this: "
            "pg_dump and pg_restore (docs/store.md)"
        )
    return address.path


def _write(target: Path, fill: Callable[[Path], None]) -> None:
    """Fills a file beside the target, makes sure that it is on the disk, and gives it the target's name."""
    try:
        handle, name = tempfile.mkstemp(dir=target.parent, suffix=".part")
        os.close(handle)
        part = Path(name)
        try:
            part.unlink()  # SQLite makes it itself, with its own manner of rights
            fill(part)
            with part.open("rb+") as file:
                os.fsync(file.fileno())
            part.replace(target)
        finally:
            for ending in ("", *_BESIDE):
                with suppress(OSError):
                    Path(f"{name}{ending}").unlink()
    except OSError as error:
        raise NotCopied(f"{target} cannot be written: {error.strerror}") from error


def _vacuum_into(shown: str, source: str, part: Path) -> None:
    """SQLite's own copy: whole, of one moment, without what was deleted (sqlite.org/lang_vacuum.html)."""
    try:
        with closing(sqlite3.connect(source, uri=True)) as connection:
            connection.execute("VACUUM INTO ?", (str(part),))
        with closing(sqlite3.connect(reading_uri(part), uri=True)) as connection:
            (verdict,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
    except sqlite3.Error as error:
        refusal = refusals.by_sqlite(shown, error)
        raise refusal or NotCopied(f"the case store {shown} could not be copied") from error
    if verdict != "ok":
        raise refusals.damaged(shown)


def _name_anew(part: Path) -> None:
    """Gives a copy an origin of its own; one of version 1 has none yet, and gets it when it is opened."""
    with closing(sqlite3.connect(part, isolation_level=None)) as connection:
        if connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'store_identity'").fetchone():
            connection.execute("UPDATE store_identity SET origin = ?, exports = 0", (secrets.token_hex(8),))


def _move_aside(path: Path) -> Path | None:
    """Keeps the store and what lies beside it under another name, which is returned."""
    if not any(Path(f"{path}{ending}").exists() for ending in ("", *_BESIDE)):
        return None
    number = 1
    while any(Path(f"{path}.before-{number}{ending}").exists() for ending in ("", *_BESIDE)):
        number += 1
    aside = Path(f"{path}.before-{number}")
    with suppress(FileNotFoundError):
        _second_name(path, aside)
    for ending in _BESIDE:
        with suppress(FileNotFoundError):
            Path(f"{path}{ending}").rename(f"{aside}{ending}")
    return aside


def _second_name(path: Path, aside: Path) -> None:
    """Keeps the file under another name too, so that at no moment there is none: an empty place becomes a
    new store at the next start. Where the disk knows no second names, the file moves.
    """
    try:
        aside.hardlink_to(path)
    except FileNotFoundError:
        raise
    except OSError:
        path.rename(aside)
