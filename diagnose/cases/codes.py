"""Codes that survive a bad telephone line: a whole number as letters and digits with check letters.

The thirteen characters are the digits up to 8, and F, M, R and W: no two of them look or sound alike, as B, D
and 3 do, or 5 and 9 (docs/codes.md has the kinds). Thirteen is a prime, so a code can be reckoned with as
integers modulo 13. Its n characters c, counted from the right end, i = 0, 1, ... n - 1, fulfil three sums:

    sum of c_i = 0        sum of a_i c_i = 0        sum of (a_i^2 + b_i) c_i = 0        (all modulo 13)

with a_i and b_i the rest and the quotient of i by 13. The three factors of a place are its column. No two
columns are multiples of each other up to the 169th place (the pairs (a, b) are all different, and the first
factor is 1), so any one or two wrong characters are always noticed, and two that changed places as well. Any
three neighbouring columns are independent (three points of a parabola do not lie on a line), so up to three
wrong characters in one group of four are always noticed. Of all else one in 2197 slips through. The
construction is the parity-check matrix of a linear code (Hamming 1950; Reed & Solomon 1960 for the powers).

A code has whole groups of four, so one, two or three characters that are missing or too many always show.
Nothing is ever put right silently: somebody who is told which group to look at again will find the slip.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

from diagnose.terms import WrongUsage

ALPHABET = "012345678FMRW"
"""Digit of the number -> character."""
BASE = len(ALPHABET)
GROUP = 4
CHECKS = 3
MOST = 42 * GROUP
"""What the sums vouch for: there are 169 different columns."""

MEANT = {"O": "0", "I": "1", "L": "1", "Z": "2", "G": "6"}
"""Characters of no code that look like just one of a code's, and sound like no other of them."""
_PERHAPS = {"9": "5", "N": "M", "S": "5 or F", "B": "8 or 3", "T": "7 or 3", "X": "6 or F", "Q": "0 or 2"}
"""What others were probably heard or read for; said, never taken."""

_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
# fmt: off
_LETTERS = (
    "Alfa", "Bravo", "Charlie", "Delta", "Echo", "Foxtrot", "Golf", "Hotel", "India", "Juliett", "Kilo",
    "Lima", "Mike", "November", "Oscar", "Papa", "Quebec", "Romeo", "Sierra", "Tango", "Uniform", "Victor",
    "Whiskey", "X-ray", "Yankee", "Zulu",
)
# fmt: on
SPELLED = {str(digit): word for digit, word in enumerate(_DIGITS)} | {word[0]: word for word in _LETTERS}
"""Letters by the radiotelephony spelling alphabet (ITU Radio Regulations, Appendix 14). Digits go by their
plain names, with which that appendix's own figure words end: few know a "soxisix"."""

_SAID = {word.lower(): sign for sign, word in SPELLED.items()} | {
    "niner": "9", "alpha": "A", "juliet": "J", "whisky": "W", "xray": "X", "oh": "0",
}  # fmt: skip
_BETWEEN = re.compile(r"[\s\-\u2010-\u2015\u2212.,:;/_'\"]+")
_X_RAY = re.compile(r"\bx[-\s]ray\b", re.IGNORECASE)


class WrongCode(WrongUsage):
    """What was typed is no code as it was given out; the text says where to look."""


def written(number: int) -> str:
    """The code of a whole number from 0 on, in groups of four. Raises ValueError for one that is too long.

    >>> written(0), written(20261128)
    ('0000', '0042-7524-4371')
    """
    digits: list[int] = []
    while number:
        number, digit = divmod(number, BASE)
        digits.append(digit)
    while (len(digits) + CHECKS) % GROUP:
        digits.append(0)
    if len(digits) + CHECKS > MOST:
        raise ValueError(f"the check letters do not vouch for more than {MOST} characters")
    code = _checks(digits) + digits
    return regrouped("".join(ALPHABET[digit] for digit in reversed(code)))


def regrouped(signs: str) -> str:
    """Characters in groups of four, as codes are shown."""
    return "-".join(signs[at : at + GROUP] for at in range(0, len(signs), GROUP))


def number_of(text: str) -> int:
    """The number that a code stands for, in whatever way it is typed or spelled.

    Raises WrongCode, which names the group to look at where a single slip would explain what is wrong.
    """
    signs = plain(text)
    _all_known(signs)
    if len(signs) % GROUP or not 0 < len(signs) <= MOST:
        raise WrongCode(_wrong_length(len(signs)))
    code = [ALPHABET.index(sign) for sign in reversed(signs)]
    sums = syndrome(code)
    if any(sums):
        raise WrongCode(_where_wrong(code, sums))
    digits = code[CHECKS:]
    if len(digits) >= GROUP and not any(digits[-GROUP:]):
        raise WrongCode("this code begins with characters too many; read it again from the sheet")
    number = 0
    for digit in reversed(digits):
        number = number * BASE + digit
    return number


def plain(text: str) -> str:
    """The characters that were typed or spelled, without what stands between groups.

    Small letters, full-width ones, spelled words and characters that look like one of a code's are led to it.

    >>> plain("4foz-i m w l"), plain("four Foxtrot zero two")
    ('4F021MW1', '4F02')
    """
    even = _X_RAY.sub("X", unicodedata.normalize("NFKC", text))
    words = [word for word in _BETWEEN.split(even) if word]
    signs = "".join(_SAID.get(word.lower(), word) for word in words).upper()
    return "".join(MEANT.get(sign, sign) for sign in signs)


def split_code(words: Sequence[str]) -> tuple[str, tuple[str, ...]]:
    """What was typed on one line as a code (perhaps a wrong one) and the words behind it.

    The code is empty where somebody rather typed the number of a case.

    >>> split_code(["0042", "7524", "4371", "2"]), split_code(["42", "7"])
    (('0042 7524 4371', ('2',)), ('', ('42', '7')))
    """
    for many in range(1, len(words) + 1):
        start = " ".join(words[:many])
        if _long_enough(start) and _is_right(start):
            return start, tuple(words[many:])
    for many in (len(words), len(words) - 1):
        if all(_like_a_code(word) for word in words[:many]) and _long_enough(" ".join(words[:many])):
            return " ".join(words[:many]), tuple(words[many:])
    return "", tuple(words)


def _is_right(text: str) -> bool:
    try:
        number_of(text)
    except WrongCode:
        return False
    return True


def _long_enough(text: str) -> bool:
    """Whether it is longer than the number of any case."""
    return len(plain(text)) > 10


def _like_a_code(word: str) -> bool:
    """Whether a word is part of a code, a slip or two apart, and neither a number in a list nor a cause."""
    signs = plain(word)
    return len(signs) > 2 and sum(sign in ALPHABET for sign in signs) * 4 >= len(signs) * 3


def spelled(code: str) -> tuple[str, ...]:
    """Each group of a code as it is read out.

    >>> spelled("4F02-M")
    ('four Foxtrot zero two', 'Mike')
    """
    return tuple(" ".join(SPELLED[sign] for sign in group) for group in code.split("-"))


def column(place: int) -> tuple[int, int, int]:
    """The three factors of a place, counted from the right end of a code.

    >>> column(0), column(3), column(14)
    ((1, 0, 0), (1, 3, 9), (1, 1, 2))
    """
    b, a = divmod(place, BASE)
    return 1, a, (a * a + b) % BASE


def syndrome(code: Sequence[int]) -> tuple[int, int, int]:
    """The three sums of a code, its digits from right to left; all are nought in one that is right."""
    factors = [column(place) for place in range(len(code))]
    first, second, third = (
        sum(factor[at] * digit for factor, digit in zip(factors, code, strict=True)) % BASE for at in range(3)
    )
    return first, second, third


def _checks(digits: Sequence[int]) -> list[int]:
    """The three digits that make the sums nought, for the places 0, 1 and 2.

    Their columns are (1, 0, 0), (1, 1, 1) and (1, 2, 4), so with sums s, t, u of the other places
    c1 + 2 c2 = -t and c1 + 4 c2 = -u, hence c2 = (t - u) / 2, c1 = -t - 2 c2 and c0 = -s - c1 - c2.
    """
    s, t, u = syndrome([0, 0, 0, *digits])
    two = (t - u) * pow(2, -1, BASE) % BASE
    one = (-t - 2 * two) % BASE
    return [(-s - one - two) % BASE, one, two]


def _all_known(signs: str) -> None:
    for at, sign in enumerate(signs):
        if sign not in ALPHABET:
            shown = f'"{sign}"' if sign.isprintable() else "a character"
            meant = f" (perhaps {_PERHAPS[sign]})" if sign in _PERHAPS else ""
            raise WrongCode(
                f"{shown} in group {at // GROUP + 1} is in no code{meant}; "
                f"codes are made of 0 to 8, F, M, R and W"
            )


def _wrong_length(length: int) -> str:
    if length > MOST:
        return f"this has {length} characters, more than any code"
    if length == 0:
        return "there is no code here"
    missing = -length % GROUP
    return (
        f"this has {length} characters, and a code has whole groups of {GROUP}: "
        f"{missing} missing, or {length % GROUP} too many"
    )


def _where_wrong(code: Sequence[int], sums: tuple[int, int, int]) -> str:
    slips = single_slips(code, sums)
    if not slips:
        return "this code is not right: more than one character is wrong; have it read out again"
    groups = sorted({_group(place, len(code)) for places in slips for place in places})
    where = f"in group {' or '.join(map(str, groups))}"
    if len(slips[0]) == 1:
        return f"one character seems wrong, {where}; look at that group again, or have it read out"
    return f"two neighbours seem to have changed places, {where}; look again, or have it read out"


def single_slips(code: Sequence[int], sums: tuple[int, int, int]) -> list[tuple[int, ...]]:
    """The places at which one wrong character, or one swap of neighbours, would explain these sums.

    One wrong character by e gives e times its column, one swap d times the difference of two columns.
    """
    found: list[tuple[int, ...]] = []
    for place in range(len(code)):
        if sums[0] and all((sums[0] * f - s) % BASE == 0 for f, s in zip(column(place), sums, strict=True)):
            found.append((place,))
    for place in range(len(code) - 1):
        change = code[place + 1] - code[place]
        pairs = zip(column(place), column(place + 1), sums, strict=True)
        # Put right, the upper digit stands below: each place changes by the difference of the two.
        if change and all((s + change * (low - high)) % BASE == 0 for low, high, s in pairs):
            found.append((place, place + 1))
    return found


def _group(place: int, length: int) -> int:
    return (length - 1 - place) // GROUP + 1
