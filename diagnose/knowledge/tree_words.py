"""What a tree says beside faults and checks: its own referrals, places and cautions, and what it names."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from typing import TypeVar

from diagnose.knowledge.common import Common, caution_of, place_of, referral_of
from diagnose.knowledge.faults import DraftFaults
from diagnose.knowledge.form import Filled, Flaws, fill, wrong_id
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import ListNode, MapNode, Scalar
from diagnose.terms import Caution, CuredWhen, Place, Referral

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class TreeWords:
    """Referrals, places and cautions that a tree may name: the common ones with its own."""

    referrals: Mapping[str, Referral]
    places: Mapping[str, Place]
    cautions: Mapping[str, Caution]


def read_words(tree: Filled, common: Common, flaws: Flaws) -> TreeWords:
    """A tree's own referrals, places and cautions beside the common ones, of which the fixed ones stay."""
    fixed_referrals = {id for id, referral in common.referrals.items() if referral.fixed}
    return TreeWords(
        _own(tree, "referrals", "referral", common.referrals, referral_of, fixed_referrals, flaws),
        _own(tree, "places", "place", common.places, place_of, (), flaws),
        _own(tree, "own_cautions", "caution", common.cautions, caution_of, common.cautions, flaws),
    )


def _own(
    tree: Filled,
    key: str,
    table: str,
    shared: Mapping[str, T],
    build: Callable[[str, Filled], T],
    fixed: Collection[str],
    flaws: Flaws,
) -> dict[str, T]:
    every = dict(shared)
    for id, node in tree.pairs(key):
        wrong_id(id, flaws)
        filled = fill(table, node, id, f"{table} {quoted(id.value)}", flaws)
        if id.value in fixed:
            flaws.at(
                id, f"{table} {quoted(id.value)} is fixed and cannot be redefined; give yours another id"
            )
        else:
            every[id.value] = build(id.value, filled)
    return every


def judge_words(tree: Filled, words: TreeWords, common: Common, flaws: Flaws) -> None:
    """System, referral, cautions and facts that a tree names are known."""
    flaws.known(tree.scalar("system"), "system", common.systems, "system")
    flaws.known(tree.scalar("refer_to"), "refer_to", words.referrals, "referral")
    for word in tree.scalars("cautions"):
        flaws.known(word, "cautions", words.cautions, "caution")
    judge_facts(tree, "applies_to", common, flaws)


def judge_facts(filled: Filled, key: str, common: Common, flaws: Flaws) -> None:
    """The facts that a key names are known, and so are their answers."""
    for fact, answers in filled.pairs(key):
        flaws.known(fact, key, common.facts, "fact")
        check = common.facts.get(fact.value)
        for answer in answers.items if isinstance(answers, ListNode) and check else ():
            if isinstance(answer, Scalar) and check and answer.value not in check.answer_ids():
                text = f"{key} names {quoted(answer.value)}, which is no answer of {quoted(fact.value)}"
                flaws.at(answer, text, flaws.nearest(answer.value, check.answer_ids()))


def judge_remedy_words(faults: DraftFaults, tree_id: str, words: TreeWords, flaws: Flaws) -> None:
    """Referrals and places that remedies name are known, and no remedy sees its own tree."""
    for cause in faults.causes():
        if cause.remedy is None:
            continue
        filled = cause.remedy.filled
        flaws.known(filled.scalar("refer"), "refer", words.referrals, "referral")
        flaws.known(filled.scalar("at"), "at", words.places, "place")
        see = filled.scalar("see")
        if see is not None and see.value == tree_id:
            flaws.at(see, f"remedy of {quoted(cause.id)} sees this very tree")


def read_cured_when(tree: Filled, flaws: Flaws) -> tuple[CuredWhen, Filled]:
    """The question that has to be answered yes, and its mapping."""
    node = tree.nodes.get("cured_when")
    if node is None:
        return CuredWhen(""), Filled(tree.key("cured_when"))
    filled = fill("cured_when", node, tree.key("cured_when"), "cured_when", flaws)
    return CuredWhen(filled.text("ask"), filled.number("minutes")), filled


def judge_old_ids(faults: DraftFaults, checks: Collection[str], tree: Filled, flaws: Flaws) -> None:
    """No id under `was` is in use, or claimed twice."""
    live = {id for id in faults.events if id} | set(checks)
    claimed: dict[str, Scalar] = {}
    for word in _old_ids(faults, tree):
        if word.value in live:
            flaws.at(word, f"was names {quoted(word.value)}, which is in use in this tree")
        elif word.value in claimed:
            first = claimed[word.value].line
            flaws.at(word, f"was names {quoted(word.value)}, which is claimed already on line {first}")
        else:
            claimed[word.value] = word


def _old_ids(faults: DraftFaults, tree: Filled) -> list[Scalar]:
    """Every word under `was` in the file, by place."""
    words: list[Scalar] = []
    for event in faults.events.values():
        words += event.filled.scalars("was")
        if event.remedy is not None:
            words += event.remedy.filled.scalars("was")
    for _, node in tree.pairs("checks"):
        words += _was_of(node)
    return sorted(words, key=lambda word: (word.line, word.column))


def _was_of(node: object) -> list[Scalar]:
    """The old ids of a check, read straight from its mapping."""
    value = node.get("was") if isinstance(node, MapNode) else None
    if isinstance(value, Scalar):
        return [value] if value.text else []
    return [item for item in value.items if isinstance(item, Scalar)] if isinstance(value, ListNode) else []
