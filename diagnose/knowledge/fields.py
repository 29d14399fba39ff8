"""The one table of what may stand in a tree file and in the common files.

The checker walks it; a schema for editors can be made from the same lines. Each field has its key, the kind
of value, whether it must be there, the limits of numbers and the words allowed, and one line on what it is
for. What depends on other places (known ids, sums, hazards) is checked elsewhere.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Kind = Literal[
    "text", "texts", "id", "ids", "id or ids", "word", "words", "number", "range", "truth",
    "table", "tables", "texts by id", "reasons", "ids by id", "expectations", "events", "remedy", "quantity",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Limits:
    """What a number may be: above (or at least) one figure, at most another, and whole or not."""

    above: float | None = None
    least: float | None = None
    most: float | None = None
    whole: bool = False

    def broken_by(self, number: float) -> bool:
        """Whether a number lies outside."""
        return (
            (self.above is not None and number <= self.above)
            or (self.least is not None and number < self.least)
            or (self.most is not None and number > self.most)
            or (self.whole and number != int(number))
        )

    def __str__(self) -> str:
        low = f"above {self.above:g}" if self.above is not None else ""
        low = f"of {self.least:g} or more" if self.least is not None else low
        if self.least is not None and self.most is not None:
            span = f"from {self.least:g} to {self.most:g}"
        else:
            span = " and ".join(part for part in (low, f"at most {self.most:g}" if self.most else "") if part)
        return f"a whole number {span}" if self.whole else f"a number {span}".rstrip()


@dataclass(frozen=True, slots=True)
class Field:
    """One key of one table."""

    key: str
    kind: Kind
    says: str
    required: bool = False
    limits: Limits = Limits()
    words: tuple[str, ...] = ()
    of: str = ""
    """The table that the value, or each value of a mapping by id, is read with."""
    least: int = 0
    """How many items there must be."""
    names: str = ""
    """What the id, or each of them, is an id of: hazard, system, referral, caution, check, place, fact."""


POSITIVE = Limits(above=0)
NOT_NEGATIVE = Limits(least=0)
ROLES = ("owner", "technician")
HANDS = ("look", "controls", "tools")
NEEDS = ("kneel", "climb", "lift", "reach", "hear", "smell")
SIGNAL_WORDS = ("DANGER", "WARNING", "CAUTION", "NOTICE")
GATES = ("any_of", "all_of")

_HAZARD = Field("hazard", "id or ids", "the hazard or hazards that belong to it", least=1, names="hazard")
_WAS = Field("was", "id or ids", "ids that it had in older versions of the file")
_WHO = (
    Field("by", "word", "who may do it", required=True, words=ROLES),
    Field("hands", "word", "what it takes: looking, controls, or tools", required=True, words=HANDS),
    Field("minutes", "number", "minutes of work", required=True, limits=POSITIVE),
)
_EFFORT = (
    Field("at", "id", "the place on the vehicle", names="place"),
    Field("part", "id", "the part whose whereabouts the vehicle's card gives"),
    Field("needs", "words", "what the body must be able to do", words=NEEDS),
    Field("wait", "number", "minutes in which nobody need be there", limits=NOT_NEGATIVE),
    Field("price", "number", "money that it costs", limits=NOT_NEGATIVE),
    Field("restores", "word", "mains, if it switches the mains on again", words=("mains",)),
)
_HOW = Field("how", "text", "how to do it, step by step")
_GATES = tuple(
    Field(gate, "events", f"its inputs, of which {many} must hold", least=1)
    for gate, many in zip(GATES, ("any", "all"), strict=True)
)
_IN_100 = Field(
    "in_100", "number", "of 100 vehicles with this symptom, how many turn out to be this",
    limits=Limits(above=0, most=100),
)  # fmt: skip
_ANSWERS = Field("answers", "texts by id", "the possible answers and their words", least=2)
_EXPECT = Field("expect", "expectations", "which answers a cause or event would give", required=True)
_READING = (
    Field("reading", "table", "what is measured", of="reading"),
    Field("bands", "tables", "stretches of the reading's range, as answers", of="band", least=2),
)

TABLES: Mapping[str, tuple[Field, ...]] = {
    "tree": (
        Field("symptom", "text", "what the user notices", required=True),
        Field("system", "id", "the system of the vehicle", required=True, names="system"),
        Field("also_said", "texts", "other words for the symptom"),
        Field("applies_to", "ids by id", "facts of the vehicle and the answers for which this tree is meant",
              names="fact"),
        Field("cautions", "ids", "cautions beyond those that the hazards bring", names="caution"),
        Field("refer_to", "id", "the referral when nothing better is left", required=True,
              names="referral"),
        Field("ask_first", "ids", "checks asked before anything else, in this order", names="check"),
        Field("tries", "number", "how often the appliance may be started in one walk",
              limits=Limits(least=1, most=3, whole=True)),
        Field("strength", "number", "how many cases the in_100 figures are worth", limits=POSITIVE),
        Field("not_listed", "number", "in_100 of causes that this tree does not list",
              limits=Limits(above=0, most=50)),
        Field("cured_when", "table", "what has to be so before it counts as cured", required=True,
              of="cured_when"),
        Field("faults", "table", "the top event", required=True, of="faults"),
        Field("checks", "tables", "what can be asked, looked at or measured", required=True, of="check"),
        Field("referrals", "tables", "referrals of this tree's own", of="referral"),
        Field("places", "tables", "places of this tree's own", of="place"),
        Field("own_cautions", "tables", "cautions of this tree's own", of="caution"),
        Field("sources", "texts", "where the figures come from"),
        Field("accept", "reasons", "names of advice that is accepted, and why"),
    ),
    "cured_when": (
        Field("ask", "text", "the question that has to be answered yes", required=True),
        Field("minutes", "number", "minutes that it takes to see", limits=NOT_NEGATIVE),
    ),
    "faults": (*_GATES, _IN_100, _HAZARD, _WAS),
    "event": (
        Field("says", "text", "what is so when it holds", required=True),
        *_GATES, _IN_100, _HAZARD, _WAS,
        Field("prevent", "text", "what keeps it from happening"),
    ),
    "cause": (
        Field("says", "text", "what is wrong", required=True),
        _IN_100, _HAZARD,
        Field("remedy", "remedy", "what puts it right", required=True),
        Field("prevent", "text", "what keeps it from happening"),
        _WAS,
    ),
    "do remedy": (
        Field("do", "text", "what to do", required=True),
        *_WHO, _HOW, *_EFFORT,
        Field("cures", "number", "how often it cures if this is the cause", limits=Limits(above=0, most=1)),
        _HAZARD, _WAS,
    ),
    "refer remedy": (
        Field("refer", "id", "to whom it is referred", required=True, names="referral"),
        _HOW, _HAZARD, _WAS,
    ),
    "see remedy": (Field("see", "id", "the tree that knows better", required=True), _HOW, _HAZARD, _WAS),
    "check": (
        Field("ask", "text", "the question", required=True),
        *_WHO, _HOW, *_EFFORT,
        Field("not_sure", "number", "how often it cannot be answered", limits=Limits(least=0, most=0.9)),
        _ANSWERS, *_READING,
        Field("stop_on", "id or ids", "answers that end the walk at once", least=1),
        Field("refer", "id", "to whom such an answer refers", names="referral"),
        Field("starts", "truth", "whether it starts the appliance"),
        _EXPECT, _HAZARD, _WAS,
    ),
    "expectation": (_EXPECT,),
    "reading": (
        Field("unit", "text", "the unit", required=True),
        Field("range", "range", "the least and the greatest value", required=True),
        Field("uncertainty", "number", "standard uncertainty", required=True, limits=POSITIVE),
    ),
    "band": (
        Field("from", "number", "where the band begins; this value belongs to it"),
        Field("below", "number", "where the band ends; this value does not belong to it"),
    ),
    "referral": (
        Field("to", "text", "whom to call", required=True),
        Field("minutes", "number", "minutes that it costs", required=True, limits=POSITIVE),
        Field("say", "text", "what to tell them", required=True),
        Field("until_help", "text", "what one may do until help comes, and must not touch"),
        Field("wait", "number", "minutes in which nobody need be there", limits=NOT_NEGATIVE),
        Field("price", "number", "money that it costs", limits=NOT_NEGATIVE),
    ),
    "place": (
        Field("says", "text", "what the place is called", required=True),
        Field("access", "number", "minutes of getting there", required=True, limits=NOT_NEGATIVE),
    ),
    "caution": (
        Field("word", "word", "the signal word", required=True, words=SIGNAL_WORDS),
        Field("say", "text", "what to mind", required=True),
    ),
}  # fmt: skip

TABLES_SAY: Mapping[str, str] = {
    "tree": "the fault tree of one symptom",
    "cured_when": "what has to be so before it counts as cured",
    "faults": "the top event: one gate over its inputs",
    "event": "an event that its inputs bring about: one gate over them",
    "cause": "a cause that can be confirmed and put right",
    "do remedy": "a remedy that is done on the spot",
    "refer remedy": "a remedy that is left to somebody qualified",
    "see remedy": "a remedy that another tree knows better",
    "check": "one thing to ask, look at or measure",
    "expectation": "a check or fact that all trees share: here only what it would show",
    "reading": "what is measured, in which unit, how widely and how exactly",
    "band": "a stretch of the reading's range; an end that is left out is that of the range",
    "referral": "somebody qualified to whom it is handed over",
    "place": "a place on the vehicle",
    "caution": "a safety text with its signal word",
}
"""What each table of a tree file stands for."""

_FIXED = Field("fixed", "truth", "whether trees must leave it as it is")

COMMON_TABLES: Mapping[str, tuple[Field, ...]] = {
    "hazard": (
        Field("says", "text", "what can hurt", required=True),
        Field("caution", "id", "the caution that goes with it"),
        Field("referral", "id", "who is called"),
        Field("speaks", "texts", "words by which a text speaks of it"),
        Field("refused", "texts", "words that no instruction may hold under it"),
        _FIXED,
    ),
    "system": (
        Field("title", "text", "its name", required=True),
        Field("hazards", "ids", "its usual hazards", required=True),
    ),
    "fact": (Field("ask", "text", "the question", required=True), _HOW, _ANSWERS, *_READING, _FIXED),
    "common check": (*TABLES["check"], _FIXED),
    "common referral": (*TABLES["referral"], _FIXED),
    "common place": (*TABLES["place"], _FIXED),
    "common caution": (*TABLES["caution"], _FIXED),
    "country": (
        Field("says", "text", "its name", required=True),
        Field("numbers", "texts", "emergency numbers", required=True, least=1),
        Field("gas_register", "text", "who may work on gas", required=True),
        Field("units", "texts", "units that people there read beside those of the checks"),
        _FIXED,
    ),
}
