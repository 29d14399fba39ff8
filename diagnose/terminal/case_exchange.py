"""What is said of sums that are given to others, and of those that came from others."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.cases.exchange import Export
from diagnose.cases.exchange_withholding import Withheld
from diagnose.cases.merging import Merged, Standing
from diagnose.terminal.case_list import command, day
from diagnose.terminal.layout import Page
from diagnose.terminal.wrapping import clean

MOST_NAMED = 20
"""So many symptoms are named; of more, their number."""


def export_told(export: Export, withheld: Withheld, target: str, width: int) -> str:
    """What was written, and how somebody else takes it in."""
    page = Page(width).say(
        f"Export {export.number} of this store ({export.origin}) is written: {counted(export)}. It holds no "
        "vehicle, no text and no date but the year."
    )
    if export.at_least:
        page.say(withheld_told(withheld, export.at_least, page.width))
    return f"{page.text()}\nWhoever gets it: {command('cases', 'merge', clean(target))}"


def withheld_told(withheld: Withheld, at_least: int, width: int) -> str:
    """How many cells were left out; of how many cases is told to nobody."""
    return (
        Page(width)
        .say(
            f"Left out, so that no sum of fewer than {at_least} cases can be read or worked out: "
            f"{number(withheld.causes, 'sum')} of causes, {withheld.answers} of answers, "
            f"{withheld.unconfirmed} of cases that nobody has confirmed."
        )
        .text()
    )


def counted(export: Export) -> str:
    """What an export counts, in words."""
    untold = f", and {export.untold} that nobody has confirmed" if export.untold else ""
    cases = number(export.confirmed, "confirmed case")
    return f"{cases} of {number(len(export.symptoms), 'symptom')}{untold}"


def merged_told(done: Sequence[Merged], unknown: Sequence[str], width: int, *, dry: bool) -> str:
    """What became of each file, and which symptoms nobody here can walk."""
    page = Page(width)
    if dry:
        page.say("Nothing is written; this is what would be done.")
    for each in done:
        page.say(f"{each.file}: {_outcome(each)}")
        if each.export.at_least and each.outcome in ("added", "replaces"):
            page.say(
                f"It leaves out sums of fewer than {each.export.at_least} cases, so what is rare there is "
                "missing.",
                indent=2,
            )
    if unknown:
        named = ", ".join(unknown[:MOST_NAMED])
        more = f" and {len(unknown) - MOST_NAMED} more" if len(unknown) > MOST_NAMED else ""
        page.say(
            f"No tree at hand has these symptoms, so what was counted of them has no effect until one has: "
            f"{named}{more}."
        )
    return page.text()


def _outcome(each: Merged) -> str:
    export = each.export
    of = f"export {export.number} of store {export.origin}"
    return {
        "added": f"{of} counts now, with {counted(export)}.",
        "replaces": f"{of} takes the place of export {each.stood}, with {counted(export)}.",
        "stands": f"{of} counts already; nothing is added.",
        "older": f"{of} is older than the one that counts; nothing is added.",
        "own": f"{of} is this store's own; nothing is added.",
        "own-later": f"{of} is this store's own, and later than any that this store remembers: it is a "
        "copy, or was put back from one. Nothing is added; its next export has the number "
        f"{export.number + 1}.",
    }[each.outcome]


def standing_told(found: Sequence[Standing], width: int) -> str:
    """What stands merged, and how it is taken out again."""
    page = Page(width)
    if not found:
        return page.say("Nothing is merged from another store.").text()
    for each in found:
        untold = f", {each.unconfirmed} not confirmed" if each.unconfirmed else ""
        page.say(
            f"{each.origin}: export {each.number}, merged on {day(each.received)}, "
            f"{number(each.confirmed, 'confirmed case')}{untold}"
        )
    return f"{page.text()}\nTo take one out: {command('cases', 'forget', '--merged', found[0].origin)}"


def number(count: int, noun: str) -> str:
    """The count with its noun: 1 case, 2 cases."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
