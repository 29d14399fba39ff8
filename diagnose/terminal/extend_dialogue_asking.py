"""How a talk about a tree asks: a line, a choice, a number, each asked again until it comes to something."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from diagnose.terminal.console import Console
from diagnose.terminal.dangers import DangerTold
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.understanding import Chosen, Unclear, command_of, meaning, plain_words
from diagnose.terms import DiagnoseError
from diagnose.walking.danger_words import ANY_DANGER
from diagnose.walking.views import Choice


class LeftOff(DiagnoseError):
    """Somebody has had enough; nothing is to be written."""


class BackOne(Exception):
    """The step before is to be told once more."""


Judge = Callable[[str], Sequence[str]]
"""What would be wrong with a text, as sentences."""
HELP = (
    "Enter takes what is offered, or passes the question over. back goes to the step before, leave off ends "
    "this with nothing written, danger stops at once. Nothing is written before you type accept."
)


class Asker:
    """Asks at a console. `danger`, `back` and `leave off` are understood everywhere.

    Only the word danger itself tells of one here: who writes about a leak does not stand beside it.
    """

    def __init__(self, console: Console) -> None:
        self.console = console

    def say(self, text: str, manner: str = "plain", *, indent: int = 0) -> None:
        """A paragraph; a strong one has a gap above it."""
        page = Page(self.console.width())
        page.say(text, "strong" if manner == "strong" else "plain", indent=indent)
        lines: Sequence[Line] = [Line(""), *page.lines] if manner == "strong" else page.lines
        self.console.show(lines)

    def typed(self, helped: Sequence[tuple[str, str]] = ()) -> str:
        """A line, stripped; raises DangerTold, BackOne, LeftOff, EOFError. help tells of those words, too."""
        while True:
            line = "".join(letter if letter.isprintable() else " " for letter in self.console.ask())
            text = " ".join(line.split())
            command = command_of(text)
            if command is None:
                return text
            if command.command == "danger":
                raise DangerTold(ANY_DANGER)
            if command.command == "leave off":
                raise LeftOff("Nothing was written.")
            if command.command == "back":
                raise BackOne
            if command.command in ("help", "why"):
                self.say(HELP)
                self.console.show(Page(self.console.width()).listing(helped).lines)
                continue
            return ""

    def line(
        self,
        ask: str,
        how: str = "",
        *,
        usual: str = "",
        needed: bool = False,
        judge: Judge | None = None,
        helped: Sequence[tuple[str, str]] = (),
    ) -> str:
        """What is typed, `usual` for Enter; asked again as long as `judge` finds something wrong with it.

        `helped` are words with their meanings, for who types help.
        """
        self.say(ask, "strong")
        if how:
            self.say(how)
        while True:
            text = self.typed(helped) or usual
            wrong = judge(text) if judge is not None and text else ()
            if text and not wrong:
                return text
            if not text and not needed:
                return ""
            for sentence in wrong:
                self.say(sentence)
            self.say("Type it once more." if wrong else "This is needed; or type: leave off.")

    def choose(
        self,
        ask: str,
        choices: Sequence[Choice],
        *,
        how: str = "",
        usual: str | None = None,
        other: Callable[[str], str | None] | None = None,
    ) -> str:
        """The id of a choice; `usual` for Enter. `other` may take what is no choice, and says None if not."""
        self.say(ask, "strong")
        if how:
            self.say(how)
        page = Page(self.console.width())
        page.listing([(str(number), choice.says) for number, choice in enumerate(choices, 1)])
        self.console.show(page.lines)
        while True:
            text = self.typed()
            if not text and usual is not None:
                return usual
            meant = meaning(text, choices) if plain_words(text) else Unclear()
            if isinstance(meant, Chosen):
                return meant.choice.id
            taken = other(text) if other is not None and text else None
            if taken is not None:
                return taken
            enter = ", or just Enter" if usual is not None else ""
            self.say(f"Type a number from 1 to {len(choices)}{enter}.")

    def number(self, ask: str, how: str = "", *, usual: float | None, most: float | None = None) -> float:
        """A number above zero, at most `most`."""

        def judge(text: str) -> Sequence[str]:
            try:
                number = float(text.replace(",", "."))
            except ValueError:
                return (f'"{text[:20]}" is no number.',)
            if not 0 < number <= (most if most is not None else 1e6):
                return (f"It has to be above 0{f' and at most {most:g}' if most is not None else ''}.",)
            return ()

        text = self.line(ask, how, usual=f"{usual:g}" if usual is not None else "", needed=True, judge=judge)
        return float(text.replace(",", "."))

    def agreed(self, ask: str) -> bool:
        """Whether the whole word yes is typed."""
        self.say(f"{ask} Type the whole word: yes or no.", "strong")
        try:
            return plain_words(self.typed()) == "yes"
        except (BackOne, LeftOff):
            return False
