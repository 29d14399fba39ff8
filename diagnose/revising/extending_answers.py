"""The steps of an extension told in a file instead of at a prompt.

    says: Water stands in the exhaust pipe
    under: fire-side            # the event that it leads to; left out = the symptom itself
    id: exhaust-wet             # left out = made from the words
    in_100: 3                   # left out = suggested from the cases
    others: scaled              # not-listed | scaled | as-they-are; left out = what keeps the sum near 100
    hazard: gas                 # its own, beyond those from above
    remedy: {refer: gas-engineer}
    prevent: Drain it at the lay-up
    expect: {first-two-minutes: {dies: probable}}
    check: {id: pipe-seen, ask: ..., hands: ..., by: ..., minutes: ..., answers: ..., expect: ...}
    confirm: yes                # confirm the case as this cause afterwards

`remedy`, `expect` and `check` are written as in a tree; what is wrong with them is told at their place in
this file.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import cast

from diagnose.knowledge.fields import Limits
from diagnose.knowledge.form import Flaws
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import ListNode, MapNode, Node, Scalar, what_it_is
from diagnose.knowledge.plain_yaml import compose, read_mapping
from diagnose.revising.extending import NewCause, place_of
from diagnose.revising.extending_shares import OTHERS, Others
from diagnose.revising.rendering import Value
from diagnose.revising.splicing import Path
from diagnose.terms import TOP, Flaw, FlawedKnowledge

KEYS = (
    "says",
    "under",
    "id",
    "in_100",
    "others",
    "hazard",
    "remedy",
    "prevent",
    "expect",
    "check",
    "confirm",
)
_TOP_WORDS = ("", "faults")
_SHARE = Limits(above=0, most=100)


@dataclass(frozen=True, slots=True)
class Told:
    """What a file tells, and where."""

    root: MapNode
    file: str
    confirm: bool

    def has(self, key: str) -> bool:
        """Whether the file says it."""
        return self.root.get(key) is not None

    def number(self, key: str) -> float:
        """A number that was found to be one."""
        node = self.root.get(key)
        return (node.number or 0.0) if isinstance(node, Scalar) else 0.0

    def text(self, key: str) -> str:
        """A text, "" where there is none."""
        node = self.root.get(key)
        return node.value if isinstance(node, Scalar) else ""

    def at(self, key: str, text: str) -> Flaw:
        """A flaw at the value of a key, at the file's beginning where that is not there."""
        node = self.root.get(key)
        return Flaw(self.file, node.line if node else 1, node.column if node else 1, text)

    def cause(self, id: str, in_100: float, others: Others) -> NewCause:
        """The cause as told, with what was left out."""
        under = self.text("under")
        hazard = _value(self.root.get("hazard"))
        check = self.root.get("check")
        return NewCause(
            says=self.text("says"),
            under=TOP if under in _TOP_WORDS else under,
            id=id,
            in_100=in_100,
            others=others,
            hazard=tuple(map(str, hazard)) if isinstance(hazard, list) else (str(hazard),) if hazard else (),
            remedy=cast("Mapping[str, Value]", _value(self.root.get("remedy"))),
            prevent=self.text("prevent"),
            expect=cast("Mapping[str, Mapping[str, Value]]", _value(self.root.get("expect")) or {}),
            check=cast("Mapping[str, Value]", _value(check) or {}),
        )


def read_answers(text: str | bytes, file: str) -> Told:
    """What the file tells; raises FlawedKnowledge with all that is wrong with its form."""
    root = read_mapping(text, file)
    flaws = Flaws(file)
    for key, node in root.pairs:
        if key.value not in KEYS:
            flaws.at(key, f"key {quoted(key.value)} is not known here", flaws.nearest(key.value, KEYS))
            continue
        wanted = _WANTED[key.value]
        if not wanted[0](node):
            flaws.at(node, f"{key.value} is {what_it_is(node)}; it wants {wanted[1]}")
    for needed in ("says", "remedy"):
        if root.get(needed) is None:
            flaws.at(root, f"the file lacks {needed}")
    check = root.get("check")
    if isinstance(check, MapNode) and not isinstance(check.get("id"), Scalar):
        flaws.at(check, "check lacks id: what the new check is called")
    if flaws.found:
        raise FlawedKnowledge(flaws.sorted())
    confirm = root.get("confirm")
    return Told(root, file, isinstance(confirm, Scalar) and confirm.value in ("yes", "true"))


def _is_text(node: Node) -> bool:
    return isinstance(node, Scalar) and bool(node.text)


def _is_share(node: Node) -> bool:
    return isinstance(node, Scalar) and node.number is not None and not _SHARE.broken_by(node.number)


def _is_rows(node: Node) -> bool:
    return isinstance(node, MapNode) and all(isinstance(row, MapNode) for _, row in node.pairs)


def _is_hazard(node: Node) -> bool:
    return _is_text(node) or (isinstance(node, ListNode) and all(map(_is_text, node.items)))


_WANTED: Mapping[str, tuple[Callable[[Node], bool], str]] = {
    "says": (_is_text, "a text"),
    "under": (lambda node: isinstance(node, Scalar), "the id of an event"),
    "id": (_is_text, "an id"),
    "in_100": (_is_share, f"{_SHARE}"),
    "others": (lambda node: isinstance(node, Scalar) and node.value in OTHERS, " or ".join(OTHERS)),
    "hazard": (_is_hazard, "a hazard or a list of them"),
    "remedy": (lambda node: isinstance(node, MapNode), "a mapping as in a tree"),
    "prevent": (_is_text, "a text"),
    "expect": (_is_rows, "check: {answer: how often}"),
    "check": (lambda node: isinstance(node, MapNode), "a mapping as in a tree, with an id"),
    "confirm": (
        lambda node: isinstance(node, Scalar) and node.value in ("yes", "no", "true", "false"), "yes or no",
    ),
}  # fmt: skip


def placed_in_answers(flaws: tuple[Flaw, ...], after: str, new: NewCause, told: Told) -> tuple[Flaw, ...]:
    """The flaws of the tree that came out, each where the answers file says what causes it.

    One of a place that the file does not speak of stands at the file's beginning.
    """
    root, _ = compose(after, "")
    if root is None:
        return tuple(Flaw(told.file, 1, 1, flaw.text, flaw.meant) for flaw in flaws)
    where = {place: (path, key) for path, places in _paths(root, ()) for place, key in places}
    cause = (*place_of(root, new.under), new.id)
    moved = {
        _moved(flaw, *where.get((flaw.line, flaw.column), ((), True)), cause, new, told) for flaw in flaws
    }
    return tuple(sorted(moved))


def _moved(flaw: Flaw, path: Path, key: bool, cause: Path, new: NewCause, told: Told) -> Flaw:
    here: Path = ()
    if path[: len(cause)] == cause:
        here = path[len(cause) :]
    elif path[:2] == ("checks", new.check_id):
        here = ("check", *path[2:])
    elif path[:1] == ("checks",) and path[2:4] == ("expect", new.id):
        here = ("expect", path[1], *path[4:])
    line, column = _place(told.root, here, key)
    return Flaw(told.file, line, column, flaw.text, flaw.meant)


def _place(root: MapNode, path: Path, key: bool) -> tuple[int, int]:
    """Where a path leads in the answers, as far as it leads: to the key there or to its value."""
    node: Node = root
    at: Node = root
    for step in path:
        if isinstance(node, MapNode):
            pair = next((pair for pair in node.pairs if pair[0].value == step), None)
            if pair is None:
                break
            at, node = pair
        elif isinstance(node, ListNode) and isinstance(step, int) and step < len(node.items):
            at = node = node.items[step]
    place = at if key else node
    return place.line, place.column


def _paths(node: Node, path: Path) -> list[tuple[Path, list[tuple[tuple[int, int], bool]]]]:
    """Every node with the places of its key (true) and its value (false)."""
    found: list[tuple[Path, list[tuple[tuple[int, int], bool]]]] = []
    inner: list[tuple[str | int, Node, list[tuple[tuple[int, int], bool]]]] = []
    if isinstance(node, MapNode):
        inner = [(key.value, value, [((key.line, key.column), True)]) for key, value in node.pairs]
    elif isinstance(node, ListNode):
        inner = [(place, item, []) for place, item in enumerate(node.items)]
    for step, value, places in inner:
        here = (*path, step)
        found.append((here, [*places, ((value.line, value.column), False)]))
        found += _paths(value, here)
    return found


def _value(node: Node | None) -> Value:
    """A node as a value that can be written again."""
    if node is None:
        return ""
    if isinstance(node, MapNode):
        return {key.value: _value(value) for key, value in node.pairs}
    if isinstance(node, ListNode):
        return [_value(item) for item in node.items]
    if node.truth is not None:
        return node.truth
    return node.value if node.number is None else node.number
