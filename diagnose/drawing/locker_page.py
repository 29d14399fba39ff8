"""How a locker card is brought onto one page of A4: the largest type that fits, and what is left off at last.

The reader's browser chooses the face. So every letter is reckoned as wide as in the widest of the plain faces
that are common, and lines are broken greedily, as browsers do: a narrower face never takes more lines than
that, since greedy breaking is the shortest. Heights follow from the style sheet
alone. What is reckoned to fit, fits.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

SIZES = (22, 20, 18, 16, 14, 13, 12)
"""Sizes of type in points, the largest that fits is taken. Under 12 points print is no longer clear to most
(common practice for clear print, from memory); rather something is left off."""
PAGE = (186.0, 273.0)
"""Width and height in millimetres that an A4 sheet (ISO 216: 210 by 297) leaves within margins of 12."""
SLACK = 3.0
"""Millimetres of the height that are not used: rounding to the dots of a printer."""
POINTS_PER_MM = 72 / 25.4
LINE_HEIGHT = 1.3
TITLE = 1.5
"""Size of the title, in sizes of the type."""
GAP = 0.5
"""Above each heading and the last lines, in sizes of the type."""
INDENT = 1.0
"""Of the lines under a heading, in sizes of the type."""
RULE = 1.0
"""Points of the line under a heading."""
RANK_OF_DUE = 2
DUE = "DUE"
_DUE_FRAME = 0.6 + 4 / SIZES[-1]
"""The frame around DUE, in sizes of the type: its padding, and its line at the smallest size."""

# Advance widths in thousandths of the size, rounded up, of DejaVu Sans 2.37 (upright and bold), which is
# wider than most plain faces. The style sheet asks for narrower ones first.
_WIDTHS = (
    # (letters, upright, bold)
    ("iljIJ'|", 340, 380),
    ("ft()[]/\\,.:;!-", 410, 480),
    (" ", 320, 350),
    ('rs*z"`_', 525, 600),
    ("ceavxykJLFETYZ?", 690, 780),
    ("bdghnopqu0123456789${}", 640, 720),
    ("ABCKPRSVX&", 785, 875),
    ("DGHNOQUw+=<>~#^", 840, 930),
    ("mMW%@", 1000, 1110),
)
_PLAIN = (
    ("ijl'", 230, 280),
    ("!,./:;I[\\]ft |", 281, 334),
    ('()-`r"', 356, 475),
    ("{}*", 390, 390),
    ("^Jcksvxyz", 501, 585),
    ("#$0123456789?L_abdeghnopqu", 557, 612),
    ("+<=>~FTZ", 612, 612),
    ("&ABEKPSVXY", 668, 723),
    ("CDHNRUwGOQ", 779, 779),
    ("Mm%", 890, 890),
    ("W@", 1016, 976),
)
"""The same of Liberation Sans 2, whose widths are those of the plain faces that nearly every machine has."""


class Face(NamedTuple):
    """Letter -> its width in sizes of the type, upright and bold."""

    upright: Mapping[str, float]
    bold: Mapping[str, float]


def _face(widths: Sequence[tuple[str, int, int]]) -> Face:
    return Face(
        {letter: upright / 1000 for letters, upright, _ in widths for letter in letters},
        {letter: bold / 1000 for letters, _, bold in widths for letter in letters},
    )


WIDEST, PLAIN = _face(_WIDTHS), _face(_PLAIN)
_WHERE_BROWSERS_BREAK = re.compile(r"[ \t\r\n\f]+")
_OTHER_LETTER, _SIGN, _MARK = 1.35, 1.5, 0.6
"""Widths of letters of other scripts, of pictures, and of an accent that stands by itself."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line: what it is about, what is so, and whether it is due."""

    about: str
    says: str
    due: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with its lines."""

    title: str
    entries: tuple[Entry, ...]
    rank: int = 0
    """What is left off first, where room is wanting: the highest; nothing of rank 0 ever is."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """What comes onto the page, at which size of type, and what was left off: (heading, how many lines)."""

    size: int
    sections: tuple[Section, ...]
    left_off: tuple[tuple[str, int], ...] = ()


def fit(name: str, sections: Sequence[Section], last: str) -> Fitted:
    """The card on one page: `last` is the sentence below everything."""
    most = PAGE[1] - SLACK
    for size in SIZES:
        if height(name, sections, (last,), size) <= most:
            return Fitted(size, tuple(sections))
    size = SIZES[-1]

    def fits(kept: Sequence[Section], left_off: str) -> bool:
        return height(name, kept, (left_off, last), size) <= most

    kept, left_off = shortened(sections, fits)
    return Fitted(size, kept, left_off)


def shortened(
    sections: Sequence[Section], fits: Callable[[Sequence[Section], str], bool]
) -> tuple[tuple[Section, ...], tuple[tuple[str, int], ...]]:
    """What is kept and what is left off, so that it fits: least needed first.

    `fits` is asked with what is kept and the sentence about the rest.
    """
    kept, gone = list(sections), dict.fromkeys((section.title for section in sections), 0)
    while not fits(kept, left_off_in_words(_counted(gone))):
        least = max(
            (
                (_rank(section, entry), at, place)
                for at, section in enumerate(kept)
                for place, entry in enumerate(section.entries)
            ),
            default=(0, 0, 0),
        )
        if least[0] <= 0:
            break
        _, at, place = least
        entries = kept[at].entries
        gone[kept[at].title] += 1
        entries = (*entries[:place], *entries[place + 1 :])
        kept[at : at + 1] = [replace(kept[at], entries=entries)] if entries else []
    return tuple(kept), _counted(gone)


def _rank(section: Section, entry: Entry) -> int:
    """What is due stays on longer than the heading that it stands under."""
    return min(section.rank, RANK_OF_DUE) if entry.due else section.rank


def left_off_in_words(left_off: Sequence[tuple[str, int]]) -> str:
    """The sentence on the page about what has no room on it; "" where all has."""
    if not left_off:
        return ""
    told = ", ".join(f'{count} under "{title}"' for title, count in left_off)
    return f"No room here for: {told}. See the card itself."


def height(name: str, sections: Sequence[Section], below: Sequence[str], size: int) -> float:
    """Millimetres that the card takes at a size of type, at most."""
    line = size * LINE_HEIGHT
    points = TITLE * line * lines_of([(name, True)], size * TITLE)
    for section in sections:
        points += GAP * size + line * lines_of([(section.title, True)], size) + RULE
        points += line * sum(lines_of(_runs(entry), size, INDENT, entry.due) for entry in section.entries)
    points += GAP * size + line * sum(lines_of([(text, False)], size, INDENT) for text in below if text)
    return points / POINTS_PER_MM


def lines_of(
    runs: Sequence[tuple[str, bool]],
    size: float,
    indent: float = 0.0,
    due: bool = False,
    width: float = PAGE[0],
    face: Face = WIDEST,
) -> int:
    """How many lines a paragraph takes at most on `width` millimetres.

    `runs` are its texts in order, and whether each is bold; `size` is that of the type in points, `indent`
    what is not used of the width, in sizes.
    """
    room = width * POINTS_PER_MM / size - indent
    words = [
        (sum(_width(letter, bold, face) for letter in word), bold)
        for text, bold in runs
        for word in _WHERE_BROWSERS_BREAK.split(text.strip())
    ]
    if due:
        words.append((sum(_width(letter, True, face) for letter in DUE) + _DUE_FRAME, True))
    lines, used = 1, 0.0
    for width, bold in words:
        space = _width(" ", bold, face) if used else 0.0
        if used + space + width > room and used:
            lines, used, space = lines + 1, 0.0, 0.0
        used += space + width
        while (
            used > room
        ):  # a word that is longer than a line is broken anywhere, before its last whole letter
            lines, used = lines + 1, used - room + _SIGN
    return lines


def _runs(entry: Entry) -> list[tuple[str, bool]]:
    if not entry.about:
        return [(entry.says, True)]
    return [(f"{entry.about}:", True), (entry.says, False)]


def _width(letter: str, bold: bool, face: Face = WIDEST) -> float:
    """In sizes of the type; marks that are set onto a letter take no room of their own."""
    known = face.bold if bold else face.upright
    if letter in known:
        return known[letter]
    if unicodedata.combining(letter):
        return 0.0
    parts = [part for part in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(part)]
    if parts and all(part in known for part in parts):
        return max(sum(known[part] for part in parts), _MARK)
    return _OTHER_LETTER if unicodedata.category(letter)[0] in "LNP" else _SIGN


def _counted(gone: dict[str, int]) -> tuple[tuple[str, int], ...]:
    return tuple((title, count) for title, count in gone.items() if count)
