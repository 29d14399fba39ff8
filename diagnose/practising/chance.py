"""Chance that falls alike on every machine: whoever is given the same seed meets the same vehicle.

SplitMix64 (Steele, Lea & Flood 2014, *Fast splittable pseudorandom number generators*), all sums modulo 2^64:

    state = state + 9E3779B97F4A7C15                        (hexadecimal)
    z = (state xor (state >> 30)) * BF58476D1CE4E5B9
    z = (z xor (z >> 27)) * 94D049BB133111EB
    the number is z xor (z >> 31)

Everything that is drawn has a stream of its own, by a label such as "check hob-flame": its first state is the
first number of the seed's own stream, xor the label's FNV-1a hash (Fowler, Noll & Vo; 64 bits, of its UTF-8
bytes). So what one question answers does not hang on what was asked before it. A part of one is the upper 53
bits of a number, over 2^53, which a binary64 (IEEE 754) holds exactly; nothing here is rounded in a way that
could differ between two languages.
"""

from __future__ import annotations

from collections.abc import Sequence

WORD = (1 << 64) - 1
_GOLDEN = 0x9E3779B97F4A7C15
_FNV_OFFSET, _FNV_PRIME = 0xCBF29CE484222325, 0x100000001B3


class Chance:
    """One stream of numbers: by a seed alone, or by a seed and what is drawn."""

    def __init__(self, seed: int, label: str = "") -> None:
        self._state = seed & WORD
        if label:
            self._state = self.number() ^ fnv1a(label)

    def number(self) -> int:
        """The next whole number, evenly from 0 to 2^64 - 1."""
        self._state = (self._state + _GOLDEN) & WORD
        z = ((self._state ^ (self._state >> 30)) * 0xBF58476D1CE4E5B9) & WORD
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & WORD
        return z ^ (z >> 31)

    def part(self) -> float:
        """The next part of one: evenly from 0 on, always less than 1."""
        return float(self.number() >> 11) / (1 << 53)

    def below(self, many: int) -> int:
        """One of `many` numbers from 0, evenly (to within 2^-53 each)."""
        return int(self.part() * many)

    def among(self, weights: Sequence[float]) -> int:
        """A place among weights of nought or more, each as likely as its weight; they need not sum to one."""
        aim = self.part() * _sum(weights)
        for place, weight in enumerate(weights):
            aim -= weight
            if aim < 0:
                return place
        return max(place for place, weight in enumerate(weights) if weight > 0)

    def shuffled(self, many: int) -> list[int]:
        """The numbers from 0 to `many` - 1 in an order that is as likely as any other (Fisher & Yates)."""
        order = list(range(many))
        for last in range(many - 1, 0, -1):
            other = self.below(last + 1)
            order[last], order[other] = order[other], order[last]
        return order


def fnv1a(text: str) -> int:
    """The FNV-1a hash of a text's UTF-8 bytes, 64 bits.

    >>> f"{fnv1a('a'):016x}"
    'af63dc4c8601ec8c'
    """
    hashed = _FNV_OFFSET
    for byte in text.encode():
        hashed = ((hashed ^ byte) * _FNV_PRIME) & WORD
    return hashed


def _sum(weights: Sequence[float]) -> float:
    """From the first to the last: the built-in sum rounds otherwise from Python 3.12 on."""
    total = 0.0
    for weight in weights:
        total += weight
    return total
