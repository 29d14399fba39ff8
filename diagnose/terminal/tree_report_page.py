"""How good a tree is, as a page of sentences and small tables, for any width."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.reviewing import tree_report_statements as says
from diagnose.reviewing.tree_report import TreeReport
from diagnose.terminal.layout import Page
from diagnose.terminal.wrapping import display_width
from diagnose.walking.views import NOT_CHECKED

_CAUSES = ("OF 100", "MINUTES", "RIGHT", "PASSED ON", "STOPPED", "CASES")
_CHECKS = ("COSTS", "ASKED", "SAVES", "BITS")
_GATES = ("OF 100", "FUSSELL-VESELY", "BIRNBAUM")


def tree_report_page(report: TreeReport, width: int) -> str:
    """The page as plain text, its last line without an end."""
    page = Page(width)
    page.say(says.heading(report), "strong")
    if not report.tree.shipped:
        page.gap().say(NOT_CHECKED, "strong")
    _part(page, says.COVERAGE, says.coverage(report))
    _part(page, says.MINUTES, [*says.minutes(report), says.WHAT_MINUTES_ARE])
    _part(page, says.SHARES, says.shares(report))
    whose = f"For {says.WHOSE[report.role]}."
    _part(page, says.CAUSES, [whose])
    shown = len(_CAUSES) if any(each.cases for each in report.causes) else len(_CAUSES) - 1
    _table(page, _CAUSES[:shown], [(says.cause_row(each)[:shown], each.says) for each in report.causes])
    page.gap().say(says.WHAT_ENDS)
    _part(page, says.CHECKS, [whose])
    _table(page, _CHECKS, [(says.check_row(each), f"{each.asks} ({each.id})") for each in report.checks])
    page.gap().say(says.WHAT_SAVES)
    if report.gates:
        _part(page, says.GATES, [])
        _table(page, _GATES, [(says.gate_row(each), each.says) for each in report.gates])
        page.gap().say(says.WHAT_GATES)
    _part(page, says.CASES, says.cases(report))
    return page.text()


def _part(page: Page, title: str, sentences: Sequence[str]) -> None:
    page.gap().say(title.upper())
    for sentence in sentences:
        page.say(sentence)


def _table(page: Page, header: Sequence[str], rows: Sequence[tuple[tuple[str, ...], str]]) -> None:
    """Figures under each other, the text behind them; where that is too wide, each text above its figures."""
    lines = [tuple(header), *(cells for cells, _ in rows)]
    widths = [max(map(display_width, column)) for column in zip(*lines, strict=True)]
    starts = ["  ".join(map(str.rjust, cells, widths)) for cells in lines]
    if display_width(starts[0]) <= page.width // 2:
        page.say(starts[0])
        for start, (_, text) in zip(starts[1:], rows, strict=True):
            page.hang(f"{start}  ", text, indent=0)
        return
    for cells, text in rows:
        told = "; ".join(f"{name.lower()} {cell}" for name, cell in zip(header, cells, strict=True))
        page.say(text, indent=2).say(told, indent=4)
