"""The JSON Schema (2020-12) of a tree file, for editors that complete and check while one types.

It is made from the table that the loader reads files by (`fields.TABLES`), from the limits of ids and texts,
and from the ids that all trees share. What rests on other places of the file (an id that is named and defined
nowhere, sums of shares, bands with gaps, a wording that a hazard refuses) only the loader can tell.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from typing import Any

from diagnose.knowledge.advising import ADVICE
from diagnose.knowledge.checks import OTHERWISE, PROBABILITY_WORDS
from diagnose.knowledge.common import Common
from diagnose.knowledge.faults import MOST_EVENTS
from diagnose.knowledge.fields import GATES, TABLES, TABLES_SAY, Field
from diagnose.knowledge.ids import LONGEST_ID, PATTERN, RESERVED
from diagnose.knowledge.plain_yaml import LONGEST_TEXT
from diagnose.knowledge.schema_safety import safety_rules
from diagnose.terms import Check

DIALECT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]

_ONE_GATE: Schema = {
    "oneOf": [{"required": [gate]} for gate in GATES],
    "dependentSchemas": {"any_of": {"properties": {"in_100": False}}},
}
_RULES: Mapping[str, Schema] = {
    "faults": _ONE_GATE,
    "event": _ONE_GATE,
    "check": {
        "oneOf": [
            {"required": ["answers"], "properties": {"reading": False, "bands": False}},
            {"required": ["reading", "bands"], "properties": {"answers": False}},
        ],
        "dependentRequired": {"stop_on": ["refer"], "refer": ["stop_on"]},
    },
}
"""How the keys of one table go together."""


def tree_schema(common: Common) -> Schema:
    """The schema of a tree file as a JSON value; `common` are the ids that every tree may name."""
    return _Writer(common).schema()


class _Writer:
    def __init__(self, common: Common) -> None:
        self.common = common
        self.known: Mapping[str, tuple[Collection[str], bool]] = {
            "hazard": (common.hazards, False),
            "system": (common.systems, False),
            "fact": (common.facts, False),
            "referral": (common.referrals, True),
            "caution": (common.cautions, True),
            "check": (common.checks, True),
            "place": (common.places, True),
        }
        """Known ids of each kind, and whether a tree may have more of its own."""
        self.kinds: Mapping[str, Callable[[Field], Schema]] = {
            "text": lambda line: _ref("text"),
            "id": self._id,
            "word": lambda line: {"enum": list(line.words)},
            "number": _number,
            "truth": lambda line: {"type": "boolean"},
            "texts": lambda line: _items(_ref("text"), line.least),
            "ids": lambda line: _items(self._id(line), line.least),
            "words": lambda line: _items({"enum": list(line.words)}, line.least),
            "id or ids": lambda line: {"anyOf": [self._id(line), _items(self._id(line), line.least)]},
            "range": lambda line: {
                "type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2,
                "uniqueItems": True,
            },
            "table": lambda line: _ref(line.of),
            "tables": self._tables,
            "texts by id": lambda line: _by_id(_ref("text"), line.least),
            "ids by id": self._facts,
            "reasons": self._reasons,
            "expectations": lambda line: _ref("expect"),
            "events": lambda line: _by_id(_ref("input"), line.least) | {"maxProperties": MOST_EVENTS},
            "remedy": lambda line: {"oneOf": [_ref(f"{kind} remedy") for kind in ("do", "refer", "see")]},
        }  # fmt: skip

    def schema(self) -> Schema:
        """The whole document."""
        defs = {name: self._table(name) for name in TABLES if name != "tree"} | self._shared_parts()
        safety = safety_rules(self.common)
        for name, rules in safety.rules.items():
            if name != "tree":
                defs[name].setdefault("allOf", []).extend(rules)
        tree = self._table("tree") | {"allOf": list(safety.rules["tree"])}
        head = {"$schema": DIALECT, "title": "Fault tree of one symptom"}
        return head | tree | {"$defs": {_key(name): part for name, part in (defs | safety.parts).items()}}

    def _shared_parts(self) -> Schema:
        weight = {
            "description": "How likely this answer would be: a number from 0 to 1, or a word",
            "anyOf": [{"type": "number", "minimum": 0, "maximum": 1}, {"enum": list(PROBABILITY_WORDS)}],
        }
        return {
            "id": {
                "description": f"An id: lower case letters and figures joined by single hyphens, "
                f"a letter first, {LONGEST_ID} characters at most",
                "type": "string", "pattern": f"^{PATTERN}$", "maxLength": LONGEST_ID,
                "not": {"enum": sorted(RESERVED)},
            },
            "text": {"type": "string", "pattern": "\\S", "maxLength": LONGEST_TEXT},
            "weights": _by_id(weight, 0),
            "expect": {
                "description": f"Cause or event -> answer -> how likely; {OTHERWISE} serves all others",
                "type": "object",
                "propertyNames": {"anyOf": [{"const": OTHERWISE}, _ref("id")]},
                "additionalProperties": _ref("weights"),
            },
            "input": {
                "description": "An event, a cause, or {} for one that is defined elsewhere in this file",
                "anyOf": [
                    {"type": "object", "maxProperties": 0, "description": "Defined elsewhere in this file"},
                    _ref("cause"),
                    _ref("event"),
                ],
            },
        }  # fmt: skip

    def _table(self, name: str) -> Schema:
        lines = TABLES[name]
        table: Schema = {
            "description": _sentence(TABLES_SAY[name]),
            "type": "object",
            "properties": {line.key: self._value(line) for line in lines},
            "additionalProperties": False,
        }
        required = [line.key for line in lines if line.required]
        return table | ({"required": required} if required else {}) | dict(_RULES.get(name, {}))

    def _value(self, line: Field) -> Schema:
        return {"description": _sentence(line.says), **self.kinds[line.kind](line)}

    def _id(self, line: Field) -> Schema:
        if not line.names:
            return _ref("id")
        known, more = self.known[line.names]
        listed: Schema = {"enum": list(known)}
        return {"anyOf": [listed, _ref("id")]} if more else listed

    def _tables(self, line: Field) -> Schema:
        """Values by id, each read by its table; ids that are fixed cannot be had."""
        schema = _by_id(_ref(line.of), line.least)
        if line.of == "check":
            shared = [*self.common.checks.values(), *self.common.facts.values()]
            schema["properties"] = {check.id: self._shared_check(check) for check in shared}
        taken: Mapping[str, Collection[str]] = {
            "referral": [id for id, each in self.common.referrals.items() if each.fixed],
            "caution": self.common.cautions,
        }
        if line.of in taken:
            schema["propertyNames"] = {"allOf": [_ref("id"), {"not": {"enum": list(taken[line.of])}}]}
        return schema

    def _shared_check(self, check: Check) -> Schema:
        """A check or fact that all trees share: expect alone, with its own answers."""
        answers = {"propertyNames": {"enum": list(check.answer_ids())}}
        alone = {
            "description": check.ask,
            **_ref("expectation"),
            "properties": {"expect": {"additionalProperties": answers}},
        }
        return alone if check.fixed or check.fact else {"anyOf": [alone, _ref("check")]}

    def _facts(self, line: Field) -> Schema:
        """Answers by fact."""
        known = {
            fact.id: {"description": fact.ask, **_items({"enum": list(fact.answer_ids())}, 1)}
            for fact in self.common.facts.values()
        }
        return {"type": "object", "properties": known, "additionalProperties": False}

    def _reasons(self, line: Field) -> Schema:
        """Texts by the name of an advice; an unknown name is advice itself, and no flaw."""
        known = {name: {"description": _sentence(says), **_ref("text")} for name, says in ADVICE.items()}
        return {"type": "object", "properties": known, "additionalProperties": _ref("text")}


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{_key(name)}"}


def _key(name: str) -> str:
    return name.replace(" ", "-")


def _sentence(says: str) -> str:
    return says[:1].upper() + says[1:]


def _items(item: Schema, least: int) -> Schema:
    items: Schema = {"type": "array", "items": item, "uniqueItems": True}
    return items | {"minItems": least} if least else items


def _by_id(value: Schema, least: int) -> Schema:
    mapping: Schema = {"type": "object", "propertyNames": _ref("id"), "additionalProperties": value}
    return mapping | {"minProperties": least} if least else mapping


def _number(line: Field) -> Schema:
    limits = line.limits
    bounds = {"exclusiveMinimum": limits.above, "minimum": limits.least, "maximum": limits.most}
    schema: Schema = {"type": "integer" if limits.whole else "number"}
    return schema | {key: bound for key, bound in bounds.items() if bound is not None}
