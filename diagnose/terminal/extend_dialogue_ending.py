"""The end of that talk: the whole change with what follows from it, for accept, change or leave."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from diagnose.revising.extending import NewCause
from diagnose.revising.extending_figures import Judged
from diagnose.terminal.differences import diff_page
from diagnose.terminal.extend_dialogue import ExtendDialogue
from diagnose.terminal.extend_dialogue_asking import LeftOff
from diagnose.terminal.layout import Line, Page
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
        try:
            judged = judge(new)
        except DiagnoseError as refused:
            asker.say(f"This cannot be written: {refused}", "strong")
            judged = Judged("", None)
        else:
            width = asker.console.width()
            asker.console.show([Line(""), *diff_page(difference(judged), width), Line("")])
            asker.console.show(consequences_page(judged, width).lines)
        choices = [choice for choice in CHOICES if judged.sound or choice.id != "accept"]
        picked = asker.choose("What now?", choices)
        if picked == "accept":
            return new, judged
        if picked == "leave":
            raise LeftOff("Nothing was written.")
        new = dialogue.again(new)


def consequences_page(judged: Judged, width: int) -> Page:
    """Flaws, advice, the proof, and what walks come to before and after."""
    page = Page(width)
    if judged.flaws:
        page.say("The tree would be broken:", "strong")
        for flaw in judged.flaws:
            page.hang("- ", f"line {flaw.line}: {flaw.message}")
        return page
    if judged.unsafe:
        return page.say("This would not be safe, and cannot be written:", "strong").say(
            judged.unsafe, indent=2
        )
    page.say("No flaw. Both routes are proved: no safety rule is broken.", "strong")
    for advice in judged.advice:
        page.hang("Advice: ", f"line {advice.line}: {advice.message}")
    page.say("Expected minutes of a walk, by the file's own figures:")
    page.listing(
        [(each.role, f"{each.before:.1f} before, {each.after:.1f} after") for each in judged.minutes]
    )
    return page
