"""Changes to the text of a YAML file in place: every character that is not meant to change stays as it is.

What comes out is read again and has to hold what the file held, but for the changes and in the same order;
else nothing comes out at all. So comments, layout, quotes, a leading mark and the line ends are safe whatever
the layout of the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import ListNode, MapNode, Node
from diagnose.knowledge.plain_yaml import read_mapping
from diagnose.revising.rendering import STEP, Value, in_brackets, in_lines, scalar
from diagnose.revising.spans import Span, spans
from diagnose.terms import DiagnoseError

Path = tuple[str | int, ...]
"""From the root to a node: keys of mappings, places in lists (from 0)."""


class CannotSplice(DiagnoseError):
    """The file is laid out in a way in which this change cannot be made without touching more."""


@dataclass(frozen=True, slots=True)
class Edit:
    """The characters from `start` up to `end` give way to `text`."""

    start: int
    end: int
    text: str
    column: int = 0
    """Of two insertions at one place the one that is set in further comes first."""


@dataclass(frozen=True, slots=True)
class Put:
    """A new key in the mapping at `path`: at its end, or before another key of it."""

    path: Path
    key: str
    value: Value
    before: str | None = None
    open: bool = False
    """Lay out the value's own keys on lines of their own, however short they are."""


@dataclass(frozen=True, slots=True)
class Replace:
    """Another value for the node at `path`."""

    path: Path
    value: Value


@dataclass(frozen=True, slots=True)
class Rename:
    """Another name for the key at `path`; its value stays."""

    path: Path
    key: str


@dataclass(frozen=True, slots=True)
class Append:
    """One more item for the list at `path`; a single text becomes a list of two."""

    path: Path
    value: str


Change = Put | Replace | Rename | Append


def changed(text: str, changes: Sequence[Change], file: str = "") -> str:
    """The text with all changes made; their paths are those of the text as it is before any of them.

    Raises FlawedKnowledge for a text that is no sound YAML, CannotSplice where a change has no place or where
    what would come out does not hold just what was meant.
    """
    if not changes:
        return text
    before = read_mapping(text, file)
    after = spliced(text, edits(text, changes))
    wanted = _Meant(changes).of(before, ())
    try:
        same = meaning(read_mapping(after, file)) == wanted
    except DiagnoseError:
        same = False
    if not same:
        raise CannotSplice(
            f"{file or 'the file'} is laid out in a way that leaves no place for {_told(changes)}"
        )
    return after


def spliced(text: str, edits: Iterable[Edit]) -> str:
    """The text with the edits made; raises CannotSplice for edits that overlap."""
    parts: list[str] = []
    at = 0
    for edit in sorted(edits, key=lambda edit: (edit.start, edit.end, -edit.column)):
        if edit.start < at or edit.end < edit.start:
            raise CannotSplice("two changes are meant for the same place")
        parts += [text[at : edit.start], edit.text]
        at = edit.end
    return "".join((*parts, text[at:]))


def line_end(text: str) -> str:
    """The line end of the text: that of its first line."""
    found = re.search(r"\r\n|\n|\r", text)
    return found[0] if found else "\n"


def edits(text: str, changes: Sequence[Change]) -> tuple[Edit, ...]:
    """The changes as edits of this text; raises CannotSplice where one has no place."""
    root = spans(text)
    into_empty: dict[int, int] = {}
    made = []
    for change in changes:
        node = at(root, change.path[:-1] if isinstance(change, Rename) else change.path)
        match change:
            case Put():
                earlier = into_empty.get(node.start, 0)
                into_empty[node.start] = earlier + 1
                made.append(_put(text, node, change, earlier))
            case Replace():
                gap = " " if node.start == node.end else ""
                made.append(Edit(node.start, node.end, gap + in_brackets(change.value)))
            case Rename():
                key = node.key(str(change.path[-1]))
                if key is None:
                    raise CannotSplice(f"there is no key {quoted(str(change.path[-1]))}")
                made.append(Edit(key.start, key.end, scalar(change.key)))
            case Append():
                earlier = into_empty.get(node.start, 0)
                into_empty[node.start] = earlier + 1
                made.append(_append(text, node, change.value, earlier))
    return tuple(made)


def at(root: Span, path: Path) -> Span:
    """The node at a path; raises CannotSplice where there is none."""
    node: Span | None = root
    for step in path:
        if node is not None and node.kind == "map":
            node = node.get(str(step))
        elif node is not None and node.kind == "list" and isinstance(step, int) and step < len(node.items):
            node = node.items[step]
        else:
            node = None
    if node is None:
        raise CannotSplice(f"there is no {' > '.join(map(str, path))}")
    return node


def _put(text: str, node: Span, put: Put, earlier: int) -> Edit:
    if node.kind != "map":
        raise CannotSplice(f"{' > '.join(map(str, put.path)) or 'the file'} is no mapping")
    if node.key(put.key) is not None:
        raise CannotSplice(f"{quoted(put.key)} is there already")
    place = next((place for place, (key, _) in enumerate(node.pairs) if key.value == put.before), None)
    if not node.flow:
        return _in_lines(text, node, in_lines(put.key, put.value, node.column, open=put.open), place)
    entry = f"{scalar(put.key)}: {in_brackets(put.value)}"
    if place is not None:
        start = node.pairs[place][0].start
        return Edit(start, start, f"{entry}, ")
    return _in_flow(node, entry, [value for _, value in node.pairs], earlier)


def _append(text: str, node: Span, value: str, earlier: int) -> Edit:
    if node.kind == "scalar":
        return Edit(node.start, node.end, in_brackets([node.value, value]))
    if node.kind != "list":
        raise CannotSplice("there is no list to add to")
    if node.flow:
        return _in_flow(node, scalar(value), node.items, earlier)
    return _in_lines(text, node, [f"{' ' * node.column}- {scalar(value)}"], None)


def _in_flow(node: Span, entry: str, inner: Sequence[Span], earlier: int) -> Edit:
    if not inner:
        return Edit(node.start + 1, node.start + 1, f", {entry}" if earlier else entry)
    return Edit(inner[-1].end, inner[-1].end, f", {entry}")


def _in_lines(text: str, node: Span, lines: Sequence[str], place: int | None) -> Edit:
    """Lines behind the last one of the node, or behind the pair before that `place`."""
    end = line_end(text)
    if place == 0:
        start = max(text.rfind("\n", 0, node.start), text.rfind("\r", 0, node.start)) + 1
        if not text[start : node.start].strip(" \ufeff"):
            start += text[start : node.start].count("\ufeff")
            return Edit(start, start, end.join((*lines, "")), node.column)
        place = None
    after = node.after if place is None else node.pairs[place - 1][1].after
    if after and text[after - 1] in "\r\n":
        return Edit(after, after, end.join((*lines, "")), node.column)
    rest = re.compile(r"[^\r\n]*(\r\n|\n|\r)?").match(text, after)
    assert rest is not None  # it matches nothing, too
    if rest[1] is None:
        return Edit(rest.end(), rest.end(), end + end.join(lines), node.column)
    return Edit(rest.end(), rest.end(), end.join((*lines, "")), node.column)


def meaning(node: Node) -> object:
    """What a node holds, without its place; quoted and plain texts that say different things differ."""
    if isinstance(node, MapNode):
        return ("map", [(key.value, meaning(value)) for key, value in node.pairs])
    if isinstance(node, ListNode):
        return ("list", [meaning(item) for item in node.items])
    for kind, value in (("number", node.number), ("truth", node.truth), ("text", node.text)):
        if value is not None:
            return (kind, value)
    return ("null", None)


def _of_value(value: Value) -> object:
    if isinstance(value, Mapping):
        return ("map", [(key, _of_value(item)) for key, item in value.items()])
    if isinstance(value, bool):
        return ("truth", value)
    if isinstance(value, str):
        return ("text", value)
    if isinstance(value, (int, float)):
        return ("number", float(value))
    return ("list", [_of_value(item) for item in value])


class _Meant:
    """What a file has to hold once the changes are made."""

    def __init__(self, changes: Sequence[Change]) -> None:
        self.values = {change.path: change.value for change in changes if isinstance(change, Replace)}
        self.names = {change.path: change.key for change in changes if isinstance(change, Rename)}
        self.added: dict[Path, list[Put | Append]] = {}
        for change in changes:
            if isinstance(change, (Put, Append)):
                self.added.setdefault(change.path, []).append(change)

    def of(self, node: Node, path: Path) -> object:
        """The meaning of the node at a path of the old text."""
        if path in self.values:
            return _of_value(self.values[path])
        added = self.added.get(path, ())
        if isinstance(node, MapNode):
            pairs = [(key.value, self.of(value, (*path, key.value))) for key, value in node.pairs]
            for put in added:
                if isinstance(put, Put):
                    names = [name for name, _ in pairs]
                    place = names.index(put.before) if put.before in names else len(pairs)
                    pairs.insert(place, (put.key, _of_value(put.value)))
            return ("map", [(self.names.get((*path, name), name), value) for name, value in pairs])
        more = [_of_value(each.value) for each in added]
        if isinstance(node, ListNode):
            return ("list", [*(self.of(item, (*path, i)) for i, item in enumerate(node.items)), *more])
        return ("list", [meaning(node), *more]) if more else meaning(node)


def _told(changes: Sequence[Change]) -> str:
    names = [
        quoted(change.key if isinstance(change, (Put, Rename)) else str(change.value)) for change in changes
    ]
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")


__all__ = [
    "STEP", "Append", "CannotSplice", "Change", "Edit", "Path", "Put", "Rename", "Replace", "at", "changed",
    "edits", "line_end", "meaning", "spliced",
]  # fmt: skip
