"""Trends of past cases as a page of sentences and small tables, for any width."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.reviewing import trends_statements as says
from diagnose.reviewing.trends_told import Courses, Trends, Vehicles
from diagnose.terminal.layout import Page
from diagnose.terminal.wrapping import display_width

ROWS = 8
"""Lines of a table; the rest is in the JSON."""


def trends_page(trends: Trends, width: int) -> str:
    """The page as plain text, its last line without an end."""
    page = Page(width)
    _paragraphs(page, says.basis(trends))
    if not trends.basis.cases:
        return page.text()
    if trends.vehicles is not None:
        _returns(page, trends)
        _vehicles(page, trends.vehicles, says.vehicles(trends))
    _again(page, trends)
    _courses(page, "OVER THE YEARS", trends.years, "years")
    _months(page, trends)
    _courses(page, "BY MONTHS LAID UP", trends.laid_up, "laid-up")
    _prevention(page, trends)
    page.gap()
    _paragraphs(page, [says.MANY, says.SOURCES, says.NOT_CERTAIN])
    return page.text()


def _returns(page: Page, trends: Trends) -> None:
    page.gap().say(f"WHAT COMES BACK WITHIN {says.within(trends.asked.months).upper()}")
    _paragraphs(page, says.returns(trends))
    shown = [each for each in trends.returns if each.counts.came_back]
    rows = [
        (
            f"{each.counts.came_back:,}",
            f"{each.counts.watched:,}",
            f"{100 * each.share.low:.0f}-{100 * each.share.high:.0f}",
            f"{each.says} ({each.counts.symptom})",
        )
        for each in shown
    ]
    _table(page, ("BACK", "OF", "IN 100", "CAUSE"), rows)
    recent = sum(each.counts.too_recent for each in trends.returns)
    if recent:
        page.say(f"Not counted here, as put right too recently to be watched so long: {recent:,}.")


def _vehicles(page: Page, found: Vehicles, said: Sequence[str]) -> None:
    page.gap().say("VEHICLES WITH MORE THAN THEIR SHARE")
    _paragraphs(page, said[:ROWS])
    _more(page, found.standing_out - ROWS)


def _again(page: Page, trends: Trends) -> None:
    page.gap().say("THE SAME CAUSE AGAIN AND AGAIN")
    if not trends.again:
        page.say(says.NEVER_AGAIN)
    rows = [
        (str(each.cases), f"{says.named(each)}: {words} ({each.symptom})") for each, words in trends.again
    ]
    _table(page, ("DAYS", "VEHICLE AND CAUSE"), rows)


def _courses(page: Page, title: str, found: Courses, scale: says.Scale) -> None:
    page.gap().say(title)
    said = says.courses(found, scale)
    marked = [each for each in found.causes if each.tested.stands_out]
    if not marked:
        _paragraphs(page, said)
    for sentence, each in list(zip(said, marked, strict=False))[:ROWS]:
        page.say(sentence).say(f"Cases: {says.counts_along(each, found)}", indent=2)
    _more(page, len(marked) - ROWS)
    if found.causes and found.too_few:
        noun = "cause has" if found.too_few == 1 else "causes have"
        page.say(f"{found.too_few:,} further {noun} too few cases to say.")


def _months(page: Page, trends: Trends) -> None:
    found = trends.months
    page.gap().say("MONTH OF THE YEAR")
    said = says.months(found)
    _paragraphs(page, said[: ROWS + 1])
    _more(page, len(said) - ROWS - 1)
    rows = [
        (f"{each.value:,.0f}", f"{each.low:,.0f}-{each.high:,.0f}", name)
        for each, name in zip(found.all, says.MONTHS, strict=True)
    ]
    _table(page, ("CASES", "BETWEEN", "MONTH"), rows, len(rows))


def _prevention(page: Page, trends: Trends) -> None:
    page.gap().say("WHAT WOULD HAVE SAVED MOST")
    _paragraphs(page, says.prevention(trends))
    rows = [
        (
            f"{each.minutes.value / 60:,.1f}",
            f"{each.minutes.low / 60:,.1f}-{each.minutes.high / 60:,.1f}",
            f"{each.cases:,}",
            each.text,
        )
        for each in trends.prevention
    ]
    _table(page, ("HOURS", "BETWEEN", "CASES", "PREVENTION"), rows)


def _table(page: Page, header: Sequence[str], rows: Sequence[Sequence[str]], most: int = ROWS) -> None:
    """Numbers to the right under their heads, a text behind them that is wrapped under itself."""
    if not rows:
        return
    lines = [tuple(header), *rows[:most]]
    widths = [max(map(display_width, column)) for column in zip(*lines, strict=True)][:-1]
    for *numbers, text in lines:
        start = "".join(each.rjust(size) + "  " for each, size in zip(numbers, widths, strict=True))
        if display_width(start) > page.width // 2:
            page.say(start.rstrip()).say(text, indent=4)
        else:
            page.hang(start, text, indent=0)
    _more(page, len(rows) - most)


def _more(page: Page, number: int) -> None:
    if number > 0:
        page.say(f"{number:,} more with --json")


def _paragraphs(page: Page, sentences: Sequence[str]) -> None:
    for sentence in sentences:
        page.say(sentence)
