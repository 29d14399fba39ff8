"""Asks once, at a later start, what an ended case turned out to be.

Cures tell of themselves and referrals do not, so without this question every ranking would drift towards what
owners can cure. It is asked once and may be skipped; nobody is nagged.
"""

from __future__ import annotations

from datetime import timedelta

from diagnose.cases.records import CaseRecord
from diagnose.knowledge.naming import outcomes
from diagnose.terminal.console import Console
from diagnose.terminal.desk import Desk
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.picking import pick
from diagnose.terminal.sentences import inside
from diagnose.terms import DiagnoseError, Tree
from diagnose.walking.views import Choice

NOT_KNOWN = "later"
OTHER = "other"
OLD_ENOUGH = timedelta(hours=12)
"""Asked any sooner, nobody could know yet, and the one question would be wasted."""

_ENDED = {"referred": "It was handed over.", "stopped": "It was stopped because of danger."}


def ask_outcome(console: Console, desk: Desk) -> None:
    """Ask about the oldest ended case that nobody was asked about yet, if there is one."""
    record = desk.store.awaiting_outcome()
    if record is None or desk.clock() - record.changed < OLD_ENOUGH:
        return
    try:
        tree = desk.trees.tree(record.symptom)
    except DiagnoseError:
        # Its tree is gone or broken: nothing can be counted, and this is no place to tell of it.
        desk.store.outcome_asked(record.case)
        return
    _tell(console, record, tree)
    cause = _pointed_to(console, record, tree) or _picked(console, tree)
    desk.store.outcome_asked(record.case)
    page = Page(console.width()).gap()
    if cause == NOT_KNOWN:
        page.say(f"Not asked again. Should you learn it: {desk.confirm_command(record.case, 'CAUSE')}")
    else:
        desk.store.confirm(record.case, cause, desk.clock())
        page.say("Thank you: the next vehicle gains by it.")
    console.show([*page.lines, Line("")])


def names_of_causes(tree: Tree) -> tuple[Choice, ...]:
    """What a case of this tree can turn out to be, under the numbers that its sheet gives them."""
    return tuple(Choice(each.cause, each.says) for each in outcomes(tree))


def _tell(console: Console, record: CaseRecord, tree: Tree) -> None:
    page = Page(console.width())
    of = f' of "{record.vehicle}"' if record.vehicle else ""
    page.say(f"One question first, about case {record.case}{of} of {record.opened:%d %B %Y}:")
    page.say(tree.symptom, "strong", indent=2).gap()
    console.show(page.lines)


def _pointed_to(console: Console, record: CaseRecord, tree: Tree) -> str:
    """For a cured case: whether it was what the cure points to. Empty where the cause has to be picked."""
    says = {choice.id: choice.says for choice in names_of_causes(tree)}
    if record.state != "cured" or record.points_to not in says:
        how = _ENDED.get(record.state, "")
        page = Page(console.width()).say(f"{how} What did it turn out to be?".strip(), "strong")
        console.show(page.lines)
        return ""
    page = Page(console.width())
    page.say(f"Was it this, and has it stayed cured: {inside(says[record.points_to])}?", "strong")
    console.show(page.lines)
    choices = (
        Choice(record.points_to, "Yes, that was it"),
        Choice(OTHER, "No, it was something else"),
        Choice(NOT_KNOWN, "I do not know"),
    )
    picked = pick(console, choices, skip=NOT_KNOWN)
    if picked != OTHER:
        return picked
    console.show(Page(console.width()).say("What was it, then?", "strong").lines)
    return ""


def _picked(console: Console, tree: Tree) -> str:
    return pick(console, (*names_of_causes(tree), Choice(NOT_KNOWN, "I do not know (yet)")), skip=NOT_KNOWN)
