"""What an import came to, or would come to: counts, then each row that stays out with its reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagnose.cases.bulk import Written
from diagnose.cases.import_cases import Report
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.wrapping import clean
from diagnose.terms import Flaw

MOST_SHOWN = 40
"""Rows of a kind that are listed; more scroll away before anybody has read them."""


@dataclass(frozen=True, slots=True)
class Told:
    """What the report has to know beside the counts."""

    file: str
    source: str
    mapping: str = ""
    order: str = ""
    refused_file: str = ""
    mend_command: str = ""
    again: str = ""
    """The command that brings in the good rows."""
    confirm: str = ""
    """The command that says what a case turned out to be, with `CASE` and `CAUSE` in it."""
    hint: Sequence[str] = ()
    """Lines of a mapping that would explain the words without a meaning."""
    hint_file: str = ""


def came_in(page: Page, report: Report, written: Written, told: Told, *, dry_run: bool) -> Page:
    """The page after an import, or after trying one out."""
    _head(page, report, told)
    verb = "would come in" if dry_run else "came in"
    without = written.added - written.confirmed
    if written.added:
        page.say(
            f"{counted(written.added, 'case')} {verb}: {written.confirmed} with a cause, {without} without.",
            "strong",
        )
    else:
        page.say(f"No case {verb}.", "strong")
    if without and not dry_run:
        page.say(
            "Those without a cause are kept unconfirmed: they tell how many cases ended without anybody "
            "saying what it was, so that the others are weighted by that. Nobody is asked about them. Should "
            f"you learn one: {told.confirm}",
        )
    if written.already:
        were = "was" if written.already == 1 else "were"
        page.say(f"{counted(written.already, 'case')} {were} here already and counted once.")
    _differing(page, written, told)
    _kept_out(page, report, told)
    return page


def not_brought_in(page: Page, report: Report, told: Told) -> Page:
    """The page where nothing came in because some rows could not."""
    _head(page, report, told)
    as_it_is = "as it is" if report.kept_out == 1 else "as they are"
    page.say(f"Nothing came in: {counted(report.kept_out, 'row')} cannot be taken {as_it_is}.", "strong")
    _kept_out(page, report, told)
    if report.good:
        page.gap().say(f"To bring in the {counted(report.good, 'good row')} alone, write:")
        page.say(told.again, indent=2)
    return page


def _head(page: Page, report: Report, told: Told) -> None:
    read_by = f", read by {told.mapping}" if told.mapping else ""
    page.say(f"{told.file}: {counted(report.rows, 'row')} of {told.source}{read_by}.")
    if told.order:
        page.say(f"Its dates are {told.order}, as one of them shows.")
    if report.unread:
        names = ", ".join(f'"{name[:40]}"' for name in report.unread[:12])
        more = f" and {len(report.unread) - 12} more" if len(report.unread) > 12 else ""
        page.say(f"Not read, since they mean nothing here: the columns {names}{more}.")
    for note in report.notes:
        page.say(note)
    if report.left_out:
        page.say(f"{counted(report.left_out, 'row')} left out, as the mapping says.")
    if report.repeated:
        page.say(f"{counted(report.repeated, 'row')} said the same again and counted once.")
    page.gap()


def _differing(page: Page, written: Written, told: Told) -> None:
    if not written.differ:
        return
    page.gap().say(
        f"{counted(written.differ, 'case')} stood here with other content under the same number. What is "
        "kept was not changed:"
    )
    for each in written.differing[:MOST_SHOWN]:
        line = f"{each.number} (case {each.case} here): another {' and '.join(each.what)}"
        if each.cause:
            known = told.confirm.replace("CASE", str(each.case)).replace("CAUSE", each.cause)
            line += f"; its cause is known now: {known}"
        page.hang("- ", line)
    _more(page, written.differ - min(len(written.differing), MOST_SHOWN))


def _kept_out(page: Page, report: Report, told: Told) -> None:
    doubtful = [flaw for flaw, only in report.flaws if only]
    others = [flaw for flaw, only in report.flaws if not only]
    for number, flaws, what in (
        (report.doubtful, doubtful, "doubtful: some words are only like known ones"),
        (report.refused, others, "refused"),
    ):
        if number:
            page.gap().say(f"{counted(number, 'row')} {what}.", "strong")
            _listed(page, flaws)
    if told.refused_file:
        page.gap().say(f"They stand in {told.refused_file} with the reason. Mend them there, then:")
        page.say(told.mend_command, indent=2)
    if told.hint:
        page.gap().say(f"What words mean is said once, in {told.hint_file}. Change what is not right:")
        for line in told.hint:
            # Not wrapped: it is there to be copied.
            page.lines.append(Line(clean(f"  {line}").rstrip()))


def _listed(page: Page, flaws: Sequence[Flaw]) -> None:
    for flaw in flaws[:MOST_SHOWN]:
        page.hang("", str(flaw), indent=2)
    _more(page, len(flaws) - MOST_SHOWN)


def _more(page: Page, number: int) -> None:
    if number > 0:
        page.say(f"... and {number:,} more.", indent=2)


def counted(number: int, noun: str) -> str:
    """A number with its noun.

    >>> counted(1, "row"), counted(1200, "case")
    ('1 row', '1,200 cases')
    """
    return f"{number:,} {noun}" + ("" if number == 1 else "s")
