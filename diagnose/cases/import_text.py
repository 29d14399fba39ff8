"""Text files line by line: by which rule their bytes become letters, and where they do not.

A file without a mark is UTF-8 or is told to be something else; nothing is guessed, for a wrong guess turns
every accented letter into another one without anybody noticing.
"""

from __future__ import annotations

import codecs
import io
from collections.abc import Iterator
from pathlib import Path

from diagnose.terms import Flaw, FlawedKnowledge

LONGEST_LINE = 1_000_000
"""Characters of one line that are read; what follows on the same line is passed over."""
TOO_LONG = "\x00"
"""Stands in for a line that is longer than that."""
ENCODINGS = {"utf-8": "utf-8-sig", "utf-16": "utf-16", "windows-1252": "cp1252", "latin-9": "iso-8859-15"}
"""Names that a mapping may give -> Python's."""


def encoding_of(path: Path, shown: str) -> str:
    """`utf-8`, or `utf-16` where the mark of Unicode at the begin says so (Unicode Standard, section 23.8).

    Raises FlawedKnowledge for bytes that are not text at all.
    """
    with path.open("rb") as stream:
        head = stream.read(4)
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    if head.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        kind = "a workbook or packed file" if head.startswith(b"PK") else "an old workbook (.xls)"
        text = f"is {kind} and not text; name it .xlsx if it is a new workbook, else save it as CSV"
        raise FlawedKnowledge((Flaw(shown, 1, 1, text),))
    return "utf-8"


class TextLines:
    """The lines of a text file with their ends; `undecodable` tells where it could not be decoded."""

    def __init__(self, path: Path, encoding: str, shown: str) -> None:
        self.path, self.encoding, self.shown = path, encoding, shown
        self.size = max(path.stat().st_size, 1)
        self.bytes = path.open("rb")
        self.text = io.TextIOWrapper(self.bytes, ENCODINGS[encoding], newline="")

    def __iter__(self) -> Iterator[str]:
        """The lines from the first; raises UnicodeError, to be answered with `undecodable`.

        An over-long line comes as `TOO_LONG`. Nearly no file has one, and the others are read twice as fast.
        """
        return self._guarded() if _has_long_line(self.path) else iter(self.text)

    def _guarded(self) -> Iterator[str]:
        next_part = self.text.readline
        while line := next_part(LONGEST_LINE):
            if len(line) == LONGEST_LINE and line[-1] not in "\r\n":
                while len(rest := next_part(LONGEST_LINE)) == LONGEST_LINE and rest[-1] not in "\r\n":
                    pass
                line = f"{TOO_LONG}\n"
            yield line

    def done(self) -> float:
        """The part of the bytes that has been read."""
        return min(1.0, self.bytes.tell() / self.size) if not self.bytes.closed else 1.0

    def close(self) -> None:
        """Let go of the file."""
        self.text.close()

    def undecodable(self) -> FlawedKnowledge:
        """Where the first byte stands that does not fit."""
        if self.encoding != "utf-8":
            text = f"the file is not {self.encoding}; save it as UTF-8"
            return FlawedKnowledge((Flaw(self.shown, 1, 1, text),))
        with self.path.open("rb") as stream:
            for number, line in enumerate(iter(lambda: stream.readline(4 * LONGEST_LINE), b""), 1):
                try:
                    line.decode("utf-8")
                except UnicodeDecodeError as error:
                    column = len(line[: error.start].decode("utf-8")) + 1
                    letter = line[error.start : error.start + 1].decode("cp1252", "replace")
                    likely = f' (in Windows-1252 this is "{letter}")' if letter.isprintable() else ""
                    text = (
                        f"the file is not UTF-8 here{likely}; save it as CSV UTF-8, or write "
                        "encoding: windows-1252 into its mapping"
                    )
                    return FlawedKnowledge((Flaw(self.shown, number, column, text),))
        return FlawedKnowledge((Flaw(self.shown, 1, 1, "the file is not UTF-8; save it as UTF-8"),))


def _has_long_line(path: Path) -> bool:
    """Whether so many bytes stand anywhere without a line's end that a line may be over-long."""
    since = 0
    with path.open("rb") as stream:
        while piece := stream.read(LONGEST_LINE):
            first, last = piece.find(b"\n"), piece.rfind(b"\n")
            if since + (first if first >= 0 else len(piece)) >= LONGEST_LINE:
                return True
            since = len(piece) - last - 1 if last >= 0 else since + len(piece)
    return False
