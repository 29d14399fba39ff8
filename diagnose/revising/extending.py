"""A newly met cause put into a tree: under an event, with its remedy and the checks that give it away."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from diagnose.knowledge.checks import OTHERWISE
from diagnose.knowledge.common import Common
from diagnose.knowledge.ids import nearest, quoted, why_no_id
from diagnose.knowledge.loading import read_tree
from diagnose.knowledge.nodes import MapNode, Node
from diagnose.knowledge.plain_yaml import read_mapping
from diagnose.revising.extending_shares import Others, moved_shares
from diagnose.revising.rendering import Value
from diagnose.revising.splicing import Change, Path, Put, changed
from diagnose.terms import TOP, DiagnoseError, Flaw, Tree

Step = Literal["says", "under", "id", "in_100", "hazard", "remedy", "prevent", "expect", "check"]
STEPS: tuple[Step, ...] = (
    "says", "under", "id", "in_100", "hazard", "remedy", "prevent", "expect", "check",
)  # fmt: skip


class CannotExtend(DiagnoseError):
    """The tree has no place for this cause."""


@dataclass(frozen=True, slots=True)
class NewCause:
    """A cause as it is told, step by step; what is not told yet has a value that changes nothing else."""

    says: str = "A new cause"
    under: str = TOP
    """The event that it leads to; the symptom itself stands under `TOP`."""
    id: str = ""
    in_100: float = 1.0
    others: Others = "as-they-are"
    """What becomes of the other shares."""
    hazard: tuple[str, ...] = ()
    """Its own; nothing where those from above are enough."""
    remedy: Mapping[str, Value] = field(default_factory=dict)
    prevent: str = ""
    expect: Mapping[str, Mapping[str, Value]] = field(default_factory=dict)
    """Check -> answer -> a word of probability or a number, if this were the fault."""
    check: Mapping[str, Value] = field(default_factory=dict)
    """A new check as a tree has it, with its `id` besides; empty for none."""

    @property
    def check_id(self) -> str:
        """The id of the new check, "" where there is none."""
        return str(self.check.get("id", ""))


def extended(text: str, tree: Tree, new: NewCause, common: Common) -> str:
    """The tree's text with the cause in it; nothing else changes but the shares that were to change.

    Raises CannotExtend where the id or the event cannot be, CannotSplice where the layout leaves no place.
    What is wrong with the tree that comes out is for `flaws_of` to tell.
    """
    _refuse(tree, new, common)
    return changed(text, tuple(changes(text, tree, new)), tree.file)


def flaws_of(text: str, tree: Tree, common: Common) -> tuple[Tree | None, tuple[Flaw, ...]]:
    """The tree that came out, or None and all that is wrong with it."""
    return read_tree(text, tree.file, common, id=tree.id, shipped=False)


def changes(text: str, tree: Tree, new: NewCause) -> Iterator[Change]:
    """What has to change in the text."""
    root = read_mapping(text, tree.file)
    yield Put(place_of(root, new.under), new.id, _body(new), open=True)
    said = root.get("not_listed") is not None
    yield from moved_shares(tree, new.in_100, new.others, lambda id: place_of(root, id)[:-1], said=said)
    checks = root.get("checks")
    for check, row in new.expect.items():
        entry = checks.get(check) if isinstance(checks, MapNode) else None
        expected = entry.get("expect") if isinstance(entry, MapNode) else None
        if entry is None:
            yield Put(("checks",), check, {"expect": {new.id: row}}, open=True)
        elif isinstance(expected, MapNode):
            yield Put(("checks", check, "expect"), new.id, row, before=OTHERWISE)
        else:
            raise CannotExtend(f"check {quoted(check)} expects nothing of any cause, and can tell none apart")
    if new.check:
        body = {key: value for key, value in new.check.items() if key != "id"}
        yield Put(("checks",), new.check_id, body, open=True)


def place_of(root: MapNode, event: str) -> Path:
    """Where the inputs of an event stand (those of the top for `TOP`); for a cause its own place and `""`.

    Raises CannotExtend for an event that the file does not define.
    """
    found = _gate_of(root.get("faults"), ("faults",), event, TOP)
    if found is None:
        raise CannotExtend(f"{quoted(event)} is no event here")
    return found


def _gate_of(node: Node | None, path: Path, wanted: str, here: str) -> Path | None:
    gates = [
        gate for gate in ("any_of", "all_of") if isinstance(node, MapNode) and node.get(gate) is not None
    ]
    if here == wanted and isinstance(node, MapNode) and node.pairs:
        return (*path, gates[0] if gates else "")
    for gate in gates:
        inputs = node.get(gate) if isinstance(node, MapNode) else None
        for key, body in inputs.pairs if isinstance(inputs, MapNode) else ():
            found = _gate_of(body, (*path, gate, key.value), wanted, key.value)
            if found is not None:
                return found
    return None


def _body(new: NewCause) -> dict[str, Value]:
    hazard: dict[str, Value] = {}
    if new.hazard:
        hazard = {"hazard": new.hazard[0] if len(new.hazard) == 1 else list(new.hazard)}
    return {
        "says": new.says,
        "in_100": new.in_100,
        **hazard,
        "remedy": new.remedy or {"refer": "workshop"},  # whatever the hazard, this breaks no rule
        **({"prevent": new.prevent} if new.prevent else {}),
    }


def _refuse(tree: Tree, new: NewCause, common: Common) -> None:
    event = tree.events.get(new.under)
    if event is None:
        meant = nearest(new.under, places(tree))
        like = f' (did you mean "{meant}"?)' if meant else ""
        raise CannotExtend(f"{quoted(new.under)} is no event of {tree.id}{like}")
    if event.gate is None:
        raise CannotExtend(
            f"{quoted(new.under)} is a cause of {tree.id}; name the event that both lead to, such as "
            f"{quoted((*event.chain, 'faults')[0])}"
        )
    if event.gate == "all_of":
        raise CannotExtend(
            f"{quoted(new.under)} needs all of its inputs at once, and with one more would need that too; "
            "name an event of which any one input is enough"
        )
    reason = why_not(tree, new.id, common)
    if reason:
        raise CannotExtend(reason)
    if new.check:
        reason = why_not(tree, new.check_id, common)
        if reason or new.check_id == new.id:
            raise CannotExtend(reason or f"{quoted(new.id)} cannot be both the cause and the check")
    for check in new.expect:
        known = tree.checks.get(check) or tree.facts.get(check)
        if known is None:
            meant = nearest(check, tree.checks)
            like = f' (did you mean "{meant}"?)' if meant else ""
            raise CannotExtend(f"{quoted(check)} is no check of {tree.id}{like}")
        if known.fixed and not known.fact:
            raise CannotExtend(
                f"{quoted(check)} is a danger question that all trees share; it tells no causes apart"
            )


def places(tree: Tree) -> tuple[str, ...]:
    """The events under which a cause can be put: those of which any one input is enough, the top first."""
    return tuple(id for id, event in tree.events.items() if event.gate == "any_of")


def why_not(tree: Tree, id: str, common: Common) -> str:
    """Why something new cannot have this id in the tree; "" if it can."""
    reason = why_no_id(id)
    if reason:
        return f"{quoted(id)} {reason}"
    if id in tree.events or id in tree.checks:
        return f"{quoted(id)} stands for something in {tree.id} already; take another id"
    if id in common.checks or id in common.facts:
        return f"{quoted(id)} is a check or fact that all trees share; take another id"
    owner = next(
        (name for names in (tree.events, tree.checks) for name, each in names.items() if id in each.was), None
    )
    if owner is not None:
        return f"{quoted(id)} is what {quoted(owner or 'faults')} was called before; take another id"
    return ""
