"""What a schema can say of safety: tools that a hazard forbids, referrals under it, and danger questions.

A hazard holds for all that stands below it, so each of these rules goes down the events by itself.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from diagnose.knowledge.common import NONE, Common
from diagnose.knowledge.fields import GATES
from diagnose.knowledge.hazards import NO_OPENING, NO_TOOLS, NO_TOOLS_FOR_OWNERS
from diagnose.knowledge.tree_checks import FIRST_UNDER

Schema = dict[str, Any]
_NO_TOOLS: Schema = {"properties": {"hands": {"enum": ["look", "controls"]}}}
_NO_OWNERS_TOOLS: Schema = {
    "not": {
        "required": ["by", "hands"],
        "properties": {"by": {"const": "owner"}, "hands": {"const": "tools"}},
    }
}


@dataclass(frozen=True, slots=True)
class SafetyRules:
    """`rules` of each table, which join its own, and the `parts` that they refer to."""

    rules: dict[str, list[Schema]]
    parts: dict[str, Schema]


def safety_rules(common: Common) -> SafetyRules:
    """The rules of section *What is refused* of the format that need no other place of the file."""
    fixed = [id for id, referral in common.referrals.items() if referral.fixed]
    only_fixed: Schema = {"properties": {"refer": {"enum": fixed}}}
    remedies = {
        "no-tools-below": (NO_TOOLS, _NO_TOOLS),
        "no-owners-tools-below": (NO_TOOLS_FOR_OWNERS, _NO_OWNERS_TOOLS),
        "fixed-referrals-below": (NO_OPENING, only_fixed),
    }
    parts = {name: _below(name, rule) for name, (_, rule) in remedies.items()}
    parts |= {f"{hazard}-occurs": _occurs(hazard) for hazard in FIRST_UNDER}
    alone = _if_hazard([NONE], {"properties": {"hazard": {"maxItems": 1}}})
    events = [alone, *(_if_hazard(hazards, _ref(name)) for name, (hazards, _) in remedies.items())]
    steps = [alone, _if_hazard(NO_TOOLS, _NO_TOOLS), _if_hazard(NO_TOOLS_FOR_OWNERS, _NO_OWNERS_TOOLS)]
    rules = dict.fromkeys(("faults", "event", "cause"), events)
    rules |= {"do remedy": steps, "check": steps}
    rules |= {"refer remedy": [alone, _if_hazard(NO_OPENING, only_fixed)], "see remedy": [alone]}
    rules["tree"] = [_asks_first(hazard, first) for hazard, first in FIRST_UNDER.items()]
    return SafetyRules({table: list(each) for table, each in rules.items()}, parts)


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _carries(hazards: Collection[str]) -> Schema:
    """One of the hazards is written here, alone or in a list."""
    words: Schema = {"enum": list(hazards)}
    return {
        "type": "object",
        "required": ["hazard"],
        "properties": {"hazard": {"anyOf": [words, {"type": "array", "contains": words}]}},
    }


def _if_hazard(hazards: Collection[str], rule: Schema) -> Schema:
    return {"if": _carries(hazards), "then": rule}


def _below(name: str, rule: Schema) -> Schema:
    """The rule holds for the remedy here and for all below."""
    inputs = {gate: {"additionalProperties": _ref(name)} for gate in GATES}
    return {"properties": {"remedy": rule, **inputs}}


def _some(value: Schema) -> Schema:
    """A mapping with at least one such value."""
    return {"type": "object", "not": {"additionalProperties": {"not": value}}}


def _occurs(hazard: str) -> Schema:
    """The hazard is written here, at the remedy, or somewhere below."""
    here = _carries([hazard])
    below = {gate: _some(_ref(f"{hazard}-occurs")) for gate in GATES} | {"remedy": here}
    inside = [{"required": [key], "properties": {key: schema}} for key, schema in below.items()]
    return {"type": "object", "anyOf": [here, *inside]}


def _asks_first(hazard: str, first: Collection[str]) -> Schema:
    """Once the hazard occurs anywhere, its danger questions are asked; those of gas begin."""
    anywhere = [
        {"required": ["faults"], "properties": {"faults": _ref(f"{hazard}-occurs")}},
        {"required": ["checks"], "properties": {"checks": _some(_carries([hazard]))}},
    ]
    if hazard == "gas":
        asked: Schema = {"prefixItems": [{"const": id} for id in first], "minItems": len(first)}
    else:
        asked = {"allOf": [{"contains": {"const": id}} for id in first]}
    then = {"required": ["ask_first"], "properties": {"ask_first": asked}}
    return {"if": {"anyOf": anywhere}, "then": then}
