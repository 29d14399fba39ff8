"""One tree file: from its text to a checked `Tree`, or to every flaw that it has.

The parts are read in the order in which they rest on each other; each notes what is wrong and hands on what
is right, so that one mistake is told once and hides no other.
"""

from __future__ import annotations

import hashlib
from collections.abc import Container
from pathlib import Path

from diagnose.knowledge.advising import (
    Advices,
    advise_on_accept,
    advise_on_causes,
    advise_on_see,
    advise_on_shares,
)
from diagnose.knowledge.building import TreeParts, build_tree
from diagnose.knowledge.common import NONE, Common
from diagnose.knowledge.cut_sets import TooManyCutSets
from diagnose.knowledge.faults import DraftFaults, no_faults, read_faults
from diagnose.knowledge.form import Filled, Flaws, fill
from diagnose.knowledge.hazards import (
    EventHazards,
    event_hazards,
    judge_remedy,
    judge_texts,
    own_hazards,
    put_right_together,
)
from diagnose.knowledge.ids import as_id, quoted, why_no_id
from diagnose.knowledge.plain_yaml import compose, read_bytes
from diagnose.knowledge.shares import CutSets, causes_without_share, cut_sets_of
from diagnose.knowledge.tree_checks import Surroundings, in_order, read_ask_first, read_checks
from diagnose.knowledge.tree_words import (
    judge_old_ids,
    judge_remedy_words,
    judge_words,
    read_cured_when,
    read_words,
)
from diagnose.terms import TOP, Flaw, FlawedKnowledge, Tree


def load_tree(
    path: Path,
    common: Common,
    *,
    file: str | None = None,
    shipped: bool = False,
    known: Container[str] | None = None,
) -> Tree:
    """The tree in a file; raises FlawedKnowledge with all its flaws.

    `file` is how the file is called in messages; `known` are the ids of the trees that a remedy may see
    (None: not told, so nothing is said of any).
    """
    shown = file if file is not None else str(path)
    tree, flaws = read_tree(
        read_bytes(path, shown), shown, common, id=path.stem, shipped=shipped, known=known
    )
    if tree is None:
        raise FlawedKnowledge(flaws)
    return tree


def read_tree(
    text: str | bytes,
    file: str,
    common: Common,
    *,
    id: str,
    shipped: bool = False,
    known: Container[str] | None = None,
) -> tuple[Tree | None, tuple[Flaw, ...]]:
    """The tree that a text holds, or None and all its flaws, sorted by place; never raises."""
    root, found = compose(text, file)
    flaws = Flaws(file, list(found))
    if why_no_id(id):
        flaws.found.append(Flaw(file, 1, 1, f"the file's name {quoted(id)} {why_no_id(id)}", as_id(id)))
    if root is None:
        return None, flaws.sorted()
    filled = fill("tree", root, root, "tree", flaws)
    advices = Advices(file, frozenset(key.value for key, _ in filled.pairs("accept")))
    parts = _read_parts(filled, id, common, flaws, advices)
    if flaws.found or parts is None:
        return None, flaws.sorted()
    _advise(parts, known, common, advices)
    data = text.encode() if isinstance(text, str) else text
    digest = hashlib.sha256(data).hexdigest()
    return build_tree(parts, id, file, digest, shipped, common, advices.sorted()), ()


def _read_parts(filled: Filled, id: str, common: Common, flaws: Flaws, advices: Advices) -> TreeParts | None:
    """Everything that the tree is built from; None where the fault tree cannot be made out."""
    words = read_words(filled, common, flaws)
    judge_words(filled, words, common, flaws)
    cured_when, cured_keys = read_cured_when(filled, flaws)
    node = filled.nodes.get("faults")
    faults = read_faults(node, filled.key("faults"), flaws) if node is not None else no_faults(filled.at)
    hazards = event_hazards(faults, common, flaws)
    carried = _carried(faults, hazards, common, flaws)
    cut_sets = _cut_sets(faults, flaws)
    judge_remedy_words(faults, id, words, flaws)
    joined = put_right_together(faults, cut_sets.top if cut_sets else ())
    for cause in faults.causes():
        judge_remedy(cause, carried, joined[cause.id], common, words.referrals, flaws)
    judge_texts(cured_keys, ("ask",), hazards.own[TOP], "cured_when", common, flaws)
    around = Surroundings(common, faults, hazards, words.referrals, words.places, flaws, advices)
    checks = read_checks(filled, around)
    occurring = frozenset[str]().union(
        *hazards.all.values(), *carried.values(), *(check.hazards for check in checks.values())
    )
    ask_first = read_ask_first(filled, checks, occurring, around)
    judge_old_ids(faults, {*checks, *ask_first}, filled, flaws)
    if cut_sets is None:
        return None
    return TreeParts(
        filled, words, cured_when, faults, hazards, carried, cut_sets,
        in_order(ask_first, checks, common), ask_first, occurring,
    )  # fmt: skip


def _carried(
    faults: DraftFaults, hazards: EventHazards, common: Common, flaws: Flaws
) -> dict[str, frozenset[str]]:
    """The hazards of every cause together with those that its remedy says itself."""
    carried = {}
    for cause in faults.causes():
        own = own_hazards(cause.remedy.filled, common, flaws) - {NONE} if cause.remedy else frozenset[str]()
        carried[cause.id] = hazards.all[cause.id] | own
    return carried


def _cut_sets(faults: DraftFaults, flaws: Flaws) -> CutSets | None:
    """The cut sets, with the causes that lack a share noted; None where they cannot be had."""
    if not faults.sound:
        return None
    try:
        cut_sets = cut_sets_of(faults)
    except TooManyCutSets as error:
        flaws.at(faults.events[error.gate].key, str(error))
        return None
    causes_without_share(faults, cut_sets, flaws)
    return cut_sets


def _advise(parts: TreeParts, known: Container[str] | None, common: Common, advices: Advices) -> None:
    advise_on_shares(parts.faults, parts.cut_sets, parts.hazards, parts.filled, advices)
    advise_on_causes(parts.faults, parts.carried, parts.hazards, common, advices)
    advise_on_see(parts.faults, known, advices)
    advise_on_accept(parts.filled, advices)
