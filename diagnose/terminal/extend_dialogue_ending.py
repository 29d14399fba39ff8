"""The end of that talk: the whole change with what follows from it, for accept, change or leave."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from diagnose.revising.extending import NewCause
from diagnose.revising.extending_figures import Judged
from diagnose.terminal.consequences_page import consequences_page
from diagnose.terminal.differences import diff_page
from diagnose.terminal.extend_dialogue import ExtendDialogue
from diagnose.terminal.extend_dialogue_asking import LeftOff
from diagnose.terminal.layout import Line
from diagnose.terms import DiagnoseError
from diagnose.walking.views import Choice

Told = Callable[[Judged], Sequence[str]]
"""The change as a diff."""
CHOICES = (
    Choice("accept", "accept: write it"),
    Choice("change", "change: tell one step again"),
    Choice("leave", "leave: write nothing"),
)


def settle(
    dialogue: ExtendDialogue, new: NewCause, judge: Callable[[NewCause], Judged], difference: Told
) -> tuple[NewCause, Judged]:
    """The cause as it is accepted, and the tree with it; raises LeftOff, DangerTold, EOFError."""
    asker = dialogue.asker
    while True:
        asker.say("Working out what follows from it ...")
        judged: Judged | None
        try:
            judged = judge(new)
        except DiagnoseError as refused:
            asker.say(f"This cannot be written: {refused}", "strong")
            judged = None
        else:
            width = asker.console.width()
            asker.console.show([Line(""), *diff_page(difference(judged), width), Line("")])
            asker.console.show(consequences_page(judged.found, width).lines)
        choices = [
            choice for choice in CHOICES if (judged is not None and judged.sound) or choice.id != "accept"
        ]
        picked = asker.choose("What now?", choices)
        if picked == "accept" and judged is not None:
            return new, judged
        if picked == "leave":
            raise LeftOff("Nothing was written.")
        new = dialogue.again(new)
