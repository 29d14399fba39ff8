"""Labels that a register of vehicles would know: number plates and vehicle identification numbers.

A store of cases needs a name by which a vehicle is known again ("van 7"), and no more. A number plate tells
anybody who can ask the register whose it is, so it is personal data and is kept out. A plate can only be
known by its outer form, and the forms of many countries overlap with ordinary names; what has an everyday
word in it ("bus 123", "bay 4 b 12") is taken for a name.
"""

from __future__ import annotations

import re

SHAPES: tuple[tuple[str, str], ...] = (
    ("AA99 AAA", "Great Britain from 2001: DVLA leaflet INF104, section 3"),
    ("A9.. AAA", "Great Britain 1983-2001"),
    ("AAA 9..A", "Great Britain 1963-1982; Sweden from 2019"),
    ("AAA 999", "Sweden, Finland, Hungary, Lithuania, Malta"),
    ("AAA 9999", "Northern Ireland, Ukraine and others with three letters in front"),
    ("A..-A. 9...", "Germany: the place of registration, up to two letters and four digits"),
    ("A..-A. 9...A", "Germany, old-timers (H) and electric vehicles (E)"),
    ("AA 999 AA", "France from 2009, Italy from 1994"),
    ("9999 AAA", "Spain from 2000"),
    ("99-A.-999...", "Ireland 1987-2012"),
    ("999-A.-9.....", "Ireland from 2013"),
    ("AA-99-99", "Portugal, Netherlands"),
    ("99-99-AA", "Portugal, Netherlands"),
    ("99-AA-99", "Portugal, Netherlands"),
    ("AA-99-AA", "Portugal from 2020, Netherlands"),
    ("AA-AA-99", "Netherlands"),
    ("99-AA-AA", "Netherlands"),
    ("99-AAA-9", "Netherlands"),
    ("9-AAA-99", "Netherlands"),
    ("AA-999-A", "Netherlands"),
    ("A-999-AA", "Netherlands"),
    ("AAA-99-A", "Netherlands"),
    ("A-99-AAA", "Netherlands"),
    ("9-AA-999", "Netherlands"),
    ("999-AA-9", "Netherlands"),
    ("9-AAA-999", "Belgium from 2010"),
    ("AA 9999.", "Norway, Luxembourg, Switzerland, Poland"),
    ("AA 999999", "Switzerland"),
    ("AA 99 999", "Denmark"),
    ("AAA 99999", "Poland"),
    ("A.-9999.A.", "Austria"),
    ("9A9 9999", "Czechia from 2001"),
    ("A 999 AA 99.", "Eastern Europe, the region behind"),
)
"""The outer form of a number plate -> where it is used. From memory, but where a document is named.

`A` is a letter, `9` a digit, `.` one more of the kind before it or none; a space is something between or
nothing, a hyphen something between. Between may be a space, a hyphen, a colon, a full stop or a middle dot.
"""

_NAMES = (
    "a am an and are at awd bay bed big box bus by cab can car cat cm day den der die dog du en et for "
    "fox from fwd ft gas go hp hut i in is it key kg km kw la le les lot low lwb man max mh mm mwb my new "
    "no nr of off old on one or our out own pm pod red row rv rvs set she six swb tag tan ten the to too "
    "top tub two uk up van vans von we wow yes"
)
EVERYDAY = frozenset(_NAMES.split())
"""Words of ordinary names of vehicles. ("nr" and "mh" are no words, but numbers and motorhomes.)"""

_VIN = re.compile(r"(?<![A-Z0-9])(?=[A-Z]*[0-9])(?=[0-9]*[A-Z])[A-HJ-NPR-Z0-9]{17}(?![A-Z0-9])")
"""A vehicle identification number: 17 letters and digits without I, O and Q (ISO 3779)."""

_BETWEEN = "[ .:\u00b7-]"


def looks_like_a_plate(label: str) -> bool:
    """Whether a number plate or a vehicle identification number may stand anywhere in a vehicle's label.

    >>> [looks_like_a_plate(label) for label in ("van 7", "the blue one", "AB12 CDE", "blue, b-xy 1234")]
    [False, False, True, True]
    """
    return plate_in(label) != ""


def plate_in(label: str) -> str:
    """What may stand in the label, by its form: where such plates are used; "" if it is just a name.

    >>> plate_in("the van, AB12 CDE"), plate_in("van 12")
    ('Great Britain from 2001', '')
    """
    text = label.upper()
    if _VIN.search(text):
        return "a vehicle identification number"
    for pattern, (_, where) in zip(_PATTERNS, SHAPES, strict=True):
        if any(_is_no_name(found[0]) for found in pattern.finditer(text)):
            return where.partition(":")[0]
    return ""


def _is_no_name(found: str) -> bool:
    return not any(word.lower() in EVERYDAY for word in re.findall(r"[^\W\d_]{2,}", found))


def _pattern(shape: str) -> re.Pattern[str]:
    """The expression for one of the shapes, not amid further letters or digits."""
    letters = {"A": "[A-ZÄÖÜ]", "9": "[0-9]", " ": f"{_BETWEEN}?", "-": _BETWEEN}
    parts = []
    for place, sign in enumerate(shape):
        kind = shape[:place].rstrip(".")[-1:]
        parts.append(f"{letters[kind]}?" if sign == "." else letters[sign])
    return re.compile(rf"(?<!\w){''.join(parts)}(?!\w)")


_PATTERNS = tuple(_pattern(shape) for shape, _ in SHAPES)
