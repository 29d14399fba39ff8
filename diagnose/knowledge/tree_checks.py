"""The checks of one tree: its own, those of the common files, facts, and the order of `ask_first`."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from diagnose.knowledge.advising import Advices, advise_on_texts
from diagnose.knowledge.checks import OTHERWISE, read_check, read_expect
from diagnose.knowledge.common import NONE, Common
from diagnose.knowledge.faults import DraftFaults
from diagnose.knowledge.form import Filled, Flaws, fill, wrong_id
from diagnose.knowledge.hazards import EventHazards, judge_check, own_hazards
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import MapNode, Node, Scalar
from diagnose.terms import TOP, Check

FIRST_UNDER: Mapping[str, tuple[str, ...]] = {
    "gas": ("smell-of-gas", "co-alarm"),
    "mains": ("mains-harmed",),
    "high-current": ("battery-harmed",),
}
"""Checks that `ask_first` has to hold once a hazard occurs anywhere; those of gas begin it."""


@dataclass(slots=True)
class Surroundings:
    """What a check may name: events, referrals and places, and the hazards that events bring."""

    common: Common
    faults: DraftFaults
    hazards: EventHazards
    referrals: Collection[str]
    places: Collection[str]
    flaws: Flaws
    advices: Advices

    def events(self) -> Collection[str] | None:
        """What `expect` may name; None where the faults could not be read at all."""
        return [id for id in self.faults.events if id != TOP] or None

    def known(self, word: Scalar | None, key: str, known: Collection[str], what: str) -> None:
        """Note a word that names nothing."""
        self.flaws.known(word, key, known, what)

    def named_hazards(self, expect: Mapping[str, object]) -> frozenset[str]:
        """The hazards of every event that an `expect` names."""
        return frozenset().union(*(self.hazards.all[id] for id in expect if id in self.hazards.all))


def read_checks(tree: Filled, around: Surroundings) -> dict[str, Check]:
    """The checks under `checks:`, in file order."""
    checks: dict[str, Check] = {}
    for key, node in tree.pairs("checks"):
        check = _one(key, node, around)
        if check is not None:
            checks[key.value] = check
        event = around.faults.events.get(key.value)
        if event is not None and event.gate is None:
            around.flaws.at(
                key, f"{quoted(key.value)} is a cause (line {event.key.line}); give the check another id"
            )
    asked_facts = {fact.value for fact, _ in tree.pairs("applies_to")} & around.common.facts.keys()
    for cause in around.faults.causes():
        shared = around.common.checks.get(cause.id)
        if (shared is not None and shared.fixed) or cause.id in asked_facts:
            kind = "fact" if cause.id in around.common.facts else "check"
            around.flaws.at(
                cause.key, f"{quoted(cause.id)} is a {kind} of the common files; give the cause another id"
            )
    return checks


def _one(key: Scalar, node: Node, around: Surroundings) -> Check | None:
    wrong_id(key, around.flaws)
    shared = around.common.facts.get(key.value) or around.common.checks.get(key.value)
    keys = [name for name, _ in node.pairs] if isinstance(node, MapNode) else []
    others = [name for name in keys if name.value != "expect"]
    if shared is not None and (shared.fixed or shared.fact or not others):
        return _shared(shared, key, node, others, around)
    if keys and not others:
        known = [*around.common.facts, *around.common.checks]
        text = f"check {quoted(key.value)} has expect alone and is no check or fact of the common files"
        around.flaws.at(key, text, around.flaws.nearest(key.value, known))
        return None
    name = f"check {quoted(key.value)}"
    filled = fill("check", node, key, name, around.flaws, extra="do remedy")
    return _own(filled, key, name, around) if isinstance(node, MapNode) else None


def _shared(shared: Check, key: Scalar, node: Node, others: list[Scalar], around: Surroundings) -> Check:
    """A check or fact of the common files, of which a tree may say what it expects and nothing else."""
    kind = "fact" if shared.fact else "fixed check" if shared.fixed else "common check"
    name = f"{kind} {quoted(key.value)}"
    for other in others:
        around.flaws.at(other, f"{name} cannot be redefined; a tree gives it expect alone")
    pairs = [pair for pair in node.pairs if pair[0].value == "expect"] if isinstance(node, MapNode) else []
    body = MapNode(node.line, node.column, pairs) if isinstance(node, MapNode) else node
    filled = fill("expectation", body, key, name, around.flaws)
    expect = read_expect(filled, shared.answer_ids(), around.events(), name, around.flaws)
    if shared.fixed and OTHERWISE in expect and expect[OTHERWISE] != shared.expect.get(OTHERWISE):
        at = next(key for key, _ in filled.pairs("expect") if key.value == OTHERWISE)
        around.flaws.at(at, f"otherwise of {name} cannot be redefined; leave it out")
    hazards = shared.hazards
    if shared.hands != "look":
        hazards |= around.named_hazards(expect)
    judged = Filled(key, nodes={"ask": _text(shared.ask, key), "how": _text(shared.how, key)})
    judged.nodes |= {"hands": _text(shared.hands, key), "by": _text(shared.by, key)}
    judge_check(judged, name, hazards, frozenset(), around.common, around.flaws)
    return replace(shared, expect={**shared.expect, **expect}, hazards=hazards, mark=around.flaws.mark(key))


def _text(text: str, key: Scalar) -> Scalar:
    return Scalar(text, key.line, key.column, plain=False)


def _own(filled: Filled, key: Scalar, name: str, around: Surroundings) -> Check:
    check = read_check(filled, key.value, name, around.flaws)
    around.known(filled.scalar("refer"), "refer", around.referrals, "referral")
    around.known(filled.scalar("at"), "at", around.places, "place")
    expect = read_expect(filled, check.answer_ids(), around.events(), name, around.flaws)
    own = own_hazards(filled, around.common, around.flaws) - {NONE}
    named = around.named_hazards(expect)
    hazards = own if check.hands == "look" else own | named
    judge_check(filled, name, hazards, named, around.common, around.flaws)
    advise_on_texts((check.ask, check.how), own | named, name, key, around.common, around.advices)
    return replace(check, expect=expect, hazards=hazards)


def read_ask_first(
    tree: Filled, checks: Mapping[str, Check], occurring: Collection[str], around: Surroundings
) -> tuple[str, ...]:
    """The ids of `ask_first` in order, every rule about them judged.

    `occurring` are the hazards that occur anywhere in the tree.
    """
    flaws, words = around.flaws, tree.scalars("ask_first")
    ids = tuple(dict.fromkeys(word.value for word in words))
    wanted = {hazard: FIRST_UNDER[hazard] for hazard in FIRST_UNDER if hazard in occurring}
    needed = tuple(id for hazard in wanted for id in wanted[hazard])
    if "ask_first" not in tree:
        if needed:
            text = f"tree lacks ask_first, which {' and '.join(wanted)} need{'s' if len(wanted) == 1 else ''}"
            flaws.at(tree.at, f"{text}; write ask_first: [{', '.join(needed)}]")
        return ids
    if "ask_first" not in tree.nodes:
        return ids
    for hazard, first in wanted.items():
        missing = [id for id in first if id not in ids]
        if missing:
            flaws.at(tree.key("ask_first"), f"ask_first lacks {' and '.join(missing)}, which {hazard} needs")
        elif hazard == "gas" and ids[: len(first)] != first:
            flaws.at(
                tree.key("ask_first"),
                f"ask_first has to begin with {', '.join(first)}, since gas occurs here",
            )
    for place, word in enumerate(words):
        _judge_first(word, checks, [id for id in ids[place + 1 :] if id in needed], around)
    return ids


def _judge_first(
    word: Scalar,
    checks: Mapping[str, Check],
    after: Collection[str],
    around: Surroundings,
) -> None:
    """One item of `ask_first`; `after` are needed ones that stand behind it."""
    flaws, id = around.flaws, word.value
    if id in around.common.facts:
        flaws.at(word, f"ask_first names {quoted(id)}, which is a fact; facts are answered ahead")
        return
    check = checks.get(id) or around.common.checks.get(id)
    if check is None:
        known = [*checks, *around.common.checks]
        flaws.at(word, f"ask_first names {quoted(id)}, which is no check here", flaws.nearest(id, known))
        return
    if not check.stop_on:
        flaws.at(word, f"ask_first names {quoted(id)}, which has no stop_on, so it cannot stop a walk")
    if check.by != "owner":
        flaws.at(word, f"ask_first names {quoted(id)}, which is not by: owner; everybody is asked these")
    if after and not any(id in first for first in FIRST_UNDER.values()):
        flaws.at(word, f"ask_first has {quoted(id)} before {', '.join(after)}; further checks come after")


def in_order(ask_first: Collection[str], checks: Mapping[str, Check], common: Common) -> dict[str, Check]:
    """All checks of a tree: those asked first in their order, then the others in file order."""
    first = {
        id: checks.get(id) or common.checks[id] for id in ask_first if id in checks or id in common.checks
    }
    return {**first, **{id: check for id, check in checks.items() if id not in first}}
