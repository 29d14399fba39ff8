"""A changed tree file goes to disk whole or not at all, and never over what somebody else wrote meanwhile."""

from __future__ import annotations

import difflib
import hashlib
import os
import stat
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from diagnose.knowledge.collection import shipped_folder, shown
from diagnose.knowledge.plain_yaml import read_bytes
from diagnose.terms import DiagnoseError, Flaw, FlawedKnowledge


class CannotWrite(DiagnoseError):
    """The file cannot be written, or has changed; it is as it was."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A tree file as it was read, and where a changed one will stand."""

    path: Path
    """The file that was read."""
    target: Path
    """The file that is written: the same, or a copy in a folder of one's own."""
    text: str
    """With its leading mark, if it has one."""
    digest: str

    @property
    def copied(self) -> bool:
        """Whether the change makes a copy of one's own, since the file is a shipped one."""
        return self.path != self.target


def open_to_change(path: Path, folders: Sequence[Path] = ()) -> Opened:
    """The file, once it is sure that a change of it could be written.

    A shipped tree is changed as a copy in the last of the folders, which wins over the others. Raises
    CannotWrite, and FlawedKnowledge for a file that cannot be read or is no UTF-8.
    """
    data = read_bytes(path, shown(path))
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        raise FlawedKnowledge((Flaw(shown(path), 1, 1, "the file is not UTF-8; save it as UTF-8"),)) from None
    target = path
    if is_shipped(path):
        target = _own_place(path, folders)
    _refuse_unwritable(target)
    return Opened(path, target, text, _digest(data))


def is_shipped(path: Path) -> bool:
    """Whether the file is one of the project's own."""
    return path.absolute().parent.resolve() == shipped_folder().resolve()


def save(opened: Opened, text: str) -> None:
    """Write the changed text to the target; raises CannotWrite, and then nothing has been written."""
    if _digest(_now(opened.path)) != opened.digest:
        raise _changed_meanwhile(opened.path)
    instead_of = None if opened.copied else opened.digest
    write_whole(opened.target, text.encode("utf-8"), new=opened.copied, instead_of=instead_of)


def write_whole(path: Path, data: bytes, *, new: bool = False, instead_of: str | None = None) -> None:
    """Write a file so that whoever reads it finds the old one or the new one, never a part.

    It keeps its permissions, and a link stays a link to the file that is written. With `new` a file that is
    there already is refused; with `instead_of`, a SHA-256 digest, one that holds anything else by then.
    Raises CannotWrite, and then nothing has been written.
    """
    real = path.resolve()
    _refuse_unwritable(path, new=new)
    try:
        with _beside(real) as (file, name):
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
            file.close()
            name.chmod(stat.S_IMODE(real.stat().st_mode) if real.exists() else 0o666 & ~_umask())
            if instead_of is not None and _digest(_now(real)) != instead_of:
                raise _changed_meanwhile(path)
            _give_name(name, real, new=new)
        _keep_the_name(real.parent)
    except FileExistsError:
        raise _there_already(path) from None
    except OSError as error:
        raise CannotWrite(f"{shown(path)} cannot be written: {error.strerror or error}") from error


def difference(opened: Opened, text: str) -> tuple[str, ...]:
    """The lines of a unified diff (as the program patch takes it), without their line ends.

    A tree of the project is named as the project names it, wherever it is installed.
    """
    before = f"trees/{opened.path.name}" if opened.copied else shown(opened.path)
    lines = difflib.unified_diff(
        opened.text.removeprefix("\ufeff").splitlines(),
        text.removeprefix("\ufeff").splitlines(),
        before,
        shown(opened.target),
        lineterm="",
    )
    return tuple(lines)


def _give_name(part: Path, real: Path, *, new: bool) -> None:
    """Let the finished file take its place; raises FileExistsError where a new one finds it taken."""
    if new:
        try:
            real.hardlink_to(part)
            return
        except FileExistsError:
            raise
        except OSError as error:  # a disk that knows no second name for a file
            if real.exists():
                raise FileExistsError from error
    part.replace(real)


def _own_place(path: Path, folders: Sequence[Path]) -> Path:
    if not folders:
        raise CannotWrite(
            f"{path.stem} is a tree of this project and is not changed in place; name a folder of your own "
            "trees with --trees (or DIAGNOSE_TREES), and the changed copy is put there"
        )
    target = folders[-1] / path.name
    if target.exists() or target.is_symlink():
        raise _there_already(target)
    return target


def _changed_meanwhile(path: Path) -> CannotWrite:
    return CannotWrite(
        f"{shown(path)} was changed by somebody else meanwhile; it is left as it is: start again"
    )


def _there_already(path: Path) -> CannotWrite:
    return CannotWrite(f"{shown(path)} is there already and is left as it is")


def _refuse_unwritable(path: Path, *, new: bool = False) -> None:
    real = path.resolve()
    if new and path.exists():
        raise _there_already(path)
    if not real.parent.is_dir():
        raise CannotWrite(f"there is no folder {shown(path.parent)}")
    # Whoever may do everything may write a file that is marked as not to be written: the mark still counts.
    if real.exists() and (not os.access(real, os.W_OK) or not real.stat().st_mode & 0o222):
        raise CannotWrite(f"{shown(path)} may not be written (its permissions); it is left as it is")
    if not os.access(real.parent, os.W_OK) or not real.parent.stat().st_mode & 0o222:
        raise CannotWrite(f"nothing may be written in the folder {shown(path.parent)} (its permissions)")


@contextmanager
def _beside(real: Path) -> Iterator[tuple[tempfile._TemporaryFileWrapper[bytes], Path]]:
    """A file in the same folder, gone at the end unless it was given its name."""
    file = tempfile.NamedTemporaryFile(  # noqa: SIM115 (it is renamed while it is there)
        dir=real.parent, prefix=f".{real.stem}-", suffix=".part", delete=False
    )
    try:
        yield file, Path(file.name)
    finally:
        file.close()
        Path(file.name).unlink(missing_ok=True)


def _keep_the_name(folder: Path) -> None:
    """Make the rename itself durable, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _now(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        return b""


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
