"""Labels that look like a number plate: they say whose vehicle it is, and the store has no use for that.

Shapes of registration marks as they are issued in Europe, with the year from which a shape is in use; the
list as of November 2026, written down from memory: common practice, no source. A shape says nothing of
whether a mark was ever given out. Where a mark and a neutral label look alike (`VAN 123`), words that
workshops use for vehicles are let through.
"""

from __future__ import annotations

import re

SHAPES: tuple[tuple[str, str, int], ...] = (
    # Shape, where, since; in capitals, the parts with or without a space or hyphen between them.
    (r"[A-Z]{2}[0-9]{2} ?[A-Z]{3}", "United Kingdom", 2001),
    (r"[A-Z][0-9]{1,3} ?[A-Z]{3}", "United Kingdom", 1983),
    (r"[A-Z]{3} ?[0-9]{1,3}[A-Z]", "United Kingdom", 1963),
    (r"[A-Z]{2}[ -]?[0-9]{3}[ -]?[A-Z]{2}", "France since 2009, Italy", 1994),
    (r"[0-9]{1,4} ?[A-Z]{2,3} ?[0-9]{2}", "France", 1950),
    (r"[A-ZÄÖÜ]{1,3}[ :-][A-Z]{1,2}[ -]?[0-9]{1,4}[EH]?", "Germany", 1956),
    (r"[A-Z]{1,2}[ -][0-9]{1,5} ?[A-Z]{1,3}", "Austria", 1990),
    (r"[0-9]{4} ?[BCDFGHJKLMNPRSTVWXYZ]{3}", "Spain", 2000),
    (r"[0-9]{2,3}[ -][A-Z]{1,2}[ -][0-9]{1,6}", "Ireland", 1987),
    (r"[A-Z]{3}[ -]?[0-9]{2}[0-9A-Z]", "Sweden, Finland, Lithuania", 1972),
    (r"[A-Z]{2} ?[0-9]{5}", "Norway, Denmark", 1971),
    (r"[1-9][ -][A-Z]{3}[ -][0-9]{3}", "Belgium", 2010),
    (r"[0-9]{2}-[A-Z]{2,3}-[0-9A-Z]{1,2}", "Netherlands", 1978),
    (r"[A-Z]{1,2}-[0-9]{2,3}-[A-Z]{1,3}", "Netherlands", 1978),
    (r"[0-9]{1,2}-[A-Z]{3}-[0-9]{1,2}", "Netherlands", 1999),
    (r"[A-Z]{2}-[0-9]{2}-[A-Z]{2}|[0-9]{2}-[A-Z]{2}-[0-9]{2}", "Portugal, Netherlands", 1978),
    (r"[0-9][A-Z][0-9A-Z] ?[0-9]{4}", "Czech Republic", 2001),
    (r"[A-Z]{2}[ -]?[0-9]{3}[ -]?[A-Z]{2}", "Slovakia", 1997),
    (r"[A-Z]{2,3} ?[0-9]{4}[0-9A-Z]", "Poland", 2000),
    (r"(?:AG|AI|AR|BE|BL|BS|FR|GE|GL|GR|JU|LU|NE|NW|OW|SG|SH|SO|SZ|TG|TI|UR|VD|VS|ZG|ZH)[ -]?[0-9]{3,6}",
     "Switzerland", 1933),
)  # fmt: skip

_NEUTRAL = re.compile(
    r"(?:van|bus|car|rv|mh|mv|cv|cc|unit|no|nr|hire|fleet|camper|caravan|blue|red|white|grey|green)"
    r"[ -]?[0-9]{1,4} ?[a-z]?",
    re.IGNORECASE,
)
_ANY = re.compile("|".join(f"(?:{shape})" for shape, _, _ in SHAPES))
_WITHIN = re.compile(rf"(?<![0-9A-ZÄÖÜ-])(?:{_ANY.pattern})(?![0-9A-ZÄÖÜ-])")


def plate_in(label: str) -> str:
    """Where such a mark is issued if the label looks like one, or holds one in capitals; "" if not.

    >>> plate_in("ab12 cde"), plate_in("van 12")
    ('United Kingdom since 2001', '')
    """
    text = " ".join(label.split())
    if _NEUTRAL.fullmatch(text):
        return ""
    whole = text.upper()
    if not _ANY.fullmatch(whole):
        found = _WITHIN.search(text)
        if found is None or _NEUTRAL.fullmatch(found.group()):
            return ""
        whole = found.group()
    where, since = next((where, since) for shape, where, since in SHAPES if re.fullmatch(shape, whole))
    return where if "since" in where else f"{where} since {since}"
