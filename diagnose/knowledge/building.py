"""The frozen tree from its judged parts; nothing is checked here any more."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from diagnose.knowledge.common import NONE, Common
from diagnose.knowledge.faults import DraftEvent, DraftFaults
from diagnose.knowledge.form import Filled
from diagnose.knowledge.hazards import EventHazards
from diagnose.knowledge.nodes import ListNode, Scalar
from diagnose.knowledge.shares import CutSets
from diagnose.knowledge.tree_words import TreeWords
from diagnose.terms import TOP, Advice, Check, CuredWhen, Event, Mark, Remedy, Tree

TRIES_UNDER_GAS = 3
"""How often an appliance may be started in one walk of a tree with a gas hazard that does not say."""


@dataclass(frozen=True, slots=True)
class TreeParts:
    """What a tree is built from, every part read and judged."""

    filled: Filled
    words: TreeWords
    cured_when: CuredWhen
    faults: DraftFaults
    hazards: EventHazards
    carried: Mapping[str, frozenset[str]]
    """The hazards of every cause with those of its remedy."""
    cut_sets: CutSets
    checks: Mapping[str, Check]
    ask_first: tuple[str, ...]
    occurring: Collection[str]
    """Every hazard that occurs anywhere in the tree."""


def build_tree(
    parts: TreeParts,
    id: str,
    file: str,
    digest: str,
    shipped: bool,
    common: Common,
    advice: tuple[Advice, ...],
) -> Tree:
    """The tree as the other rooms take it."""
    filled = parts.filled
    tries: int | None = TRIES_UNDER_GAS if "gas" in parts.occurring else None
    if "tries" in filled:
        tries = int(filled.number("tries"))
    return Tree(
        id=id,
        file=file,
        digest=digest,
        symptom=filled.text("symptom"),
        system=filled.text("system"),
        refer_to=filled.text("refer_to"),
        cured_when=parts.cured_when,
        events={event.id: _event(event, parts, file) for event in parts.faults.events.values()},
        checks=parts.checks,
        cut_sets=parts.cut_sets.top,
        ask_first=parts.ask_first,
        also_said=filled.texts("also_said"),
        applies_to={fact.value: _items(node) for fact, node in filled.pairs("applies_to")},
        cautions=filled.texts("cautions"),
        tries=tries,
        strength=filled.number("strength", 20.0),
        not_listed=filled.number("not_listed", 5.0),
        referrals=parts.words.referrals,
        places=parts.words.places,
        caution_texts=parts.words.cautions,
        hazards=common.hazards,
        facts=common.facts,
        sources=filled.texts("sources"),
        accept={name.value: node.value for name, node in filled.pairs("accept") if isinstance(node, Scalar)},
        shipped=shipped,
        advice=advice,
        common_digest=common.digest,
    )


def _items(node: object) -> tuple[str, ...]:
    return (
        tuple(item.value for item in node.items if isinstance(item, Scalar))
        if isinstance(node, ListNode)
        else ()
    )


def _event(draft: DraftEvent, parts: TreeParts, file: str) -> Event:
    filled = draft.filled
    was = filled.texts("was") + (draft.remedy.filled.texts("was") if draft.remedy else ())
    return Event(
        id=draft.id,
        says=filled.text("says") if draft.id != TOP else parts.filled.text("symptom"),
        gate=draft.gate,
        inputs=draft.input_ids(),
        in_100=filled.number("in_100") if "in_100" in filled else None,
        remedy=_remedy(draft, parts, file),
        prevent=filled.text("prevent"),
        own_hazards=parts.hazards.own[draft.id],
        hazards=parts.hazards.all[draft.id],
        chain=draft.chain,
        above=parts.hazards.above[draft.id],
        was=was,
        mark=Mark(file, draft.key.line, draft.key.column),
    )


def _remedy(draft: DraftEvent, parts: TreeParts, file: str) -> Remedy | None:
    if draft.remedy is None:
        return None
    kind, filled = draft.remedy.kind, draft.remedy.filled
    return Remedy(
        kind=kind,  # type: ignore[arg-type]  # one of the three, as read
        text=filled.text(kind),
        by=filled.text("by", "owner"),  # type: ignore[arg-type]  # the field's words are those of Role
        hands=filled.text("hands", "look"),  # type: ignore[arg-type]  # and of Hands
        minutes=filled.number("minutes"),
        how=filled.text("how"),
        wait=filled.number("wait"),
        price=filled.number("price"),
        at=filled.text("at") or None,
        part=filled.text("part") or None,
        needs=filled.texts("needs"),
        cures=filled.number("cures", 1.0),
        restores_mains=filled.text("restores") == "mains",
        hazards=parts.carried[draft.id] - {NONE},
        mark=Mark(file, filled.at.line, filled.at.column),
    )
