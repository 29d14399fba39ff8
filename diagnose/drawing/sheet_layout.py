"""A hand-over sheet as it is laid out on one page of A4: headed lists of lines, and which line goes first.

A page is one page. Where all of a sheet has no room on it in the smallest type, what is needed least is left
off, line by line, and counted in a sentence. Never left off are the heading, the stop, to whom it is handed
over, the code and where somebody signs; what was seen, the cautions and the numbered outcomes go last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, replace

from diagnose.knowledge.languages import Language, Text
from diagnose.terms import NOT_SURE
from diagnose.walking.sheet import AS_WRITTEN, in_order
from diagnose.walking.sheet_parts import Found, Sheet, joined

LARGEST, SMALLEST, STEP = 11.0, 8.5, 0.25
"""Sizes of type in points. Smaller than 8.5 points nobody reads in a dim engine bay (judgement)."""
SIZES = tuple(LARGEST - STEP * at for at in range(int((LARGEST - SMALLEST) / STEP) + 1))
FIRST_LIKELY, FIRST_UNTOUCHED = 3, 4
"""Of the likeliest causes, and of what was not touched, so many stay as long as anything else can go."""


@dataclass(frozen=True, slots=True)
class Line:
    """A row of a list: its cells, and its place in the order in which lines are left off (0 is never)."""

    cells: tuple[Text, ...]
    out: int = 0
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """A headed list; `below` are sentences under it."""

    id: str
    title: str
    lines: tuple[Line, ...]
    below: tuple[str, ...] = ()
    stands: bool = False
    """Whether those sentences say something where no line is left."""

    def without(self, gone: Set[int]) -> Part:
        """The part after the lines of those places were left off."""
        return replace(self, lines=tuple(line for line in self.lines if line.out not in gone))


Around = tuple[str, str]
"""What stands before and behind something that is put in later."""


@dataclass(frozen=True, slots=True)
class Laid:
    """All parts of a sheet, and how it is said what has no room on it."""

    parts: tuple[Part, ...]
    order: tuple[str, ...]
    """The parts of the lines that can be left off, in the order in which they go."""
    left_off: Around
    """Around what is told of each part."""
    of_part: Mapping[str, Around]
    """Part -> around the number of its lines that are not there."""

    def without(self, gone: Set[int] = frozenset()) -> dict[str, Part]:
        """The parts by their ids, with those lines left off; empty ones are not there."""
        kept = (part.without(gone) for part in self.parts)
        return {part.id: part for part in kept if part.lines or (part.stands and part.below)}

    def told(self, gone: Set[int]) -> str:
        """The sentence about the lines that are left off; nothing where none is."""
        counts = {part.id: sum(line.out in gone for line in part.lines) for part in self.parts}
        told = [f"{self.of_part[id][0]}{count}{self.of_part[id][1]}" for id, count in counts.items() if count]
        return f"{self.left_off[0]}{', '.join(told)}{self.left_off[1]}" if told else ""


def least_left_off(order: Sequence[str], fits: Callable[[Set[int]], bool]) -> frozenset[int]:
    """The places of the lines to leave off: as few of the order as it takes, then what fits is put back.

    No line is put back while one of its own part is missing that is needed more.
    """
    low, high = 0, len(order)
    while low < high:
        middle = (low + high) // 2
        if fits(frozenset(range(1, middle + 1))):
            high = middle
        else:
            low = middle + 1
    gone, full = frozenset(range(1, low + 1)), set[str]()
    for place in range(low, 0, -1):
        if order[place - 1] in full:
            continue
        if fits(gone - {place}):
            gone -= {place}
        else:
            full.add(order[place - 1])
    return gone


def laid_out(sheet: Sheet, language: Language) -> Laid:
    """The parts of a sheet from top to bottom."""
    phrase = language.phrase
    parts = [
        Part("facts", phrase("About the vehicle:"), _lines(_findings(sheet.facts), _late(500))),
        Part("found", in_order(language, sheet.timed), _seen(sheet.seen)),
        Part(
            "tried", phrase("What was tried:"), _tried(sheet), (sheet.starts,) if sheet.starts else (), True
        ),
        Part(
            "untouched",
            phrase("What was not touched, and why:"),
            _lines(((each.says, each.why) for each in sheet.untouched), _beyond(FIRST_UNTOUCHED, 200, 600)),
        ),
        Part(
            "likely",
            phrase("Likeliest causes by these findings (and where the figure may lie):"),
            _lines(_likely(sheet, language), _beyond(FIRST_LIKELY, 100, 550)),
            (sheet.missing,) if sheet.missing else (),
        ),
        Part("cautions", phrase("Cautions that were shown:"), _cautions(sheet)),
        Part("card", phrase("From the vehicle's card:"), _card(sheet), (phrase(AS_WRITTEN),)),
        Part("outcomes", phrase("What it turned out to be:"), _outcomes(sheet)),
    ]
    # A colon leads over to a list of plain text; a heading has none.
    return _numbered(
        [replace(part, title=part.title.rstrip(" :\u00a0\u202f")) for part in parts], language, sheet.case
    )


Place = Callable[[int, int], int]
"""(index, how many lines) -> when the line is left off: the smallest goes first, 0 never does."""


def _lines(rows: Iterable[tuple[Text, ...]], place: Place) -> tuple[Line, ...]:
    listed = list(rows)
    return tuple(Line(cells, place(at, len(listed))) for at, cells in enumerate(listed))


def _late(rank: int) -> Place:
    """The last line first."""
    return lambda at, many: rank * 1000 + many - at


def _beyond(first: int, rank: int, later: int) -> Place:
    """The last line first, and the first few much later."""
    return lambda at, many: (rank if at >= first else later) * 1000 + many - at


def _findings(found: Iterable[Found]) -> Iterable[tuple[Text, ...]]:
    return ((each.asked, each.said) for each in found)


def _seen(found: tuple[Found, ...]) -> tuple[Line, ...]:
    """What was seen: of use least is *not sure*, most a reading; the oldest go first."""
    ranks = {NOT_SURE: 400, "answer": 900, "reading": 950}
    return tuple(
        Line(
            (Text(each.time, False), each.asked, each.said),
            ranks[each.kind] * 1000 + at,
            each.kind == "reading",
        )
        for at, each in enumerate(found)
    )


def _card(sheet: Sheet) -> tuple[Line, ...]:
    """What is past its day stays long; the rest goes before anything else does."""
    over = sum(each.over for each in sheet.card)
    return _lines(((each.about, each.says) for each in sheet.card), _beyond(over, 50, 580))


def _tried(sheet: Sheet) -> tuple[Line, ...]:
    rows = ((joined(each.do, "; "), Text(each.became, False)) for each in sheet.tried)
    return _lines(rows, lambda at, _: 800 * 1000 + at)


def _likely(sheet: Sheet, language: Language) -> Iterable[tuple[Text, ...]]:
    for each in sheet.likely:
        figures = language.phrase("{share} ({low} to {high})", share=each.share, low=each.low, high=each.high)
        yield each.says, Text(figures, False)


def _cautions(sheet: Sheet) -> tuple[Line, ...]:
    """What is no DANGER goes first, and of those the last."""
    return tuple(
        Line((Text(each.word, False), each.say), (870 if each.danger else 450) * 1000 - at)
        for at, each in enumerate(sheet.cautions)
    )


def _outcomes(sheet: Sheet) -> tuple[Line, ...]:
    """The last, *something else*, stays: any cause can be told by it."""
    back = sheet.answer_back
    rows = [(Text(str(each.number), False), each.says) for each in back.outcomes] if back is not None else []
    return _lines(rows, lambda at, many: 0 if at == many - 1 else 860 * 1000 + many - at)


def _numbered(parts: list[Part], language: Language, case: int) -> Laid:
    """Ranks become places in the order in which lines go."""
    order = sorted(
        (line.out, part.id, at) for part in parts for at, line in enumerate(part.lines) if line.out
    )
    place = {(id, at): number for number, (_, id, at) in enumerate(order, 1)}
    numbered = tuple(
        replace(
            part,
            lines=tuple(replace(line, out=place.get((part.id, at), 0)) for at, line in enumerate(part.lines)),
        )
        for part in parts
    )
    spoken = "" if language.english else f" --language {language.code}"
    command = f"diagnose sheet {case} --format text{spoken}"
    return Laid(
        numbered,
        tuple(id for _, id, _ in order),
        _around(
            language.phrase("No room here for: {told}. All of it: {command}", told="\0", command=command)
        ),
        {
            part.id: _around(language.phrase('{count} under "{title}"', count="\0", title=part.title))
            for part in parts
        },
    )


def _around(phrase: str) -> Around:
    before, _, behind = phrase.partition("\0")
    return before, behind
