"""Scores of the ranking as a page of sentences and small tables, for any width."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.reviewing import score_statements as says
from diagnose.reviewing.figures import Figures
from diagnose.reviewing.scoring import Review, TreeScores
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.wrapping import display_width


def score_page(review: Review, width: int) -> str:
    """The page as plain text, its last line without an end."""
    page = Page(width)
    _paragraphs(page, says.basis(review))
    if review.overall is not None:
        _overall(page, review.overall)
        _trees(page, review.trees)
    if review.left_out:
        page.gap().say("LEFT OUT")
        _paragraphs(page, [says.left_out(each) for each in review.left_out])
    if review.overall is not None:
        page.gap()
        _paragraphs(page, [says.INTERVALS])
    return page.text()


def _overall(page: Page, figures: Figures) -> None:
    page.gap().say("HOW GOOD THE RANKING WAS")
    _paragraphs(page, says.rates(figures))
    rows = [
        ("log loss", says.figure(figures.learned.log_loss), says.figure(figures.by_file.log_loss)),
        ("Brier score", says.figure(figures.learned.brier), says.figure(figures.by_file.brier)),
    ]
    _scores(page, rows)
    page.gap().say("DID LEARNING HELP?").say(says.learning(figures.learning))
    page.gap().say("CAN A SHARE BE TAKEN AT ITS WORD?")
    _paragraphs(page, says.calibration(figures))
    if figures.calibration:
        bins = [says.bin_row(each) for each in figures.calibration]
        _columns(page, [("SAID", "RIGHT", "BETWEEN", "CASES"), *bins])
    page.gap().say("MINUTES")
    _paragraphs(page, says.minutes(figures))
    if figures.minutes is not None:
        page.say(says.WHAT_MINUTES_ARE)


def _scores(page: Page, rows: Sequence[tuple[str, str, str]]) -> None:
    """Each score with past cases and by the files: side by side where there is room."""
    page.say("Lower is better:")
    lines = [("", "with past cases", "by the files alone"), *rows]
    widths = [max(map(display_width, column)) for column in zip(*lines, strict=True)]
    if sum(widths) + 6 <= page.width:
        _columns(page, lines, left=3)
        return
    for name, learned, by_file in rows:
        page.say(name, indent=2)
        page.say(f"with past cases {learned}", indent=4).say(f"by the files alone {by_file}", indent=4)


def _trees(page: Page, trees: Sequence[TreeScores]) -> None:
    page.gap().say("BY SYMPTOM")
    page.say("In 100 cases, how often the true cause was in front and among the first three:")
    lines = [("CASES", "IN FRONT", "FIRST 3", "LEARNING", "SYMPTOM")]
    for each in trees:
        top_1, top_3 = each.figures.learned.top_1, each.figures.learned.top_3
        note = says.tree_note(each)
        lines.append(
            (
                f"{each.figures.cases:,}",
                f"{100 * top_1.value:.0f} ({100 * top_1.low:.0f}-{100 * top_1.high:.0f})",
                f"{100 * top_3.value:.0f}",
                says.VERDICT_IN_A_WORD[each.figures.learning.verdict],
                f"{each.says} ({each.symptom})" + (f"; {note}" if note else ""),
            )
        )
    widths = [max(map(display_width, column)) for column in zip(*lines, strict=True)][:-1]
    for *cells, text in lines:
        start = "  ".join(cell.rjust(size) for cell, size in zip(cells, widths, strict=True)) + "  "
        if display_width(start) > page.width // 2:
            page.say("  ".join(cells)).say(text, indent=4)
        else:
            page.hang(start, text, indent=0)


def _columns(page: Page, lines: Sequence[Sequence[str]], left: int = 0) -> None:
    """Short cells under each other: the first `left` columns to the left, numbers to the right."""
    widths = [max(map(display_width, column)) for column in zip(*lines, strict=True)]
    for line in lines:
        cells = [
            cell + " " * (size - display_width(cell)) if at < left else cell.rjust(size)
            for at, (cell, size) in enumerate(zip(line, widths, strict=True))
        ]
        page.lines.append(Line("  " + "  ".join(cells).rstrip()))


def _paragraphs(page: Page, sentences: Sequence[str]) -> None:
    for sentence in sentences:
        page.say(sentence)
