"""Where pages are printed and lines are read: a real terminal, or plain text for pipes and plain terminals.

Both are used alike. The plain one writes no control byte at all; it serves whenever one end is a pipe,
when `TERM` is `dumb` and when `NO_COLOR` is set. prompt_toolkit is imported when the first line is asked for,
after the first page has been printed: somebody who is worried should not look at an empty screen.
"""

from __future__ import annotations

import io
import os
import shutil
import sys
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Protocol, TextIO

import click

from diagnose.terminal.layout import Line, Manner

if TYPE_CHECKING:
    from prompt_toolkit import PromptSession

PROMPT = "> "

_CODES: dict[Manner, str] = {"plain": "", "strong": "1", "danger": "1;7", "quiet": "2"}
"""Manner -> parameters of ECMA-48 SGR: bold, bold and reversed, faint. No colour carries a meaning."""


class Console(Protocol):
    """What a conversation needs of the world."""

    def width(self) -> int:
        """The columns of a line, now: a window may be made wider in mid-walk."""
        ...

    def height(self) -> int | None:
        """How many lines the screen shows at once; None where nothing scrolls away."""
        ...

    def is_read(self) -> bool:
        """Whether somebody sits there who reads before answering; no file or pipe does."""
        ...

    def show(self, lines: Sequence[Line]) -> None:
        """Print a page."""
        ...

    def ask(self) -> str:
        """Read one line; raises EOFError at the end of the input and KeyboardInterrupt at Ctrl-C."""
        ...


def open_console(
    environ: Mapping[str, str] | None = None, *, when_reading: Callable[[], None] | None = None
) -> Console:
    """The console that fits the standard input and output.

    `when_reading` is called once, before the first line is read: the time to load what comes next.
    """
    settings = os.environ if environ is None else environ
    # Python has no stream where the shell has closed one.
    source, sink = sys.stdin or io.StringIO(), sys.stdout or io.StringIO()
    at_terminal = source.isatty() and sink.isatty()
    if not at_terminal or settings.get("NO_COLOR") or settings.get("TERM", "") in ("dumb", "unknown"):
        return PlainConsole(source, sink, when_reading=when_reading)
    return TerminalConsole(sink, when_reading=when_reading)


class PlainConsole:
    """Plain lines in and out. Where nothing echoes what is typed (a pipe), it is written after the prompt."""

    def __init__(
        self, source: TextIO, sink: TextIO, *, when_reading: Callable[[], None] | None = None
    ) -> None:
        self.source = source
        self.sink = sink
        self.when_reading = when_reading
        _never_fail_on_letters(source)
        _never_fail_on_letters(sink)

    def width(self) -> int:
        """The width of the terminal, `COLUMNS` where set, else 80."""
        return shutil.get_terminal_size().columns

    def height(self) -> int | None:
        """The lines of the terminal; None in a pipe."""
        return shutil.get_terminal_size().lines if self.sink.isatty() else None

    def is_read(self) -> bool:
        """Whether both ends are a terminal."""
        return self.source.isatty() and self.sink.isatty()

    def show(self, lines: Sequence[Line]) -> None:
        """Write the texts of the lines."""
        self.sink.write("".join(line.text + "\n" for line in lines))
        self.sink.flush()

    def ask(self) -> str:
        """Read one line of the source."""
        self.sink.write(PROMPT)
        self.sink.flush()
        if self.when_reading:
            begin, self.when_reading = self.when_reading, None
            begin()
        typed = self.source.readline()
        if not typed:
            self.sink.write("\n")
            self.sink.flush()
            raise EOFError
        typed = typed.rstrip("\r\n")
        if not self.source.isatty():
            self.sink.write("".join(letter if letter.isprintable() else " " for letter in typed) + "\n")
            self.sink.flush()
        return typed


class TerminalConsole:
    """A real terminal: lines are edited with prompt_toolkit, without history, mouse or full screen."""

    def __init__(self, sink: TextIO, *, when_reading: Callable[[], None] | None = None) -> None:
        self.sink = sink
        self.when_reading = when_reading
        self.session: PromptSession[str] | None = None
        _never_fail_on_letters(sink)

    def width(self) -> int:
        """The width of the terminal."""
        return shutil.get_terminal_size().columns

    def height(self) -> int | None:
        """The lines of the terminal."""
        return shutil.get_terminal_size().lines

    def is_read(self) -> bool:
        """Somebody reads here."""
        return True

    def show(self, lines: Sequence[Line]) -> None:
        """Write the lines, each in its manner."""
        click.echo("".join(_dressed(line) + "\n" for line in lines), file=self.sink, nl=False, color=True)

    def ask(self) -> str:
        """Read one line, which can be edited until Enter."""
        if self.session is None:
            self.session = _line_editor(self.sink)
        if self.when_reading:
            begin, self.when_reading = self.when_reading, None
            begin()
        typed: str = self.session.prompt(PROMPT)
        return typed


def _line_editor(sink: TextIO) -> PromptSession[str]:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.history import DummyHistory

    return PromptSession(
        history=DummyHistory(),
        complete_while_typing=False,
        reserve_space_for_menu=0,
        include_default_pygments_style=False,
        output=_output(sink),
    )


def _output(sink: TextIO) -> Any:
    """The terminal without the question where its cursor is: some phone terminals never answer it."""
    from prompt_toolkit.output import create_output

    if sys.platform == "win32":
        return create_output(sink)
    from prompt_toolkit.output.vt100 import Vt100_Output

    output = Vt100_Output.from_pty(sink, term=os.environ.get("TERM"), enable_bell=False)
    output.enable_cpr = False
    return output


def _dressed(line: Line) -> str:
    code = _CODES[line.manner]
    if not code or not line.text:
        return line.text
    start = len(line.text) - len(line.text.lstrip())
    return f"{line.text[:start]}\x1b[{code}m{line.text[start:]}\x1b[0m"


def _never_fail_on_letters(stream: TextIO) -> None:
    """Let a letter that the terminal cannot show, or bytes that are none, become a mark instead of an end."""
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors="replace")
