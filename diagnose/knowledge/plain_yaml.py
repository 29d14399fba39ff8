"""Safe reading of YAML: text in, plain nodes with their places out, and every flaw on the way.

PyYAML's events are used and nothing else of it: no object is ever built from a tag, anchors and aliases are
refused before anything could be multiplied by them, and depth, size and text length are limited. The parser
in C is used where it exists; where it refuses a text, the one in Python is asked as well, so that both give
the same message.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from diagnose.knowledge import characters
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import ListNode, MapNode, Node, Scalar
from diagnose.knowledge.syntax_flaws import syntax_flaw
from diagnose.terms import Flaw, FlawedKnowledge

LARGEST_FILE = 1024 * 1024
DEEPEST = 40
LONGEST_TEXT = 600
MOST_FLAWS = 1000
"""So many are told of one file; who has more begins with these."""
_LONGEST_SECOND_READING = 128 * 1024
"""Characters of a broken text that is given to the slow parser too, for its words."""


class _PlainLoader(yaml.BaseLoader):
    """The parser in Python, brought to take a bare `?` within a text in brackets as the one in C does."""

    in_plain = False

    def scan_plain(self) -> Any:
        self.in_plain = True
        try:
            return super().scan_plain()
        finally:
            self.in_plain = False

    def peek(self, index: int = 0) -> str:
        character: str = super().peek(index)
        return "x" if self.in_plain and character == "?" else character


_PLAIN: Any = _PlainLoader
_FAST: Any = getattr(yaml, "CBaseLoader", _PLAIN)


def read_bytes(path: Path, file: str | None = None) -> bytes:
    """What a file holds, at most one byte more than is allowed; raises FlawedKnowledge if that cannot be."""
    shown = file if file is not None else str(path)
    try:
        if not path.exists():
            raise FlawedKnowledge((Flaw(shown, 1, 1, "there is no such file"),))
        if not path.is_file():
            raise FlawedKnowledge((Flaw(shown, 1, 1, "is not a file"),))
        with path.open("rb") as stream:
            return stream.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise FlawedKnowledge((Flaw(shown, 1, 1, f"cannot be read: {reason}"),)) from error


def read_mapping(text: str | bytes, file: str) -> MapNode:
    """The root mapping of a YAML text; raises FlawedKnowledge with every flaw of its form."""
    node, flaws = compose(text, file)
    if flaws or node is None:
        raise FlawedKnowledge(flaws)
    return node


def compose(text: str | bytes, file: str) -> tuple[MapNode | None, tuple[Flaw, ...]]:
    """The root mapping (None where there is none) and all flaws of the text's form, sorted."""
    flaws: list[Flaw] = []
    plain = _decoded(text, file, flaws)
    if plain is None:
        return None, tuple(flaws)
    refused = characters.refused_in_file(plain)
    places = characters.Places(plain if refused else "")
    for index, character in refused[:MOST_FLAWS]:
        flaws.append(Flaw(file, *places.of(index), characters.described(character)))
    damaged = bool(flaws)
    clean = characters.file_without_refused(plain) if damaged else plain
    composer, error = _composed(clean, file, _FAST)
    if error is not None and _FAST is not _PLAIN and len(clean) <= _LONGEST_SECOND_READING:
        again, same = _composed(clean, file, _PLAIN)
        if same is not None:  # else only the parser in C refuses it, and says why
            composer, error = again, same
    flaws.extend(composer.flaws)
    if error is not None:
        if isinstance(error, yaml.YAMLError) and not damaged:  # else the characters are the likelier reason
            flaws.append(syntax_flaw(error, file))
        return None, tuple(sorted(set(flaws)))
    root: Node | None = composer.root
    if root is None or (isinstance(root, Scalar) and root.null):
        flaws.append(Flaw(file, 1, 1, "the file holds nothing"))
        root = None
    elif not isinstance(root, MapNode):
        flaws.append(Flaw(file, root.line, root.column, "the file does not hold a mapping (key: value)"))
        root = None
    return root, tuple(sorted(set(flaws)))


def _composed(text: str, file: str, loader_class: Any) -> tuple[_Composer, Exception | None]:
    """What one of the two parsers makes of a text, and where it gave up if it did."""
    composer = _Composer(file)
    try:
        composer.run(_events(text, loader_class))
    except (yaml.YAMLError, _Enough) as error:
        return composer, error
    return composer, None


def _decoded(text: str | bytes, file: str, flaws: list[Flaw]) -> str | None:
    """The text without a leading mark, or None and a flaw."""
    if (len(text) if isinstance(text, bytes) else len(text.encode("utf-8", "replace"))) > LARGEST_FILE:
        flaws.append(Flaw(file, 1, 1, "the file is larger than 1 MiB"))
        return None
    if isinstance(text, bytes):
        data = text
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError as error:
            before = data[: error.start].decode("utf-8").removeprefix("\ufeff")
            line, column = characters.Places(before).of(len(before))
            flaws.append(Flaw(file, line, column, "the file is not UTF-8 here; save it as UTF-8"))
            return None
    return text.removeprefix("\ufeff")


def _events(text: str, loader_class: Any) -> Iterator[Any]:
    """The parser's events, one at a time."""
    loader = loader_class(text)
    try:
        while loader.check_event():
            yield loader.get_event()
    except (ValueError, OverflowError) as error:  # from chr() in the parser in Python
        problem = "found invalid Unicode character escape code"
        raise yaml.MarkedYAMLError(problem=problem, problem_mark=loader.get_mark()) from error
    finally:
        loader.dispose()


class _Enough(Exception):
    """Reading on would help nobody: the nesting is too deep, or the flaws are too many."""


@dataclass(slots=True)
class _Open:
    """A collection that is being filled."""

    node: MapNode | ListNode
    key: Scalar | None = None
    skip_value: bool = False
    seen: dict[str, int] = field(default_factory=dict)


class _Composer:
    """Builds nodes from events and notes what is refused."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.flaws: list[Flaw] = []
        self.root: Node | None = None
        self.documents = 0
        self.stack: list[_Open] = []

    def flaw(self, mark: Any, text: str) -> None:
        self.flaw_at(mark.line + 1, mark.column + 1, text)

    def flaw_at(self, line: int, column: int, text: str) -> None:
        self.flaws.append(Flaw(self.file, line, column, text))
        if len(self.flaws) >= MOST_FLAWS:
            raise _Enough

    def run(self, events: Iterator[Any]) -> None:
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                self._document(event)
            elif isinstance(event, yaml.AliasEvent):
                self._alias(event)
            elif isinstance(event, yaml.ScalarEvent):
                self._decorations(event)
                self._put(self._scalar(event))
            elif isinstance(event, yaml.CollectionStartEvent):
                self._decorations(event)
                self._open(event)
            elif isinstance(event, yaml.CollectionEndEvent):
                self._put(self.stack.pop().node)

    def _document(self, event: Any) -> None:
        self.documents += 1
        if self.documents == 2:
            self.flaw(event.start_mark, "a second document begins here; a file holds one")
        if event.tags:
            self.flaw(event.start_mark, "a tag directive (%TAG) stands here; tags are not used")
        if event.version and tuple(event.version) not in ((1, 1), (1, 2)):
            self.flaw(event.start_mark, "only YAML 1.2 is read")

    def _alias(self, event: Any) -> None:
        mark = event.start_mark
        self.flaw(mark, f"an alias (*{event.anchor}) stands here; write the value out")
        self._put(Scalar("", mark.line + 1, mark.column + 1, False))

    def _decorations(self, event: Any) -> None:
        if event.anchor is not None:
            self.flaw(event.start_mark, f"an anchor (&{event.anchor}) stands here; anchors are not used")
        if event.tag is not None:
            self.flaw(
                event.start_mark, f"a tag ({quoted(str(event.tag))[1:-1]}) stands here; tags are not used"
            )

    def _scalar(self, event: Any) -> Scalar:
        value: str = event.value
        mark = event.start_mark
        refused = characters.refused_in_text(value)
        if refused:
            self.flaw(mark, characters.described(refused).replace("stands here", "stands in this text"))
            value = characters.without_refused(value)
        if len(value) > LONGEST_TEXT:
            self.flaw(mark, f"this text has {len(value)} characters; {LONGEST_TEXT} is the most")
        return Scalar(value, mark.line + 1, mark.column + 1, not event.style)

    def _open(self, event: Any) -> None:
        mark = event.start_mark
        if len(self.stack) >= DEEPEST:
            self.flaw(mark, f"nesting goes deeper than {DEEPEST} here")
            raise _Enough
        kind = MapNode if isinstance(event, yaml.MappingStartEvent) else ListNode
        self.stack.append(_Open(kind(mark.line + 1, mark.column + 1)))

    def _put(self, node: Node) -> None:
        if not self.stack:
            if self.documents == 1:
                self.root = node
            return
        top = self.stack[-1]
        if isinstance(top.node, ListNode):
            top.node.items.append(node)
        elif top.key is None and not top.skip_value:
            self._put_key(top, node)
        else:
            if top.key is not None:
                top.node.pairs.append((top.key, node))
            top.key, top.skip_value = None, False

    def _put_key(self, top: _Open, node: Node) -> None:
        """A key is a text and stands once; otherwise the value that follows is left out."""
        if not isinstance(node, Scalar):
            top.skip_value = True
            self.flaw_at(node.line, node.column, "a list or mapping cannot be a key")
        elif node.value in top.seen:
            text = f"key {quoted(node.value)} stands twice (first on line {top.seen[node.value]})"
            top.skip_value = True
            self.flaw_at(node.line, node.column, text)
        else:
            top.seen[node.value] = node.line
            top.key = node
