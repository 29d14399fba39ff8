"""What past cases would have a tree file say, by which rule, and what is left as it is, as a page."""

from __future__ import annotations

from diagnose.revising.fitting import Fit
from diagnose.revising.fitting_cases import ToLearn
from diagnose.revising.writing import Opened
from diagnose.terminal.layout import Page
from diagnose.terminal.wrapping import clean
from diagnose.terms import Tree

RULE = (
    "Written is what lies outside the 90 % range of what file and cases say together; where one share does, "
    "all are written, so that they go on summing to 100."
)


def fit_page(tree: Tree, found: Fit, learned: ToLearn, width: int) -> Page:
    """What goes in, by which rule, and that the cases go on counting here."""
    page = Page(width).gap()
    page.say(
        f"Learned from {_cases(learned.cases)}: {_number(len(found.shares), 'share')}, "
        f"{_number(len(found.rows), 'row')} of expectations."
    )
    page.say(RULE)
    _elsewhere(page, learned)
    if found.left:
        page.gap().say("LEFT AS IT IS")
        for each in found.left:
            page.hang("- ", clean(each), indent=0)
    page.gap().say("COUNTED TWICE")
    taken = found.cases + learned.before
    twice = tree.strength * taken / (tree.strength + taken)
    page.say(
        f"In this store the same cases go on counting, so in its ranking they weigh by up to {twice:.0f} "
        f"cases too much (never as many as the file's strength, {tree.strength:g}). The file is for others, "
        "who have not seen these cases; do not send them both the file and an export of the cases. What past "
        "cases say of the new file below flatters it for the same reason."
    )
    return page.gap()


def nothing_page(learned: ToLearn | None, found: Fit | None, at_least: int, width: int) -> Page:
    """Why nothing is to be written."""
    page = Page(width)
    if learned is None or found is None or not learned.cases:
        again = " that has not gone into the file before" if learned is not None and learned.before else ""
        page.say(f"There is no confirmed case{again}, so there is nothing to learn.")
    elif learned.cases < at_least:
        page.say(f"There are {_cases(learned.cases)}, fewer than {at_least}: too few to change a file.")
    else:
        page.say(f"No figure of the file is clearly another by {_cases(learned.cases)}. Nothing was written.")
    if found is not None:
        for each in found.left:
            page.say(f"Left as it is: {clean(each)}.")
    if learned is not None:
        _elsewhere(page, learned)
    return page


def written_page(opened: Opened, width: int) -> Page:
    """Where the file stands now."""
    from diagnose.knowledge.collection import shown

    page = Page(width).gap().say(f"{shown(opened.target)} is written.", "strong")
    if opened.copied:
        page.say(
            "It is a copy of your own, and wins over the tree of this project wherever its folder is named "
            "with --trees. The change above is what to send to the project, so that all have it."
        )
    return page


def _elsewhere(page: Page, learned: ToLearn) -> None:
    if learned.before:
        page.say(
            f"{_cases(learned.before)} went into the file before and {_are(learned.before)} not taken again."
        )
    if learned.elsewhere:
        page.say(
            f"{_cases(learned.elsewhere)} from other workshops {_are(learned.elsewhere)} left out: they have "
            "no date and could go in twice."
        )


def _are(number: int) -> str:
    return "is" if number == 1 else "are"


def _cases(number: int) -> str:
    return _number(number, "confirmed case")


def _number(number: int, noun: str) -> str:
    return f"{number:,} {noun}" if number == 1 else f"{number:,} {noun}s"
