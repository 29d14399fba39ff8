"""Several small choices as one whole number, and back: likely choices cost less of it than unlikely ones.

Each choice is one of several that have whole weights. To lay on the number x a choice of weight f, with W in
all and F before it, is to make

    x' = (x div f) W + F + (x mod f)

so x grows by the factor W / f: by the logarithm of one over the choice's chance. With equal weights that is
one more digit of a mixed radix. It is undone exactly: x' mod W lies in the stretch of one choice, and then
x = f (x' div W) + (x' mod W) - F. Numbers are as long as they need be, so nothing is rounded (asymmetric
numeral systems: Duda 2009, arXiv:0902.0271).

What is laid on last comes off first, so a `Packer` lays its choices on in reverse.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate


class Packer:
    """Gathers choices in the order in which they are to be read."""

    def __init__(self) -> None:
        self._choices: list[tuple[int, int, int]] = []

    def even(self, number: int, many: int) -> Packer:
        """One of `many` equally likely numbers from 0. Raises ValueError for any other number."""
        if not 0 <= number < many:
            raise ValueError(f"{number} is not from 0 to {many - 1}")
        self._choices.append((1, number, many))
        return self

    def weighed(self, place: int, weights: Sequence[int]) -> Packer:
        """The choice at that place among those with these weights, each at least one."""
        self._choices.append((weights[place], sum(weights[:place]), sum(weights)))
        return self

    def number(self) -> int:
        """All choices as one number.

        >>> Packer().even(2, 10).even(7, 10).number()
        72
        >>> Packer().weighed(0, (7, 1)).weighed(0, (7, 1)).weighed(1, (7, 1)).number()
        9
        """
        x = 0
        for weight, before, total in reversed(self._choices):
            quotient, rest = divmod(x, weight)
            x = quotient * total + before + rest
        return x


class Unpacker:
    """Takes the choices off a number again, in the order in which they were given to the packer."""

    def __init__(self, number: int) -> None:
        self.left = number
        """What is left; nought when all is read that was packed."""

    def even(self, many: int) -> int:
        """The next of `many` equally likely numbers."""
        self.left, number = divmod(self.left, many)
        return number

    def weighed(self, weights: Sequence[int]) -> int:
        """The place of the next choice among those with these weights."""
        quotient, rest = divmod(self.left, sum(weights))
        ends = list(accumulate(weights))
        place = next(at for at, end in enumerate(ends) if rest < end)
        self.left = weights[place] * quotient + rest - (ends[place] - weights[place])
        return place
