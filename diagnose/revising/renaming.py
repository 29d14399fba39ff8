"""Another id for a cause, a check or an event, everywhere in its tree, with the old one kept in `was`.

Past cases stand under the ids that were right when they were confirmed; `was` leads them to the new one, so
nothing that was learned is lost, however often a thing is renamed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from diagnose.knowledge.common import Common
from diagnose.knowledge.fields import GATES
from diagnose.knowledge.ids import nearest, quoted, why_no_id
from diagnose.knowledge.loading import read_tree
from diagnose.knowledge.nodes import ListNode, MapNode, Node, Scalar
from diagnose.knowledge.plain_yaml import read_mapping
from diagnose.revising.splicing import Append, Change, Path, Put, Rename, Replace, changed
from diagnose.terms import TOP, DiagnoseError, FlawedKnowledge, Tree

Kind = Literal["cause", "event", "check"]


class CannotRename(DiagnoseError):
    """The old id is none of this tree, or the new one cannot be taken."""


def renamed(text: str, tree: Tree, old: str, new: str, common: Common) -> str:
    """The tree's text with the id changed wherever it stands; nothing else changes.

    Raises CannotRename with what to write instead, and CannotSplice where the layout leaves no place.
    """
    kind = kind_of(tree, old, common)
    _refuse_taken(tree, new, old, common)
    root = read_mapping(text, tree.file)
    changes = tuple(_changes(root, kind, old, new))
    after = changed(text, changes, tree.file)
    again, flaws = read_tree(after, tree.file, common, id=tree.id, shipped=tree.shipped)
    if again is None:
        raise FlawedKnowledge(flaws)
    return after


def kind_of(tree: Tree, id: str, common: Common) -> Kind:
    """What an id stands for in the tree; raises CannotRename where it is nothing that can be renamed."""
    if id in tree.events and id in tree.checks:
        raise CannotRename(
            f"{quoted(id)} is an event and a check, which are two things; rename one of them in the file"
        )
    if id in tree.events and id != TOP:
        return "cause" if tree.events[id].gate is None else "event"
    if id in tree.checks:
        if _common_check(tree, id, common):
            raise CannotRename(f"{quoted(id)} is shared by all trees, and cannot be renamed in one of them")
        return "check"
    if id in common.checks or id in common.facts:
        raise CannotRename(f"{quoted(id)} is shared by all trees, and cannot be renamed in one of them")
    now = {was: name for name, each in _named(tree).items() for was in each}
    if id in now:
        raise CannotRename(f"{quoted(id)} was renamed before; it is {quoted(now[id])} now")
    meant = nearest(id, _named(tree))
    like = f' (did you mean "{meant}"?)' if meant else ""
    raise CannotRename(f"{quoted(id)} is no cause, check or event of {tree.id}{like}")


def _common_check(tree: Tree, id: str, common: Common) -> bool:
    """Whether the check is one of the common files, and not one of the tree's own under the same name."""
    if tree.checks[id].fact or tree.checks[id].fixed:
        return True
    shared = common.checks.get(id)
    return shared is not None and shared.ask == tree.checks[id].ask


def _named(tree: Tree) -> Mapping[str, tuple[str, ...]]:
    """Every id of the tree -> what it was before."""
    events = {id: event.was for id, event in tree.events.items() if id != TOP}
    return events | {id: check.was for id, check in tree.checks.items()}


def _refuse_taken(tree: Tree, new: str, old: str, common: Common) -> None:
    """Raises where the new id is no id, stands for something here, or belongs to something's past."""
    if new == old:
        raise CannotRename(f"{quoted(old)} is its name already")
    reason = why_no_id(new)
    if reason:
        raise CannotRename(f"{quoted(new)} {reason}")
    if new in common.checks or new in common.facts:
        raise CannotRename(f"{quoted(new)} is a check or fact that all trees share; take another id")
    for id, was in {**_named(tree), TOP: tree.events[TOP].was}.items():
        if id == new:
            kind = "a check" if id in tree.checks else "a cause" if not tree.events[id].gate else "an event"
            raise CannotRename(f"{quoted(new)} is {kind} of {tree.id} already; take another id")
        if new in was and id != old:
            raise CannotRename(
                f"{quoted(new)} is what {quoted(id or 'faults')} was called before; "
                "its past cases would go over; take another id"
            )


def _changes(root: MapNode, kind: Kind, old: str, new: str) -> Iterator[Change]:
    checks = root.get("checks")
    if kind == "check":
        yield from _definition(checks, ("checks",), old, new)
        first = root.get("ask_first")
        for place, item in enumerate(first.items if isinstance(first, ListNode) else ()):
            if isinstance(item, Scalar) and item.value == old:
                yield Replace(("ask_first", place), new)
        return
    yield from _in_faults(root.get("faults"), ("faults",), old, new)
    for key, check in checks.pairs if isinstance(checks, MapNode) else ():
        expect = check.get("expect") if isinstance(check, MapNode) else None
        if isinstance(expect, MapNode) and expect.get(old) is not None:
            yield Rename(("checks", key.value, "expect", old), new)


def _in_faults(node: Node | None, path: Path, old: str, new: str) -> Iterator[Change]:
    """The definition and every reference below one event."""
    for gate in GATES:
        inputs = node.get(gate) if isinstance(node, MapNode) else None
        for key, body in inputs.pairs if isinstance(inputs, MapNode) else ():
            here = (*path, gate, key.value)
            if key.value == old and isinstance(body, MapNode) and body.pairs:
                yield from _definition(inputs, (*path, gate), old, new)
            elif key.value == old:
                yield Rename(here, new)
            yield from _in_faults(body, here, old, new)


def _definition(holder: Node | None, path: Path, old: str, new: str) -> Iterator[Change]:
    """The key under which a thing is defined, and its past with the old id in it (and without the new)."""
    yield Rename((*path, old), new)
    body = holder.get(old) if isinstance(holder, MapNode) else None
    if not isinstance(body, MapNode):
        return
    here = (*path, old)
    remedy = body.get("remedy")
    if isinstance(remedy, MapNode) and new in _ids(remedy.get("was")):
        yield Replace((*here, "remedy", "was"), [id for id in _ids(remedy.get("was")) if id != new])
    was = body.get("was")
    ids = _ids(was)
    if was is None:
        yield Put(here, "was", old)
    elif new in ids:
        kept = [id for id in ids if id != new]
        yield Replace((*here, "was"), [*kept, old] if kept else old)
    else:
        yield Append((*here, "was"), old)


def _ids(node: Node | None) -> list[str]:
    if isinstance(node, ListNode):
        return [item.value for item in node.items if isinstance(item, Scalar)]
    return [node.value] if isinstance(node, Scalar) and not node.null else []
