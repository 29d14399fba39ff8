"""Our own words for what a YAML parser could not make sense of, at its place.

A parser says what it expected; whoever wrote the file wants to know what to write instead.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from diagnose.knowledge.ids import quoted
from diagnose.terms import Flaw

_WORDINGS = (
    ("mapping values are not allowed", "a colon with a space after it stands inside a text; quote the text"),
    ("unexpected end of stream", "a quote is opened here and never closed"),
    ("unexpected document separator", "a quote is opened here and never closed"),
    ("expected ',' or ']'", "a list opened here is not closed, or lacks a comma"),
    ("expected ',' or '}'", "a mapping opened here is not closed, or lacks a comma"),
    ("expected <block end>", "this line does not fit the indentation of the lines above it"),
    ("could not find expected ':'", "a colon and a space are missing after this key"),
    ("invalid Unicode character", "this escape stands for no character; take it out"),
    ("unknown escape character", "a backslash stands before a character that it cannot escape"),
    ("expected escape sequence", "a backslash stands before a character that it cannot escape"),
    ("node content, but found '<stream end>'", "the file ends inside brackets that are not closed"),
    ("expected the node content", "a value is missing here, or a bracket or comma is too many"),
    ("expected chomping", "after | or > nothing but a figure, + or - may stand"),
    ("'<document start>'", "a text stands behind the end of the document"),
    ("incompatible YAML", "only YAML 1.2 is read"),
    ("unknown directive", "a directive (%) stands here that means nothing; take it out"),
    ("sequence entries are not allowed", "a list entry (- ) cannot stand here"),
    ("expected alphabetic or numeric", "a text that begins with & or * has to be quoted"),
)
_AT_THE_OPENING = ("unexpected end of stream", "unexpected document separator", "expected ',' or")


def syntax_flaw(error: yaml.YAMLError, file: str) -> Flaw:
    """Our own words for a syntax error, at its place."""
    problem = str(getattr(error, "problem", None) or "")
    mark: Any = getattr(error, "problem_mark", None)
    opening: Any = getattr(error, "context_mark", None)
    if opening is not None and (mark is None or any(sign in problem for sign in _AT_THE_OPENING)):
        mark = opening
    line, column = (mark.line + 1, mark.column + 1) if mark is not None else (1, 1)
    start = re.search(r"found character '(.)' that cannot start", problem)
    if start:
        return Flaw(file, line, column, f"a text cannot begin with {start.group(1)}; quote it")
    for sign, wording in _WORDINGS:
        if sign in problem:
            return Flaw(file, line, column, wording)
    return Flaw(file, line, column, "this is not YAML" + (f": {quoted(problem)[1:-1]}" if problem else ""))
