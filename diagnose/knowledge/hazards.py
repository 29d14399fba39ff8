"""The hazard rules: what each event, check and remedy carries, and what may not be written there.

An event has its own hazards and those of every event above it at any place. Nobody here uses tools under gas,
mains, fuel or refrigerant, an owner not under road or height either; and no text under gas or mains may hold
a word of opening, undoing, bridging or probing. A remedy stands under all hazards of every cut set that its
cause belongs to, since all causes of a cut set are put right in one step.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from diagnose.knowledge.common import NONE, Common
from diagnose.knowledge.cut_sets import inputs_first
from diagnose.knowledge.faults import DraftEvent, DraftFaults
from diagnose.knowledge.form import Filled, Flaws
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.wording import first_word
from diagnose.terms import TOP, Referral

NO_TOOLS = ("gas", "mains", "fuel", "refrigerant")
"""Hazards under which nobody who uses this program takes a tool."""
NO_TOOLS_FOR_OWNERS = ("road", "height")
NO_OPENING = ("gas", "mains")
"""Hazards whose `refused` words no text may hold."""


@dataclass(slots=True)
class EventHazards:
    """What every event carries; `none` is left out of the sets, `said` tells whose cause has said any."""

    own: dict[str, frozenset[str]] = field(default_factory=dict)
    all: dict[str, frozenset[str]] = field(default_factory=dict)
    above: dict[str, frozenset[str]] = field(default_factory=dict)
    said: dict[str, bool] = field(default_factory=dict)


def own_hazards(filled: Filled, common: Common, flaws: Flaws) -> frozenset[str]:
    """The hazards that a mapping says, `none` among them; unknown ones are noted."""
    words = filled.scalars("hazard")
    for word in words:
        if word.value not in common.hazards:
            text = f"hazard names {quoted(word.value)}, which is not known"
            flaws.at(word, text, flaws.nearest(word.value, common.hazards))
        elif word.value == NONE and len(words) > 1:
            flaws.at(word, "hazard names none beside others; none stands alone")
    return frozenset(word.value for word in words if word.value in common.hazards)


def event_hazards(faults: DraftFaults, common: Common, flaws: Flaws) -> EventHazards:
    """Own and inherited hazards of every event; a cause without any is a flaw."""
    found = EventHazards()
    said_here = {}
    for event in faults.events.values():
        own = own_hazards(event.filled, common, flaws)
        said_here[event.id] = "hazard" in event.filled
        found.own[event.id] = own - {NONE}
        found.all[event.id] = found.own[event.id]
        found.above[event.id] = frozenset()
        found.said[event.id] = said_here[event.id]
    if not faults.sound:
        return found
    for id in reversed(inputs_first(faults.gates(), TOP)):  # each event before its inputs
        for one in faults.events[id].input_ids():
            found.all[one] |= found.all[id]
            found.above[one] |= found.above[id] | ({id} - {TOP})
            found.said[one] |= found.said[id]
    for cause in faults.causes():
        if not found.said[cause.id]:
            text = f"cause {quoted(cause.id)} has no hazard, neither its own nor from above"
            text += "; write hazard: none if nothing can hurt"
            flaws.at(cause.key, text)
    return found


def put_right_together(faults: DraftFaults, cut_sets: Iterable[tuple[str, ...]]) -> dict[str, frozenset[str]]:
    """For every cause the causes that are put right with it, itself among them."""
    joined = {cause.id: frozenset({cause.id}) for cause in faults.causes()}
    for causes in cut_sets:
        if len(causes) > 1:
            for cause in causes:
                joined[cause] |= frozenset(causes)
    return joined


def judge_remedy(
    cause: DraftEvent,
    carried: Mapping[str, frozenset[str]],
    mates: Collection[str],
    common: Common,
    referrals: Mapping[str, Referral],
    flaws: Flaws,
) -> None:
    """The rules for one remedy; `carried` are the hazards of each cause with those of its remedy.

    `mates` are the causes that are put right with this one.
    """
    if cause.remedy is None:
        return
    filled, name = cause.remedy.filled, f"remedy of {quoted(cause.id)}"
    own = carried[cause.id]
    hazards = frozenset().union(own, *(carried[mate] for mate in mates))
    source = {
        hazard: "" if hazard in own else next(mate for mate in mates if hazard in carried[mate])
        for hazard in hazards
    }
    if cause.remedy.kind == "refer":
        _judge_referral(cause, hazards, name, common, referrals, flaws)
    by, hands = filled.text("by", "owner"), filled.text("hands", "look")
    forbidden = tools_forbidden(hazards, by, hands)
    if forbidden:
        hazard = common.hazards.get(forbidden)
        referral = (hazard.referral if hazard else None) or "workshop"
        who = "an owner" if by == "owner" else "a technician"
        through = (
            f", which {quoted(source[forbidden])} brings into their cut set" if source[forbidden] else ""
        )
        flaws.at(
            filled.key("hands"),
            f"{name} lets {who} use tools on {forbidden}{through}; write {{refer: {referral}}}",
        )
    judge_texts(filled, ("do", "how"), hazards, name, common, flaws)


def _judge_referral(
    cause: DraftEvent,
    hazards: frozenset[str],
    name: str,
    common: Common,
    referrals: Mapping[str, Referral],
    flaws: Flaws,
) -> None:
    word = cause.remedy.filled.scalar("refer") if cause.remedy else None
    under = next((hazard for hazard in NO_OPENING if hazard in hazards), "")
    if word is not None and under and word.value in referrals and not referrals[word.value].fixed:
        hazard = common.hazards.get(under)
        instead = (hazard.referral if hazard else None) or "gas-engineer"
        text = f"{name} is under {under} and refers to {quoted(word.value)}, which is not fixed"
        flaws.at(word, f"{text}; write {instead}")


def tools_forbidden(hazards: Collection[str], by: str, hands: str) -> str:
    """The hazard that forbids tools here, "" if none does."""
    if hands != "tools":
        return ""
    barred = (*NO_TOOLS, *NO_TOOLS_FOR_OWNERS) if by == "owner" else NO_TOOLS
    return next((hazard for hazard in barred if hazard in hazards), "")


def judge_check(
    filled: Filled, name: str, hazards: frozenset[str], named: frozenset[str], common: Common, flaws: Flaws
) -> None:
    """The rules for a check: no tools under its hazards, no refused words under those or the `named` ones.

    A check that only looks carries no hazard of the events it names, yet a text that tells somebody to open
    something there is no mere look.
    """
    by, hands = filled.text("by", "owner"), filled.text("hands", "look")
    forbidden = tools_forbidden(hazards, by, hands)
    if forbidden:
        who = "an owner" if by == "owner" else "a technician"
        text = f"{name} lets {who} use tools on {forbidden}; leave it out, or find one by look or controls"
        flaws.at(filled.key("hands"), text)
    judge_texts(filled, ("ask", "how"), hazards | named, name, common, flaws)


def judge_texts(
    filled: Filled, keys: Iterable[str], hazards: Collection[str], name: str, common: Common, flaws: Flaws
) -> None:
    """Note the first refused word of each text, at its key."""
    for key in keys:
        text = filled.text(key)
        for hazard in NO_OPENING:
            if not text or hazard not in hazards or hazard not in common.hazards:
                continue
            word = first_word(text, common.hazards[hazard].refused)
            if word:
                flaws.at(
                    filled.key(key), f"{key} of {name} says {quoted(word)}, which is refused under {hazard}"
                )
                break
