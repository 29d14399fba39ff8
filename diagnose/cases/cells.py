"""Cells of a table that a spreadsheet would take for formulas: disarmed when written, as they were when read.

A cell that begins with one of a few characters is worked out by a spreadsheet instead of shown, so a label
that anybody typed could run something on the machine of whoever opens the file (CWE-1236). OWASP Application
Security Verification Standard 5.0, requirement 1.2.10, names = + - @, the tab and the null character, and an
apostrophe in front of them. From memory of OWASP's page on CSV injection: line ends, full-width forms, and
what stands behind a separator, for a spreadsheet may take another one than the comma. A plain number, though
it has a minus in front, is no formula.
"""

from __future__ import annotations

import re

_BEGINS = r"(?:^|(?<=[;,\t|]))"
_FORMULA = "[=+\\-@\t\r\n\x00\uff1d\uff0b\uff0d\uff20]"
_ARMED = re.compile(rf"{_BEGINS}(?='*{_FORMULA})")
_DISARMED = re.compile(rf"{_BEGINS}'(?='*{_FORMULA})")
_NUMBER = re.compile(r"[-+]?[0-9]+(?:[.,][0-9]+)?")


def disarmed(cell: str) -> str:
    """The cell with an apostrophe in front of whatever would begin a formula.

    >>> disarmed("=1+1"), disarmed("van 7; =1+1"), disarmed("van 7;=1+1"), disarmed("-3.5")
    ("'=1+1", 'van 7; =1+1', "van 7;'=1+1", '-3.5')
    """
    return cell if _NUMBER.fullmatch(cell) else _ARMED.sub("'", cell)


def as_it_was(cell: str) -> str:
    """The cell that was disarmed, with just those apostrophes taken out; any other text stays as it is.

    >>> as_it_was("'=1+1"), as_it_was("the owner's van"), as_it_was("'tis the van")
    ('=1+1', "the owner's van", "'tis the van")
    """
    return _DISARMED.sub("", cell) if "'" in cell else cell
