"""Which pieces of a chart stand on which sheet: beside each other in bands, bands below each other.

Each sheet is filled in reading order, upright or lying, whichever takes more steps. What is long is begun
on a sheet of its own rather than cut up to fill a corner; what is short fills the corner.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from diagnose.drawing.route_layout import Cutting, Piece, Room

APART = 30.0
"""Between two pieces."""
LOOK_AHEAD = 12
"""How many pieces that are due are tried for what room is left."""
SPARSE = 0.5
"""A sheet that is filled less than that takes a piece even if not all of it fits."""


@dataclass(slots=True)
class Sheet:
    """Bands of pieces below each other."""

    room: Room
    bands: list[list[Piece]] = field(default_factory=list)

    @property
    def steps(self) -> int:
        """How many steps stand on it."""
        return sum(len(list(piece.placed.steps())) for band in self.bands for piece in band)

    @property
    def fits(self) -> bool:
        """Whether there is room for its first piece; all others were only added where there was."""
        return not self.bands or self.room.holds(self.bands[0][0])

    @property
    def height(self) -> float:
        """How much of its height is used."""
        return sum(map(band_height, self.bands)) + APART * max(len(self.bands) - 1, 0)

    def fits_in(self, room: Room) -> bool:
        """Whether all of it would fit there."""
        widths = (sum(piece.width for piece in band) + APART * (len(band) - 1) for band in self.bands)
        return max(widths, default=0.0) <= room.width and self.height <= room.height

    def below(self) -> Room:
        """What is free below everything."""
        gap = APART if self.bands else 0.0
        return Room(self.room.width, self.room.height - self.height - gap)

    def beside(self) -> Room:
        """What is free to the right of the lowest band."""
        if not self.bands:
            return Room(0.0, 0.0)
        last = self.bands[-1]
        used = sum(piece.width + APART for piece in last)
        return Room(self.room.width - used, self.room.height - self.height + band_height(last))


def band_height(band: Sequence[Piece]) -> float:
    """How high the highest of its pieces is."""
    return max(piece.height for piece in band)


def on_sheets(cutting: Cutting, start: int, rooms: Sequence[Room], first: Sequence[Room] = ()) -> list[Sheet]:
    """The whole chart on sheets; each has one of the rooms, that which takes the most steps.

    The first sheet has one of the rooms of `first`, if those are given.
    """
    heads: list[int] = [start]
    sheets: list[Sheet] = []
    while heads:
        tried = [_filled(cutting, heads, room) for room in (rooms if sheets else first or rooms)]
        sheet, heads = max(tried, key=lambda each: (each[0].fits, each[0].steps))
        sheets.append(sheet)
    return sheets


def _filled(cutting: Cutting, heads: list[int], room: Room) -> tuple[Sheet, list[int]]:
    """One sheet, and the steps with which the next ones begin."""
    sheet = Sheet(room)
    while heads:
        found = next((each for head in heads[:LOOK_AHEAD] if (each := _placed(cutting, head, sheet))), None)
        if found is None:
            break
        piece, refused, beside = found
        if beside:
            sheet.bands[-1].append(piece)
        else:
            sheet.bands.append([piece])
        heads = cutting.in_order([*(head for head in heads if head != piece.placed.at), *refused])
    return sheet, heads


def _placed(cutting: Cutting, head: int, sheet: Sheet) -> tuple[Piece, list[int], bool] | None:
    """The piece that begins with a step as it fits, what found no room, and whether it stands beside."""
    if not sheet.bands:
        return (*cutting.grown(head, sheet.room), False)
    sparse = sheet.height < SPARSE * sheet.room.height
    for beside, room in ((True, sheet.beside()), (False, sheet.below())):
        piece, refused = cutting.grown(head, room)
        if room.holds(piece) and (not refused or (sparse and not beside)):
            return piece, refused, beside
    return None


def pages_by_step(sheets: Sequence[Sheet]) -> Mapping[int, int]:
    """Step, by node -> the number of its page, from 1."""
    return {
        at: number
        for number, sheet in enumerate(sheets, 1)
        for band in sheet.bands
        for piece in band
        for at in piece.placed.steps()
    }
