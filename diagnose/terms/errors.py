"""The one base error, and what is wrong with a file and where."""

from __future__ import annotations

from dataclasses import dataclass


class DiagnoseError(Exception):
    """Something the user can understand and act on; its text is one clear sentence. Exit code 1."""

    exit_code = 1


class WrongUsage(DiagnoseError):
    """The command was called in a way that it does not understand. Exit code 2."""

    exit_code = 2


@dataclass(frozen=True, slots=True, order=True)
class Mark:
    """A place in a text file: line and column count from 1, in characters."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True, order=True)
class Flaw:
    """What is wrong with a file, where, and the nearest right word."""

    file: str
    line: int
    column: int
    text: str
    meant: str = ""

    @property
    def message(self) -> str:
        """The text with its suggestion, without the place."""
        return self.text + (f' (did you mean "{self.meant}"?)' if self.meant else "")

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: {self.message}"


@dataclass(frozen=True, slots=True, order=True)
class Advice:
    """Something in a file that is allowed, yet better otherwise; `name` is what `accept:` refers to."""

    file: str
    line: int
    column: int
    name: str
    text: str

    @property
    def message(self) -> str:
        """The text without the place."""
        return self.text

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: {self.text}"


class FlawedKnowledge(DiagnoseError):
    """One or more files do not hold what they should; carries every flaw, sorted by place."""

    def __init__(self, flaws: tuple[Flaw, ...]) -> None:
        self.flaws = tuple(sorted(flaws))
        super().__init__("\n".join(str(flaw) for flaw in self.flaws))
