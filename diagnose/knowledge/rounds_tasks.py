"""The tasks of rounds: each read by its table, and every rule about one of them.

The safety rules are those of a tree: nobody takes tools under gas, mains, fuel or refrigerant, an owner not
under road or height either, and no text under gas or mains says to open, undo, bridge or probe something.
What is wrong under gas or mains is always left to somebody qualified, and what stays unused is always said.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from typing import cast

from diagnose.knowledge.card_fields import DATES
from diagnose.knowledge.common import NONE, Common
from diagnose.knowledge.form import Filled, Flaws, fill, wrong_id
from diagnose.knowledge.hazards import NO_OPENING, judge_texts, own_hazards, tools_forbidden
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import ListNode, MapNode, Node, Scalar
from diagnose.knowledge.tree_words import judge_facts
from diagnose.terms import Hands, Role
from diagnose.terms.rounds import Task, Verdict

MOST_TASKS = 200
"""Nobody goes round a vehicle with more, and no order of more is looked for."""


@dataclass(frozen=True, slots=True)
class Known:
    """What a task may name; `wants` is None where their file could not be read, so nothing is said of any."""

    common: Common
    trees: Collection[str]
    wants: Collection[str] | None
    causes_of: Callable[[str], Collection[str] | None] = lambda _: None
    """Tree -> its causes; None where nothing is known of them, so nothing is said of any."""


def read_tasks(root: MapNode, known: Known, fixed: Mapping[str, Task], flaws: Flaws) -> dict[str, Task]:
    """The tasks of one file by id, those with flaws too; `fixed` are those that it must leave as they are."""
    if len(root.pairs) > MOST_TASKS:
        flaws.at(root, f"the file holds {len(root.pairs)} tasks; {MOST_TASKS} are the most")
    tasks: dict[str, Task] = {}
    old: dict[str, Scalar] = {}
    live = {key.value for key, _ in root.pairs}
    for key, node in root.pairs[:MOST_TASKS]:
        wrong_id(key, flaws)
        filled = fill("task", node, key, f"task {quoted(key.value)}", flaws)
        if isinstance(node, MapNode):
            _judge(filled, key.value, known, flaws)
            _judge_old_ids(filled, live, old, flaws)
        task = tasks[key.value] = _built(filled, key, known.common, flaws)
        if key.value in fixed and not same(task, fixed[key.value]):
            text = f"task {quoted(key.value)} is there for safety in the shipped rounds and stays as it is"
            flaws.at(key, f"{text}; give yours another id")
    return tasks


def same(task: Task, other: Task) -> bool:
    """Whether two tasks say the same, wherever they stand; what they prevent is no part of that."""
    return replace(task, mark=None, prevents={}) == replace(other, mark=None, prevents={})


def _judge(filled: Filled, id: str, known: Known, flaws: Flaws) -> None:
    common, name = known.common, f"task {quoted(id)}"
    flaws.known(filled.scalar("at"), "at", common.places, "place")
    flaws.known(filled.scalar("refer"), "refer", common.referrals, "referral")
    judge_facts(filled, "for", common, flaws)
    for word in filled.scalars("opens"):
        flaws.known(word, "opens", known.trees, "tree")
    _judge_prevented(filled, known, flaws)
    for word in filled.scalars("dates"):
        flaws.known(word, "dates", DATES, "date", " of a vehicle's card")
    for word in filled.scalars("wants") if known.wants is not None else ():
        flaws.known(word, "wants", known.wants or (), "line", " of wants.yaml")
    hazards = own_hazards(filled, common, flaws) - {NONE}
    _judge_hands(filled, name, hazards, common, flaws)
    judge_texts(filled, ("what", "how", "must_not_use"), hazards, name, common, flaws)
    for item in filled.scalars("buy"):
        bought = Filled(item, keys={"buy": item}, nodes={"buy": item})
        judge_texts(bought, ("buy",), hazards, name, common, flaws)
    _judge_leaving(filled, name, hazards, common, flaws)


def _judge_prevented(filled: Filled, known: Known, flaws: Flaws) -> None:
    """The trees that a task names under `prevents` are there, and have those causes."""
    for tree, causes in filled.pairs("prevents"):
        flaws.known(tree, "prevents", known.trees, "tree")
        held = known.causes_of(tree.value) if tree.value in known.trees else None
        for cause in causes.items if isinstance(causes, ListNode) and held is not None else ():
            if isinstance(cause, Scalar):
                flaws.known(cause, "prevents", held or (), "cause", f" of tree {quoted(tree.value)}")


def _judge_hands(filled: Filled, name: str, hazards: Collection[str], common: Common, flaws: Flaws) -> None:
    by = filled.text("by", "owner")
    forbidden = tools_forbidden(hazards, by, filled.text("hands", "look"))
    if forbidden:
        who = "an owner" if by == "owner" else "a technician"
        text = f"{name} lets {who} use tools on {forbidden}; leave it out, or find it by look or controls"
        flaws.at(filled.key("hands"), text)


def _judge_leaving(filled: Filled, name: str, hazards: Collection[str], common: Common, flaws: Flaws) -> None:
    """Under gas and mains it is said who is called, and what stays unused until then."""
    under = [hazard for hazard in NO_OPENING if hazard in hazards]
    if not under:
        return
    qualified = [common.hazards[hazard].referral or "" for hazard in under]
    for key in ("refer", "must_not_use"):
        if key not in filled:
            such = f"; write refer: {qualified[0]}" if key == "refer" else ""
            flaws.at(filled.at, f"{name} is under {' and '.join(under)} and lacks {key}{such}")
    word = filled.scalar("refer")
    if word is not None and word.value in common.referrals and word.value not in qualified:
        text = f"{name} is under {' and '.join(under)} and refers to {quoted(word.value)}"
        flaws.at(word, f"{text}; write {' or '.join(qualified)}")


def _judge_old_ids(filled: Filled, live: Collection[str], old: dict[str, Scalar], flaws: Flaws) -> None:
    """No old id is in use, or claimed twice."""
    for word in filled.scalars("was"):
        if word.value in live:
            flaws.at(word, f"was names {quoted(word.value)}, which is in use here")
        elif word.value in old:
            first = old[word.value].line
            flaws.at(word, f"was names {quoted(word.value)}, which is claimed already on line {first}")
        else:
            old[word.value] = word


def _built(filled: Filled, key: Scalar, common: Common, flaws: Flaws) -> Task:
    return Task(
        key.value,
        filled.text("what"),
        filled.text("how"),
        filled.text("at"),
        cast(Hands, filled.text("hands", "look")),
        cast(Role, filled.text("by", "owner")),
        filled.number("minutes"),
        filled.number("wait"),
        filled.number("price"),
        frozenset(filled.texts("hazard")) & common.hazards.keys() - {NONE},
        filled.texts("wants"),
        _answers(filled.pairs("for")),
        filled.texts("opens"),
        filled.text("refer") or None,
        filled.texts("dates"),
        filled.truth("safety"),
        cast(Verdict, filled.text("if_wrong", "limited")),
        filled.text("must_not_use"),
        filled.text("part") or None,
        filled.texts("needs"),
        filled.texts("buy"),
        filled.texts("was"),
        flaws.mark(key),
        _answers(filled.pairs("prevents")),
    )


def _answers(pairs: Collection[tuple[Scalar, Node]]) -> Mapping[str, frozenset[str]]:
    return {
        fact.value: frozenset(item.value for item in answers.items if isinstance(item, Scalar))
        for fact, answers in pairs
        if isinstance(answers, ListNode)
    }
