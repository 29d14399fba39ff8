"""What can be wrong with a case or with the store that keeps it, each as one clear sentence.

Named after the condition, so that a caller catches a meaning. No text here ever holds a password: the
store's address is passed in as it may be shown.
"""

from __future__ import annotations

import re
import shlex
import sqlite3

from diagnose.terms import DiagnoseError

_SCRAMBLED = re.compile(r"^no such |^Could not decode | has no column named ")
"""How SQLite says that a table or column is not there, or a text none; these have no code of their own."""


class StoreRefused(DiagnoseError):
    """The store cannot be used as it is. Nothing in it was changed."""


class StoreDamaged(StoreRefused):
    """The store is cut short or scrambled."""


class Scrambled(ValueError):
    """A value is not what the program ever writes there. Becomes StoreDamaged, which can name the store."""


class StoreBusy(DiagnoseError):
    """Somebody else kept the store locked for longer than a person would wait. Nothing was written."""


class NoSuchCase(DiagnoseError):
    """No case has this number."""

    def __init__(self, case: int) -> None:
        self.case = case
        super().__init__(f"there is no case {case}; `diagnose cases list` shows those there are")


class CaseStopped(DiagnoseError):
    """The case ended in a stop for danger, and there is no way back out of one."""

    def __init__(self, case: int) -> None:
        self.case = case
        super().__init__(
            f"case {case} was stopped for danger and cannot be taken up again; once somebody qualified has "
            "cleared the vehicle, start a new walk"
        )


def not_a_store(shown: str) -> StoreRefused:
    """For a file or database that some other program made."""
    return StoreRefused(f"{shown} is not a case store of this program; it was left as it is")


def damaged(shown: str) -> StoreDamaged:
    """For a store that is cut short or scrambled, with the way to put a copy back."""
    way = "pg_restore (docs/store.md)" if "://" in shown else _restoring(shown)
    return StoreDamaged(f"the case store {shown} is damaged; it was left as it is; to put back a copy: {way}")


def _restoring(path: str) -> str:
    """The command, which names the store: whoever is told cannot be asked for it."""
    return shlex.join(["diagnose", "cases", "restore", "COPY", "--cases", path])


def too_new(shown: str, version: int, known: int) -> StoreRefused:
    """For a store that a later version of the program has written."""
    return StoreRefused(
        f"the case store {shown} has version {version}, this program knows versions up to {known}; "
        "it was left as it is, update the program"
    )


def is_folder(shown: str) -> StoreRefused:
    """For a path that names a folder where a file is wanted."""
    return StoreRefused(
        f"the case store {shown} is a folder; name a file in it, such as {shown}/cases.sqlite"
    )


def busy(shown: str) -> StoreBusy:
    """For a store that somebody else keeps locked."""
    return StoreBusy(f"the case store {shown} is in use by another program; nothing was written, try again")


def not_writable(shown: str) -> StoreRefused:
    """For a store, or a folder of a store, that may only be read."""
    return StoreRefused(
        f"the case store {shown} cannot be written; allow writing to it and its folder, or name another "
        "with --cases"
    )


def not_made(shown: str) -> StoreRefused:
    """For a store whose folder neither exists nor can be made."""
    return StoreRefused(f"the folder of the case store {shown} cannot be made; name another with --cases")


def not_opened(shown: str, error: OSError) -> StoreRefused:
    """For a path that the system does not open, with its reason."""
    if isinstance(error, PermissionError):
        return not_writable(shown)
    return StoreRefused(
        f"the case store {shown} cannot be opened ({error.strerror}); name another with --cases"
    )


def full(shown: str) -> StoreRefused:
    """For a store on a full disk."""
    return StoreRefused(f"the disk of the case store {shown} is full; the last step was not kept")


def disk_trouble(shown: str) -> StoreRefused:
    """For a disk, stick or network folder that answers no more."""
    return StoreRefused(
        f"the disk of the case store {shown} does not answer as it should; the last step was not kept"
    )


def not_reached(shown: str) -> StoreRefused:
    """For a server that does not answer, or does not let this user in."""
    return StoreRefused(f"the case store {shown} cannot be reached, or does not let you in")


def by_sqlite(shown: str, error: BaseException | None) -> DiagnoseError | None:
    """The refusal for SQLite's primary result code (sqlite.org/rescode.html), if of use to a user."""
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return busy(shown)
    scrambled = code in (0, sqlite3.SQLITE_ERROR) and _SCRAMBLED.search(str(error))
    if scrambled or code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return damaged(shown)
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return not_writable(shown)
    if code == sqlite3.SQLITE_FULL:
        return full(shown)
    return disk_trouble(shown) if code == sqlite3.SQLITE_IOERR else None


def by_postgresql(shown: str, state: str | None) -> DiagnoseError | None:
    """The refusal for an SQLSTATE (PostgreSQL's manual, appendix A); without one, there was no answer."""
    if state is None or state[:2] in ("08", "28", "3D", "53", "57"):
        return full(shown) if state == "53100" else not_reached(shown)
    if state in ("25006", "42501"):
        return not_writable(shown)
    if state in ("42P01", "42703", "58P01", "58030", "XX001", "XX002"):
        return damaged(shown)  # a table, column, file or page of it is not there, or not what it should be
    return busy(shown) if state in ("40001", "40P01", "55P03") else None
