"""Facts added to the text of a vehicle's card, every other character of it left as it is.

Only where that is plain: a block of facts with one on each line, or no facts at all. What comes out is read
again, and counts only if it holds what the card held and the new facts, and nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from diagnose.knowledge.card import VehicleCard, holds_nothing, read_card
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.nodes import MapNode, Node, Scalar
from diagnose.knowledge.plain_yaml import compose
from diagnose.terms import Finding, FlawedKnowledge

_TEXTS_THAT_LOOK_ELSE = frozenset({"yes", "no", "on", "off", "true", "false", "null", "y", "n"})


def fact_lines(facts: Sequence[Finding]) -> tuple[str, ...]:
    """The facts as lines of a card, without indentation."""
    return tuple(f"{fact.check}: {_value(fact)}" for fact in facts)


def _value(fact: Finding) -> str:
    if fact.value is not None:
        return f"{fact.value:g}"
    answer = fact.answer or ""
    return f'"{answer}"' if answer in _TEXTS_THAT_LOOK_ELSE else answer


def with_facts(text: str, facts: Sequence[Finding], words: CardWords, today: date) -> str | None:
    """The card's text with the facts added; None where that cannot be done without touching anything else."""
    added = _spliced(text, fact_lines(facts))
    if added is None:
        return None
    try:
        before, after = read_card(text, "", words, today), read_card(added, "", words, today)
    except FlawedKnowledge:
        return None
    return added if after == _joined(before, facts, words, after) else None


def _joined(
    before: VehicleCard, facts: Sequence[Finding], words: CardWords, after: VehicleCard
) -> VehicleCard:
    """What the card has to hold now; a reading's doubt is the fact's own on a card."""
    known: Mapping[str, Finding] = {fact.check: fact for fact in before.facts}
    fresh = {fact.check: fact for fact in facts}
    told = {fact.check: fact for fact in after.facts}
    for id, fact in fresh.items():
        read = told.get(id)
        if id in known or read is None or (read.answer, read.value) != (fact.answer, fact.value):
            return replace(before, file="not the same")
    joined = {**known, **{id: told[id] for id in fresh}}
    order = [id for id in words.facts if id in joined]
    # The place of a warning may have moved down; that it is the same warning is enough.
    moved = [advice.name for advice in before.advice] == [advice.name for advice in after.advice]
    return replace(
        before,
        facts=tuple(joined[id] for id in order),
        advice=after.advice if moved else before.advice,
    )


def _spliced(text: str, lines: Sequence[str]) -> str | None:
    ending = "\r\n" if "\r\n" in text else "\n"
    rows = text.split(ending)
    if holds_nothing(text):
        return _at_the_end(text, lines, ending)
    root, flaws = compose(text, "")
    if root is None or flaws or _in_brackets(rows, root):
        return None
    key = next((key for key, _ in root.pairs if key.value == "facts"), None)
    if key is None:
        return _at_the_end(text, lines, ending)
    facts = root.get("facts")
    if not isinstance(facts, MapNode) or not facts.pairs or facts.line == key.line:
        return None
    last, value = facts.pairs[-1]
    if not isinstance(value, Scalar) or value.line != last.line:
        return None
    indent = " " * (last.column - 1)
    return ending.join([*rows[: last.line], *(indent + line for line in lines), *rows[last.line :]])


def _in_brackets(rows: Sequence[str], root: Node) -> bool:
    return rows[root.line - 1][root.column - 1 : root.column] == "{"


def _at_the_end(text: str, lines: Sequence[str], ending: str) -> str:
    gap = "" if not text or text.endswith(("\n", "\r")) else ending
    return text + gap + ending.join(["facts:", *(f"  {line}" for line in lines)]) + ending
