"""Learned figures written into a tree file, each with its counts in a comment beside it.

The file keeps a line among its `sources` that tells how many cases went into it and up to which moment they
were confirmed; later cases alone are learned from next time.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from diagnose.knowledge.nodes import ListNode, MapNode, Scalar
from diagnose.knowledge.plain_yaml import read_mapping
from diagnose.revising.extending import place_of
from diagnose.revising.fitting import Fit, Noted, Row, Share
from diagnose.revising.spans import Span, spans
from diagnose.revising.splicing import (
    Append,
    CannotSplice,
    Change,
    Edit,
    Path,
    Put,
    Replace,
    at,
    changed,
    edits,
    meaning,
    spliced,
)
from diagnose.terms import NOT_LISTED, Tree

_SOURCE = re.compile(
    r"Shares and expectations learned from (?P<cases>\d+) confirmed cases of the store (?P<store>\w+), "
    r"up to (?P<moment>\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z)"
)
_NOTE = re.compile(
    r"(?:(?P<id>[\w+-]+): )?(?P<counts>\d+|[\w-]+ \d+(?:, [\w-]+ \d+)*) of (?P<of>\d+) cases?, to \d{4}"
)
_NOTES = re.compile(rf"(?:^|;)\s*{_NOTE.pattern}\s*(?=;|$)")
_COUNT = re.compile(r"(?P<answer>[\w-]+) (?P<count>\d+)")
_BEHIND_ALL = 10_000
"""A comment goes to the end of a line before lines that are put below it."""
NAME = 8
"""So many letters of a store's random name tell it from others."""


@dataclass(frozen=True, slots=True)
class Taken:
    """Which cases a file has learned from already."""

    everywhere: int = 0
    """From all stores together."""
    cases: int = 0
    """From the store that is asked about."""
    up_to: datetime | None = None
    """When the last of these was confirmed."""


def taken_into(sources: Sequence[str], store: str) -> Taken:
    """What the sources of a tree tell of cases that went into it; `store` is the name of the one at hand."""
    told = [found for source in sources if (found := _SOURCE.match(source)) is not None]
    everywhere = sum(int(each["cases"]) for each in told)
    for each in told:
        if each["store"] == store[:NAME]:
            return Taken(everywhere, int(each["cases"]), datetime.fromisoformat(each["moment"]))
    return Taken(everywhere)


def noted_in(text: str, tree: Tree) -> Noted:
    """The counts that stand in comments beside learned figures; what was deleted there is not known."""
    root, node = spans(text), read_mapping(text, tree.file)
    shares, rows = {}, {}
    for id in (*(id for id in tree.events if id), NOT_LISTED):
        key = (*place_of(node, id)[:-1], "in_100") if id != NOT_LISTED else ("not_listed",)
        note = _note_at(text, root, key, id)
        if note is not None and note["counts"].isdecimal():
            shares[id] = (float(note["counts"]), float(note["of"]))
    for check in tree.checks.values():
        for cause in check.expect:
            if (note := _note_at(text, root, ("checks", check.id, "expect", cause), cause)) is not None:
                counts = {each["answer"]: float(each["count"]) for each in _COUNT.finditer(note["counts"])}
                rows[check.id, cause] = counts
    return Noted(shares, rows)


def _note_at(text: str, root: Span, path: Path, id: str) -> re.Match[str] | None:
    """The note of a figure on its line."""
    with suppress(CannotSplice):
        end = _end_of_line(text, at(root, path).start)
        there = text[_last_token(root, end) : end]
        parts = [part.strip() for part in there.partition("#")[2].split(";")]
        notes = [found for part in parts if (found := _NOTE.fullmatch(part)) is not None]
        return next((each for each in notes if each["id"] in (None, id)), None)
    return None


def fitted_text(text: str, file: str, fit: Fit, before: Taken, store: str, up_to: datetime) -> str:
    """The text with the figures of a fit from the cases of a store, the last confirmed at `up_to`.

    Raises CannotSplice where the layout leaves no place, FlawedKnowledge for a text that is no sound YAML.
    """
    root = read_mapping(text, file)
    year = up_to.year
    noted = [
        *((_of_share(root, each), each.id, _counts_of_share(each, year)) for each in fit.shares),
        *((_of_row(root, each), each.cause, _counts_of_row(each, year)) for each in fit.rows),
        (_of_sources(root, before.cases + round(fit.cases), store[:NAME], up_to), "", ""),
    ]
    changes = [change for change, _, _ in noted]
    plain = changed(text, changes, file)
    made = edits(text, changes)
    lines = [(edit, id, note) for edit, (_, id, note) in zip(made, noted, strict=True)]
    with_notes = spliced(text, _with_comments(text, lines))
    same = meaning(read_mapping(with_notes, file)) == meaning(read_mapping(plain, file))
    return with_notes if same else plain


# What changes -----------------------------------------------------------------------------------------------


def _of_share(root: MapNode, share: Share) -> Change:
    if share.id == NOT_LISTED:
        there = root.get("not_listed") is not None
        return Replace(("not_listed",), share.new) if there else Put((), "not_listed", share.new, "faults")
    return Replace((*place_of(root, share.id)[:-1], "in_100"), share.new)


def _of_row(root: MapNode, row: Row) -> Change:
    path: Path = ("checks", row.check, "expect")
    checks = root.get("checks")
    check = checks.get(row.check) if isinstance(checks, MapNode) else None
    expect = check.get("expect") if isinstance(check, MapNode) else None
    if isinstance(expect, MapNode) and expect.get(row.cause) is not None:
        return Replace((*path, row.cause), dict(row.new))
    before = "otherwise" if isinstance(expect, MapNode) and expect.get("otherwise") is not None else None
    return Put(path, row.cause, dict(row.new), before)


def _of_sources(root: MapNode, cases: int, store: str, up_to: datetime) -> Change:
    moment = (up_to.astimezone(UTC) + timedelta(seconds=1)).replace(microsecond=0)
    told = (
        f"Shares and expectations learned from {cases} confirmed cases of the store {store}, "
        f"up to {moment:%Y-%m-%dT%H:%M:%SZ}."
    )
    sources = root.get("sources")
    if sources is None:
        return Put((), "sources", [told])
    for place, item in enumerate(sources.items if isinstance(sources, ListNode) else ()):
        found = _SOURCE.match(item.value) if isinstance(item, Scalar) else None
        if found is not None and found["store"] == store:
            return Replace(("sources", place), told)
    return Append(("sources",), told)


# The counts beside it ---------------------------------------------------------------------------------------


def _counts_of_share(share: Share, year: int) -> str:
    return f"{share.cases:.0f} of {share.of:.0f} {_noun(share.of)}, to {year}"


def _counts_of_row(row: Row, year: int) -> str:
    counts = ", ".join(f"{answer} {count:.0f}" for answer, count in row.counts.items() if count)
    return f"{counts} of {row.cases:.0f} {_noun(row.cases)}, to {year}"


def _noun(cases: float) -> str:
    return "case" if round(cases) == 1 else "cases"


def _with_comments(text: str, noted: Sequence[tuple[Edit, str, str]]) -> list[Edit]:
    """The edits with each note at the end of its line; several on one line are told apart by their ids."""
    root = spans(text)
    made: list[Edit] = []
    by_line: dict[int, list[tuple[str, str]]] = {}
    for edit, id, note in noted:
        if note and "\n" in edit.text.replace("\r", "\n"):
            made.append(replace(edit, text=_behind_first_line(edit.text, note)))
            continue
        made.append(edit)
        if note:
            by_line.setdefault(_end_of_line(text, edit.start), []).append((id, note))
    for end, notes in by_line.items():
        if not _within_scalar(root, end):
            told = "; ".join(note if len(notes) == 1 else f"{id}: {note}" for id, note in notes)
            made.append(_comment(text, root, end, told))
    return made


def _behind_first_line(lines: str, note: str) -> str:
    """Whole lines that are put in, with the note behind the first that holds something."""
    return re.sub(r"^(\s*[^\r\n]*\S)", lambda found: f"{found[1]}  # {note}", lines, count=1)


def _end_of_line(text: str, at: int) -> int:
    found = re.compile(r"[\r\n]|\Z").search(text, at)
    return found.start() if found else len(text)


def _within_scalar(span: Span, at: int) -> bool:
    """Whether a line ends in the middle of a text, where a comment would be part of it."""
    if span.kind == "scalar":
        return span.start < at < span.end
    inner = [*span.items, *(each for pair in span.pairs for each in pair)]
    return any(each.start < at <= each.after and _within_scalar(each, at) for each in inner)


def _comment(text: str, root: Span, end: int, note: str) -> Edit:
    """The note as a comment at the end of a line: in the place of an earlier one, behind any other."""
    last = _last_token(root, end)
    there = text[last:end]
    sign = there.find("#")
    if sign < 0:
        start = last + len(there.rstrip())
        return Edit(start, end, f"  # {note}", _BEHIND_ALL)
    start = last + sign
    kept = _NOTES.sub("", text[start + 1 : end]).strip(" ;")
    return Edit(start, end, f"# {kept}; {note}" if kept else f"# {note}", _BEHIND_ALL)


def _last_token(span: Span, end: int) -> int:
    """Where the last thing that is no comment ends on the line that ends there."""
    ends = [span.end] if span.end <= end and (span.kind == "scalar" or span.flow) else [0]
    for each in (*span.items, *(one for pair in span.pairs for one in pair)):
        if each.start < end:
            ends.append(_last_token(each, end))
    return max(ends)
