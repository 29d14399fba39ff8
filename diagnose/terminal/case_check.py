"""What a check of the store has found, as a page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.cases.checking import Difference
from diagnose.cases.checking_places import Group
from diagnose.cases.merging import Standing
from diagnose.terminal.case_exchange import number
from diagnose.terminal.case_list import command
from diagnose.terminal.layout import Line, Page

MOST_SHOWN = 30
"""So many of a kind are shown; of more, their number (with --json all)."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What there is, and what is wrong with it."""

    cases: int
    confirmed: int
    sums: int
    differences: tuple[Difference, ...] = ()
    unsound: tuple[str, ...] = ()
    gone: tuple[Group, ...] = ()
    """Confirmed causes that their tree has no more."""
    without_tree: tuple[Group, ...] = ()
    merged_gone: tuple[tuple[str, str, int], ...] = ()
    """The same of what was merged: symptom, cause, cases."""
    standing: tuple[Standing, ...] = ()


def check_told(checked: Checked, width: int, options: Sequence[str], *, to_mend: bool) -> Page:
    """Everything that was found, worst first; `to_mend`: say how the sums are set right."""
    page = Page(width)
    page.say(f"{number(checked.cases, 'case')}, {checked.confirmed} confirmed.")
    if checked.unsound:
        page.gap().say("The store is not sound:")
        _some(page, checked.unsound)
        page.say("Keep a copy of it as it is, and put back an earlier one (docs/store.md).")
    _differences(page, checked)
    if checked.differences and to_mend:
        # A command broken into lines could not be copied.
        page.lines.append(Line(f"To set them right: {command('cases', 'check', '--mend', *options)}"))
    _without_place(page, checked)
    for each in checked.standing:
        page.gap().say(
            f"Merged from {each.origin}: export {each.number}, {number(each.confirmed, 'confirmed case')}."
        )
    return page


def mended_told(mended: Sequence[Difference]) -> str:
    """What was done."""
    return f"{number(len(mended), 'sum')} set right; every sum is what the cases come to."


def _differences(page: Page, checked: Checked) -> None:
    if not checked.differences:
        page.say(_all_right(checked.sums))
        return
    differ = "1 sum differs" if len(checked.differences) == 1 else f"{len(checked.differences)} sums differ"
    page.gap().say(f"{differ} from what the cases come to:")
    _some(page, [_difference(each) for each in checked.differences])


def _all_right(sums: int) -> str:
    if sums < 2:
        return "The one sum is what the cases come to." if sums else "No sum is kept."
    return f"All {sums} sums are what the cases come to."


def _difference(each: Difference) -> str:
    return f"{each.table}: {', '.join(map(str, each.key))}: {each.kept} kept, {each.counted} counted"


def _without_place(page: Page, checked: Checked) -> None:
    if checked.gone or checked.merged_gone:
        page.gap().say(
            "These confirmed causes are none in their tree now, and count for nothing. Confirm the cases "
            "anew, or name the old id under `was` in the tree:"
        )
        _some(page, [_named(each) for each in checked.gone])
        _some(
            page,
            [
                f"{symptom}, {cause}: {number(cases, 'case')}, merged"
                for symptom, cause, cases in checked.merged_gone
            ],
        )
    if checked.without_tree:
        page.gap().say("The trees of these cases are not at hand; until they are, they count for nothing:")
        _some(page, [_named(each) for each in checked.without_tree])


def _named(each: Group) -> str:
    numbers = ", ".join(map(str, each.numbers)) + (", ..." if each.cases > len(each.numbers) else "")
    name = f"{each.symptom}, {each.cause}" if each.cause else each.symptom
    return f"{name}: {number(each.cases, 'case')} ({numbers})"


def _some(page: Page, lines: Sequence[str]) -> None:
    for line in lines[:MOST_SHOWN]:
        page.say(line, indent=2)
    if len(lines) > MOST_SHOWN:
        page.say(f"and {len(lines) - MOST_SHOWN} more (--json tells all)", indent=2)
