"""What one tyre may carry by its load index.

The table of ISO 4000-1, second-hand up to index 119, from memory beyond. Its values are rounded from
45 kg · 10^(index/80), the preferred numbers of series R80 (ISO 3), so it repeats tenfold every eighty steps.
"""

from __future__ import annotations

FIRST_INDEX = 60
LAST_INDEX = 130
# fmt: off
LOADS = (
    250, 257, 265, 272, 280, 290, 300, 307, 315, 325,  # from 60
    335, 345, 355, 365, 375, 387, 400, 412, 425, 437,  # from 70
    450, 462, 475, 487, 500, 515, 530, 545, 560, 580,  # from 80
    600, 615, 630, 650, 670, 690, 710, 730, 750, 775,  # from 90
    800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030,  # from 100
    1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360,  # from 110
    1400, 1450, 1500, 1550, 1600, 1650, 1700, 1750, 1800, 1850,  # from 120
    1900,  # from 130
)
# fmt: on
"""Kilograms that one tyre may carry, by load index from `FIRST_INDEX`."""


def tyre_load(index: int) -> int:
    """Kilograms that one tyre of this load index may carry; raises IndexError outside the table.

    >>> tyre_load(109)
    1030
    """
    if index < FIRST_INDEX:
        raise IndexError(index)
    return LOADS[index - FIRST_INDEX]


def load_share(axle: float, tyres: int, index: int) -> float:
    """Load of an axle as a share of what its tyres may carry, 1 being all of it; kilograms, evenly spread.

    >>> round(load_share(1900, 2, 109), 3)
    0.922
    """
    return axle / (tyres * tyre_load(index))
