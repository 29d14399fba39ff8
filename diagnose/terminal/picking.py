"""A short list to pick from, outside a walk: which symptom, which case, what it turned out to be."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from diagnose.terminal.console import Console
from diagnose.terminal.dangers import DangerTold, told_danger
from diagnose.terminal.layout import Page
from diagnose.terminal.understanding import Chosen, Ordered, Unclear, meaning
from diagnose.walking.danger_words import ANY_DANGER
from diagnose.walking.views import Choice


def pick(
    console: Console,
    choices: Sequence[Choice],
    *,
    skip: str,
    leave: str | None = None,
    words: Callable[[str], None] | None = None,
) -> str:
    """The id of one of the choices, asked for until one is understood.

    *Not sure* and an empty line give `skip`, *leave off* gives `leave` (without one, `skip` as well). Raises
    DangerTold where a danger is told instead, and whatever `words` raises for a line that is no choice.
    """
    page = Page(console.width())
    page.listing([(str(number), choice.says) for number, choice in enumerate(choices, 1)])
    console.show(page.lines)
    while True:
        typed = console.ask()
        meant = meaning(typed, choices)
        if isinstance(meant, Chosen):
            return meant.choice.id
        if leave is not None and isinstance(meant, Ordered) and meant.command == "leave off":
            return leave
        if not typed.strip() or (isinstance(meant, Ordered) and meant.command in ("not sure", "leave off")):
            return skip
        if isinstance(meant, Ordered) and meant.command == "danger":
            raise DangerTold(ANY_DANGER)
        heard = told_danger(console, typed)
        if heard is not None:
            raise DangerTold(heard)
        if words is not None:
            words(typed)
        text = f"Type a number from 1 to {len(choices)}, or just Enter to skip this."
        if isinstance(meant, Unclear) and meant.between:
            names = " or ".join(f'"{choice.says}"' for choice in meant.between)
            text = f"That fits {names}. {text}"
        console.show(Page(console.width()).say(text).lines)
