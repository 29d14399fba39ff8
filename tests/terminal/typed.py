"""A console at which lines are typed, as a test wants them; then the input ends."""

from __future__ import annotations

from datetime import UTC, datetime

from diagnose.terminal.layout import Line

START = datetime(2026, 3, 1, 10, tzinfo=UTC)

CTRL_C = object()


class Typing:
    """A console of 40 columns at which these lines are typed; then the input ends."""

    def __init__(self, *typed):
        self.typed = list(typed)
        self.said: list[str] = []

    def width(self):
        return 40

    def height(self):
        return None

    def show(self, lines):
        assert all(isinstance(line, Line) and len(line.text) <= 40 for line in lines)
        self.said += [line.text for line in lines]

    def ask(self):
        if not self.typed:
            raise EOFError
        typed = self.typed.pop(0)
        if typed is CTRL_C:
            raise KeyboardInterrupt
        self.said.append(f"> {typed}")
        return typed

    def text(self):
        return " ".join(" ".join(self.said).split())
