"""How a sheet as HTML is brought onto one page of A4 when a browser prints it.

Nothing can be measured, since the reader's browser chooses the face. The style sheet asks for the plain faces
that are nearly everywhere, all equally wide, and has any other scaled to their figures' width (CSS Fonts 5,
`font-size-adjust`). Lines are reckoned with those widths and a little more. What stands here in sizes of the
type stands in `templates/sheet.css` too, which is filled in from here.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass

from diagnose.drawing.locker_page import PAGE, PLAIN, POINTS_PER_MM, SLACK, lines_of
from diagnose.drawing.sheet_layout import SIZES, Laid, Line, least_left_off
from diagnose.drawing.sheet_words import SheetWords, in_words
from diagnose.knowledge.languages import Language
from diagnose.walking.sheet_parts import Sheet

FIGURE = 0.556
"""Width of a figure in the plain faces, in sizes of the type."""
WIDER = 1.02
"""What faces differ in besides."""
LINE = 1.2
TITLE, STOP, CODE, TO, SMALL = 1.6, 1.5, 1.4, 1.1, 0.8
"""Sizes of title, stop, code, of to whom it goes, and of small print, in sizes of the type."""
AFTER = 0.2
"""Below each paragraph and row."""
ABOVE_HEADING, BELOW_HEADING = 0.6, 0.25
FRAME = 0.4
"""Around a frame's words, on every side."""
SIGN = 2.6
"""Height of a line to sign on."""
RULES = 8.0
"""Points of all rules and frames of a page together, and more."""
SQUARE, GAP = 34.0, 4.0
"""Width of the square code, and of the gap between columns, in millimetres."""
LEFT, HALF = PAGE[0] - SQUARE - GAP, (PAGE[0] - GAP) / 2
SAID = 66.0
"""Width of the column of answers."""
TIME, LONG_TIME = 3.6, 9.6
"""Width of the column of times, and where a day stands in it, in sizes of the type."""
CELL = 0.6
"""What a cell keeps free on its right."""
MARK, NUMBER = 0.9, 3.4
"""What stands before an item of a list, and before a numbered outcome."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """The size of type in points, the lines that are left off, and what is said of them."""

    size: float
    gone: frozenset[int] = frozenset()
    left_off: str = ""


def fit(sheet: Sheet, words: SheetWords, laid: Laid, language: Language) -> Fitted:
    """The largest type in which all fits one page; else the smallest, with as little left off as can be."""
    most = PAGE[1] - SLACK

    def fits(size: float, gone: Set[int]) -> bool:
        return _Reckoned(sheet, words, laid, language, size, gone).height() <= most

    size = next((size for size in SIZES if fits(size, frozenset())), None)
    if size is not None:
        return Fitted(size)
    gone = least_left_off(laid.order, lambda gone: fits(SIZES[-1], gone))
    return Fitted(SIZES[-1], gone, laid.told(gone))


def time_column(rows: Sequence[Line]) -> float:
    """The width of the column of times in sizes of the type: wider where one has its day, none without."""
    if not any(row.cells[0].words for row in rows):
        return 0.0
    return LONG_TIME if any(len(row.cells[0].words) > len("09:00") for row in rows) else TIME


class _Reckoned:
    """The heights of a sheet's pieces at a size of type, at most; in sizes of the type."""

    def __init__(
        self, sheet: Sheet, words: SheetWords, laid: Laid, language: Language, size: float, gone: Set[int]
    ) -> None:
        self.sheet, self.words, self.language, self.size = sheet, words, language, size
        self.parts, self.left_off = laid.without(gone), laid.told(gone)

    def height(self) -> float:
        """Millimetres of the whole."""
        sizes = self._stop() + self._head() + self._found() + self._halves() + self._back() + self._sign()
        return (sizes * self.size + RULES) / POINTS_PER_MM

    def _text(
        self,
        text: str,
        width: float = PAGE[0],
        scale: float = 1.0,
        indent: float = 0.0,
        bold: bool = False,
        after: float = AFTER,
    ) -> float:
        """A paragraph with the room below it; nothing for no text."""
        if not text:
            return 0.0
        lines = lines_of([(text, bold)], self.size * scale * WIDER, indent / scale, width=width, face=PLAIN)
        return lines * LINE * scale + after

    def _heading(self, title: str, width: float = PAGE[0]) -> float:
        return ABOVE_HEADING + self._text(title, width, bold=True, after=BELOW_HEADING)

    def _stop(self) -> float:
        if not self.words.stop:
            return 0.0
        why = in_words(self.words.because, self.language) if self.words.because is not None else ""
        band = self._text(self.words.stop, scale=STOP, indent=2 * FRAME, bold=True) + 2 * FRAME
        return band + self._text(why, indent=2 * FRAME + 1, bold=True) + 2 * FRAME + ABOVE_HEADING

    def _head(self) -> float:
        width = LEFT if self.sheet.findings_code else PAGE[0]
        left = self._text(self.words.title, width, TITLE, bold=True, after=0.0)
        if self.sheet.review:
            left += self._text(" / ".join(self.sheet.review), width, indent=2 * FRAME) + FRAME
        for line in self.sheet.heading:
            left += self._text(
                f"{line.about}{self.words.colon} {in_words(line.says, self.language)}", width, bold=True
            )
        left += sum(self._text(notice, width) for notice in self.sheet.notices)
        left += self._items("facts", width)
        for each in self.words.handed:
            left += ABOVE_HEADING + self._text(
                in_words(each.to, self.language), width, TO, bold=True, after=0.0
            )
            left += self._text(each.register, width)
            for sentence in each.told:
                left += self._text(in_words(sentence, self.language), width)
        if not self.sheet.findings_code:
            return left
        right = SQUARE * POINTS_PER_MM / self.size + self._text(self.words.square, SQUARE, SMALL)
        return max(left, right)

    def _found(self) -> float:
        part = self.parts.get("found")
        rows = part.lines if part is not None else ()
        high = self._heading("x") + self._text(self.words.nothing_found)
        time = time_column(rows) * self.size / POINTS_PER_MM
        for line in rows:
            _, asked, said = (in_words(cell, self.language) for cell in line.cells)
            high += max(
                self._text(asked, PAGE[0] - time - SAID, indent=CELL),
                self._text(said, SAID, indent=CELL, bold=line.strong),
            )
        return high

    def _halves(self) -> float:
        left = sum(self._items(id, HALF) for id in ("tried", "untouched", "likely"))
        return max(left, self._items("cautions", HALF) + self._items("card", HALF))

    def _items(self, id: str, width: float) -> float:
        part = self.parts.get(id)
        if part is None:
            return 0.0
        high = self._heading(part.title, width)
        for line in part.lines:
            text = f"{self.words.colon} ".join(in_words(cell, self.language) for cell in line.cells)
            high += self._text(text, width, indent=MARK, bold=id == "likely")
        return high + sum(self._text(words, width) for words in part.below)

    def _back(self) -> float:
        back = self.sheet.answer_back
        if back is None:
            return ABOVE_HEADING + self._text(self.words.no_code)
        high = (
            self._heading(self.words.intro)
            + self._text(back.code, scale=CODE, bold=True)
            + self._text(self.words.aloud)
        )
        part = self.parts["outcomes"]
        rows = [
            self._text(in_words(line.cells[1], self.language), HALF, indent=NUMBER) for line in part.lines
        ]
        # Browsers balance two columns: they break where the higher one is lowest.
        columns = min(max(sum(rows[:at]), sum(rows[at:])) for at in range(len(rows) + 1))
        return high + columns + self._text(f"{self.words.they_type} {back.command}", bold=True)

    def _sign(self) -> float:
        texts = (self.words.orders, self.left_off, self.words.certificate)
        return ABOVE_HEADING + SIGN + sum(self._text(text, bold=True) for text in texts) + AFTER
