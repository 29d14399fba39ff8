"""Reading a mapping by its table of fields: right values out, flaws noted, nothing guessed.

A value that does not fit its field is left out of what is returned, so that every later rule meets only
values of the right kind, and each mistake is told once.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from diagnose.knowledge.card_fields import CARD_TABLES
from diagnose.knowledge.fields import COMMON_TABLES, TABLES, Field
from diagnose.knowledge.ids import nearest, quoted, why_no_id
from diagnose.knowledge.nodes import ListNode, MapNode, Node, Scalar, what_it_is
from diagnose.knowledge.plain_yaml import MOST_FLAWS
from diagnose.knowledge.rounds_fields import ROUND_TABLES
from diagnose.terms import Flaw, Mark

_MOST_SUGGESTIONS = 100
"""A file with more wrong words than this is not mended word by word, and looking for more takes time."""

_TABLES = {**TABLES, **COMMON_TABLES, **CARD_TABLES, **ROUND_TABLES}

_ARTICLES = {
    "tree": "a tree", "faults": "faults", "event": "an event", "cause": "a cause",
    "do remedy": "a remedy with do",
    "refer remedy": "a remedy with refer", "see remedy": "a remedy with see", "check": "a check",
    "reading": "a reading", "band": "a band", "referral": "a referral", "place": "a place",
    "caution": "a caution", "cured_when": "cured_when",
    "task": "a task (tasks.yaml)", "turn": "the place of a task in a round",
}  # fmt: skip


@dataclass(slots=True)
class Flaws:
    """The flaws of one file as they are found."""

    file: str
    found: list[Flaw] = field(default_factory=list)
    count: int = 0
    suggestions: int = 0

    def at(self, node: Node, text: str, meant: str = "") -> None:
        """Note a flaw at a node; those beyond the most that are told are counted only."""
        self.count += 1
        if len(self.found) < MOST_FLAWS:
            self.found.append(Flaw(self.file, node.line, node.column, text, meant))

    def nearest(self, word: str, known: Iterable[str]) -> str:
        """The known word most like a wrong one, "" if none is or too many were looked for."""
        self.suggestions += 1
        return nearest(word, known) if self.suggestions <= _MOST_SUGGESTIONS else ""

    def known(
        self, word: Scalar | None, key: str, known: Collection[str], what: str, where: str = " here"
    ) -> None:
        """Note a word that names nothing."""
        if word is not None and word.value not in known:
            text = f"{key} names {quoted(word.value)}, which is no {what}{where}"
            self.at(word, text, self.nearest(word.value, known))

    def mark(self, node: Node) -> Mark:
        """The place of a node."""
        return Mark(self.file, node.line, node.column)

    def sorted(self) -> tuple[Flaw, ...]:
        """All of them, each once, by place."""
        return tuple(sorted(set(self.found)))


@dataclass(slots=True)
class Filled:
    """What a mapping holds, read by its table. `at` is where the mapping is named: its key, or itself."""

    at: Node
    keys: dict[str, Scalar] = field(default_factory=dict)
    nodes: dict[str, Node] = field(default_factory=dict)
    """Values that fit their field; the others are missing here and present among the keys."""

    def __contains__(self, key: str) -> bool:
        return key in self.keys

    def text(self, key: str, default: str = "") -> str:
        """A text, an id or a word."""
        node = self.nodes.get(key)
        return node.value if isinstance(node, Scalar) else default

    def scalar(self, key: str) -> Scalar | None:
        """The node of a text, an id or a word."""
        node = self.nodes.get(key)
        return node if isinstance(node, Scalar) else None

    def number(self, key: str, default: float = 0.0) -> float:
        """A number."""
        node = self.nodes.get(key)
        number = node.number if isinstance(node, Scalar) else None
        return default if number is None else number

    def truth(self, key: str) -> bool:
        """True where `true` is written."""
        node = self.nodes.get(key)
        return isinstance(node, Scalar) and bool(node.truth)

    def scalars(self, key: str) -> tuple[Scalar, ...]:
        """The items of a list, or the one word that may stand instead of it."""
        node = self.nodes.get(key)
        if isinstance(node, Scalar):
            return (node,)
        return (
            tuple(item for item in node.items if isinstance(item, Scalar))
            if isinstance(node, ListNode)
            else ()
        )

    def texts(self, key: str) -> tuple[str, ...]:
        """The same as plain texts."""
        return tuple(item.value for item in self.scalars(key))

    def pairs(self, key: str) -> list[tuple[Scalar, Node]]:
        """The pairs of a mapping."""
        node = self.nodes.get(key)
        return node.pairs if isinstance(node, MapNode) else []

    def key(self, key: str) -> Node:
        """Where a key stands; where the mapping is named if it does not."""
        return self.keys.get(key, self.at)


def fill(table: str, node: Node, at: Node, name: str, flaws: Flaws, extra: str = "") -> Filled:
    """Read a mapping by a table; `name` is what it is called in messages, such as `check "hob-flame"`.

    `extra` names a table whose keys belong elsewhere, to word the message about one of them.
    """
    fields = _fields(table)
    filled = Filled(at)
    if not isinstance(node, MapNode):
        flaws.at(
            _place(node, at), f"{name} holds {what_it_is(node)}; it takes a mapping of {_listed(fields)}"
        )
        return filled
    for key, value in node.pairs:
        known = fields.get(key.value)
        if known is None:
            _unknown_key(table, key, fields, flaws, name, extra)
            continue
        filled.keys[key.value] = key
        if fits(known, value, key, flaws):
            filled.nodes[key.value] = value
    for known in fields.values():
        if known.required and known.key not in filled:
            flaws.at(at, f"{name} lacks {known.key}: {known.says}")
    return filled


def _fields(table: str) -> Mapping[str, Field]:
    return {line.key: line for line in _TABLES[table]}


def _listed(fields: Iterable[str]) -> str:
    return ", ".join(fields)


def _place(node: Node, key: Node) -> Node:
    """Where to point at: an empty value has no place of its own, so its key is named."""
    return key if isinstance(node, Scalar) and node.null else node


def _unknown_key(
    table: str, key: Scalar, fields: Mapping[str, Field], flaws: Flaws, name: str, extra: str
) -> None:
    if extra and key.value in _fields(extra):
        flaws.at(key, f"key {quoted(key.value)} belongs to {_ARTICLES.get(extra, extra)}, not to {name}")
        return
    meant = flaws.nearest(key.value, fields)
    text = f"key {quoted(key.value)} is not known in {name}"
    flaws.at(key, text if meant else f"{text}; known are {_listed(fields)}", meant)


def fits(line: Field, value: Node, key: Scalar, flaws: Flaws) -> bool:
    """Whether a value is of its field's kind; notes a flaw if not."""
    before = flaws.count
    kind = line.kind
    if kind in ("text", "id", "word", "number", "truth", "quantity"):
        _scalar(line, value, key, flaws)
    elif kind in ("texts", "ids", "words"):
        _list(line, value, key, flaws)
    elif kind == "id or ids":
        if isinstance(value, ListNode):
            _list(line, value, key, flaws)
        else:
            _scalar(line, value, key, flaws)
    elif kind == "range":
        _range(value, key, flaws)
    else:
        _mapping(line, value, key, flaws)
        return isinstance(value, MapNode)
    return flaws.count == before


def _wants(line: Field) -> str:
    """What a field takes, in words."""
    if line.kind == "number":
        return str(line.limits)
    if line.kind == "quantity":
        return f"a number with its unit, such as {' or '.join(line.words)}"
    if line.kind in ("word", "words"):
        return " or ".join(part for part in (", ".join(line.words[:-1]), line.words[-1]) if part)
    return {"truth": "true or false", "text": "a text", "texts": "texts"}.get(line.kind, "an id")


def _scalar(line: Field, value: Node, key: Scalar, flaws: Flaws) -> None:
    at = _place(value, key)
    if not isinstance(value, Scalar):
        flaws.at(at, f"{key.value} wants {_wants(line)}, not {what_it_is(value)}")
    elif line.kind == "number":
        number = value.number
        if number is None:
            tail = " (without quotes)" if not value.plain else ""
            flaws.at(at, f"{key.value} wants {_wants(line)}{tail}, not {what_it_is(value)}")
        elif line.limits.broken_by(number):
            flaws.at(at, f"{key.value} is {value.value[:30]}; it wants {_wants(line)}")
    elif line.kind == "quantity":
        if value.text is None:
            flaws.at(at, f"{key.value} wants {_wants(line)}; not {what_it_is(value)}")
    elif line.kind == "truth":
        if value.truth is None:
            flaws.at(at, f"{key.value} wants true or false, not {what_it_is(value)}")
    elif value.text is None:
        tail = "; quote it if it is meant as a text" if not value.null else ""
        flaws.at(at, f"{key.value} wants {_wants(line)}, not {what_it_is(value)}{tail}")
    elif not value.value.strip():
        flaws.at(at, f"{key.value} is empty; it wants {_wants(line)}")
    elif line.kind in ("word", "words"):
        if value.value not in line.words:
            meant = flaws.nearest(value.value.lower(), line.words)
            meant = meant or flaws.nearest(value.value.upper(), line.words)
            flaws.at(at, f"{key.value} wants {_wants(line)}, not {quoted(value.value)}", meant)
    elif line.kind in ("id", "ids", "id or ids"):
        wrong_id(value, flaws)


def _list(line: Field, value: Node, key: Scalar, flaws: Flaws) -> None:
    if not isinstance(value, ListNode):
        what = {"texts": "texts", "words": "words"}.get(line.kind, "ids")
        flaws.at(
            _place(value, key), f"{key.value} wants a list of {what} [in brackets], not {what_it_is(value)}"
        )
        return
    if len(value.items) < line.least:
        flaws.at(key, f"{key.value} is empty; it wants one or more")
    seen: dict[str, Scalar] = {}
    for item in value.items:
        before = flaws.count
        _scalar(line, item, key, flaws)
        if flaws.count > before or not isinstance(item, Scalar):
            continue
        if item.value in seen:
            flaws.at(item, f"{quoted(item.value)} stands twice in {key.value}")
        seen[item.value] = item


def _range(value: Node, key: Scalar, flaws: Flaws) -> None:
    numbers = (
        [item.number for item in value.items if isinstance(item, Scalar)]
        if isinstance(value, ListNode)
        else []
    )
    if not isinstance(value, ListNode) or len(value.items) != 2 or len(numbers) != 2 or None in numbers:
        flaws.at(_place(value, key), f"{key.value} wants two numbers, [least, greatest]")
    elif not (numbers[0] or 0.0) < (numbers[1] or 0.0):
        flaws.at(value, f"{key.value} wants the least number first, and its width above 0")


def _mapping(line: Field, value: Node, key: Scalar, flaws: Flaws) -> None:
    """The form of a mapping; what its values are is read by whoever knows the table."""
    if not isinstance(value, MapNode):
        flaws.at(_place(value, key), f"{key.value} wants a mapping, not {what_it_is(value)}")
        return
    if len(value.pairs) < line.least:
        flaws.at(
            key, f"{key.value} wants {'two' if line.least == 2 else 'one'} or more, not {len(value.pairs)}"
        )
    for name, inner in value.pairs:
        if line.kind == "texts by id":
            wrong_id(name, flaws)
        if line.kind in ("texts by id", "reasons"):
            _scalar(Field(name.value, "text", ""), inner, name, flaws)
        elif line.kind == "ids by id":
            _list(Field(name.value, "ids", "", least=1), inner, name, flaws)


def wrong_id(word: Scalar, flaws: Flaws) -> bool:
    """Whether a word cannot be an id; notes a flaw if so."""
    reason = why_no_id(word.value)
    if reason:
        flaws.at(word, f"{quoted(word.value)} {reason}")
    return bool(reason)
