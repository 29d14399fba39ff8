"""A vehicle's card: what its owner wrote down of it, read as strictly as a tree.

The card holds no name, no address and no number plate: it is there to be lent with the vehicle. Everything on
it may be left out. A fact on a card is a finding given ahead, and can never answer a danger question, since
none of those is a fact.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from diagnose.knowledge.card_fields import (
    AXLES,
    DATES,
    INSTRUMENTS,
    LONGEST_LABEL,
    LONGEST_WHEREABOUTS,
)
from diagnose.knowledge.card_values import date_of, finding_of, kilograms, pressure_in_bar
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.form import Filled, Flaws, fill
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import MapNode, Node, Scalar, what_it_is
from diagnose.knowledge.plain_yaml import LARGEST_FILE, compose, read_bytes
from diagnose.knowledge.plates import looks_like_a_plate
from diagnose.terms import Advice, Check, Finding, FlawedKnowledge

_NUMBER_TO_CALL = re.compile(r"\+?[0-9][0-9 ()/.-]{1,28}[0-9]")
_ALSO_CALLED = {"gb": "uk", "great britain": "uk", "england": "uk", "scotland": "uk", "wales": "uk"}


@dataclass(frozen=True, slots=True)
class Axle:
    """What the tyres of one axle carry, and the cold pressure for it."""

    bar: float | None = None
    kg: float | None = None


@dataclass(frozen=True, slots=True)
class VehicleCard:
    """What is known of one vehicle and of whoever walks it; every mapping is in the order of the file."""

    file: str = ""
    label: str = ""
    country: str | None = None
    facts: tuple[Finding, ...] = ()
    """Findings given ahead; the country is among them."""
    where: Mapping[str, str] = field(default_factory=dict)
    """Part -> where it is."""
    instruments: Mapping[str, float] = field(default_factory=dict)
    """Unit or check -> the standard uncertainty of what it is read with, in the unit of the check."""
    cannot: frozenset[str] = frozenset()
    dates: Mapping[str, date] = field(default_factory=dict)
    tyres: Mapping[str, Axle] = field(default_factory=dict)
    numbers: Mapping[str, str] = field(default_factory=dict)
    """Referral -> the number that the owner set."""
    advice: tuple[Advice, ...] = ()

    @property
    def name(self) -> str:
        """What a case calls the vehicle: the label, else the file's stem; blanks in a row are one."""
        stem = "".join(letter if letter.isprintable() else "?" for letter in Path(self.file).stem)
        return " ".join((self.label or stem[:LONGEST_LABEL]).split())

    def uncertainty_of(self, check: Check) -> float | None:
        """How far a reading of a check may be out here; None where the check's own figure stands."""
        if check.reading is None:
            return None
        return self.instruments.get(check.id, self.instruments.get(check.reading.unit))


def load_card(path: Path, words: CardWords, today: date) -> VehicleCard:
    """The card in a file; raises FlawedKnowledge with every flaw of it."""
    return read_card(read_bytes(path), str(path), words, today)


def read_card(text: str | bytes, file: str, words: CardWords, today: date) -> VehicleCard:
    """The card in a text; raises FlawedKnowledge with every flaw of it, by place.

    `today` is what a date must not lie behind that says when something was made or done.
    """
    flaws = Flaws(file)
    if len(text) <= LARGEST_FILE and holds_nothing(text):
        return VehicleCard(file)
    root, found = compose(text, file)
    flaws.found.extend(found)
    card = VehicleCard(file)
    if root is not None:
        card = _Reader(fill("card", root, root, "the card", flaws), words, today, flaws).card()
    if flaws.found:
        raise FlawedKnowledge(flaws.sorted())
    return card


def holds_nothing(text: str | bytes) -> bool:
    """Whether nothing but comments and empty lines stands there, which is no flaw of a card."""
    whole = text if isinstance(text, str) else text.decode("utf-8", "replace")
    lines = (line.strip("\ufeff \t\r") for line in whole.split("\n"))
    return all(not line or line.startswith("#") for line in lines)


class _Reader:
    """Reads key by key and notes what is wrong with any."""

    def __init__(self, filled: Filled, words: CardWords, today: date, flaws: Flaws) -> None:
        self.filled, self.words, self.today, self.flaws = filled, words, today, flaws

    def card(self) -> VehicleCard:
        """The card, as far as it can be read."""
        country = self._country()
        facts = {fact.check: fact for fact in self._facts()}
        if country is not None and country in self.words.facts["country"].answer_ids():
            facts["country"] = Finding("country", country)
        order = [id for id in self.words.facts if id in facts]
        return VehicleCard(
            self.flaws.file,
            self._label(),
            country,
            tuple(facts[id] for id in order),
            self._where(),
            self._instruments(),
            frozenset(self.filled.texts("cannot")),
            self._dates(),
            self._tyres(),
            self._numbers(),
            self._advice(),
        )

    def _label(self) -> str:
        word = self.filled.scalar("label")
        if word is not None and len(word.value.strip()) > LONGEST_LABEL:
            self.flaws.at(word, f"label has {len(word.value)} characters; {LONGEST_LABEL} at most")
        return word.value.strip() if word is not None else ""

    def _advice(self) -> tuple[Advice, ...]:
        word = self.filled.scalar("label")
        if word is None or not looks_like_a_plate(word.value):
            return ()
        text = "label looks like a number plate; a name of your own keeps it out of your cases"
        return (Advice(self.flaws.file, word.line, word.column, "number-plate", text),)

    def _country(self) -> str | None:
        word = self.filled.scalar("country")
        if word is None:
            return None
        known = self.words.countries
        if word.value not in known:
            by_name = _ALSO_CALLED | {country.says.lower(): id for id, country in known.items()}
            meant = by_name.get(word.value.lower()) or self.flaws.nearest(word.value, known)
            text = f"country is {quoted(word.value)}, which is not known; known are {', '.join(known)}"
            self.flaws.at(word, text, meant)
        return word.value

    def _facts(self) -> list[Finding]:
        found = []
        for key, node in self.filled.pairs("facts"):
            fact = self.words.facts.get(key.value)
            if key.value == "country":
                self.flaws.at(key, "country has a key of its own, at the top level: country: uk")
            elif fact is None:
                meant = self.flaws.nearest(key.value, self.words.facts)
                self.flaws.at(key, f"facts names {quoted(key.value)}, which is no fact", meant)
            elif (finding := finding_of(fact, node, key, self.flaws)) is not None:
                found.append(finding)
        return found

    def _where(self) -> dict[str, str]:
        told = {}
        for key, node in self.filled.pairs("where"):
            if key.value not in self.words.parts:
                meant = self.flaws.nearest(key.value, self.words.parts)
                self.flaws.at(key, f"where names {quoted(key.value)}, a part that no tree names", meant)
            text = self._text(key, node, f"says where {key.value} is", "under the driver's seat, red key")
            if len(text) > LONGEST_WHEREABOUTS:
                most = f"{LONGEST_WHEREABOUTS} at most, so that it fits the locker card"
                self.flaws.at(node, f"{key.value} has {len(text)} characters; {most}")
            told[key.value] = text
        return told

    def _instruments(self) -> dict[str, float]:
        told = {}
        for key, node in self.filled.pairs("instruments"):
            unit = key.value if key.value in self.words.units else self.words.measured.get(key.value)
            if unit is None:
                known = [*self.words.units, *self.words.measured]
                text = f"instruments names {quoted(key.value)}, which is no unit and no check with a reading"
                meant = self.flaws.nearest(key.value, known)
                self.flaws.at(
                    key, text if meant else f"{text}; units are {', '.join(self.words.units)}", meant
                )
            uncertainty = self._uncertainty(key, node, unit)
            if uncertainty is not None:
                told[key.value] = uncertainty
        return told

    def _uncertainty(self, key: Scalar, node: Node, unit: str | None) -> float | None:
        if isinstance(node, MapNode):
            filled = fill("instrument", node, key, f"instrument {quoted(key.value)}", self.flaws)
            return filled.number("uncertainty") if "uncertainty" in filled.nodes else None
        if isinstance(node, Scalar) and node.number is not None:
            if node.number > 0:
                return node.number
            self.flaws.at(node, f"{key.value} wants a number above 0, or a kind of instrument")
            return None
        kind = INSTRUMENTS.get(node.value) if isinstance(node, Scalar) else None
        if kind is None:
            said = node.value if isinstance(node, Scalar) else ""
            text = f"{key.value} wants how far the instrument may be out, or one of {', '.join(INSTRUMENTS)}"
            at = key if isinstance(node, Scalar) and node.null else node
            self.flaws.at(at, f"{text}; not {what_it_is(node)}", self.flaws.nearest(said, INSTRUMENTS))
            return None
        if unit is not None and kind.unit != unit:
            self.flaws.at(
                node, f"{what_it_is(node)} shows {kind.unit}, and {key.value} is to be read in {unit}"
            )
        return kind.uncertainty

    def _dates(self) -> dict[str, date]:
        told = {}
        for key, node in self.filled.pairs("dates"):
            kind = DATES.get(key.value)
            if kind is None:
                meant = self.flaws.nearest(key.value, DATES)
                text = f"dates names {quoted(key.value)}, which is not known"
                self.flaws.at(key, text if meant else f"{text}; known are {', '.join(DATES)}", meant)
            elif (day := date_of(key.value, kind, node, key, self.today, self.flaws)) is not None:
                told[key.value] = day
        return told

    def _tyres(self) -> dict[str, Axle]:
        told = {}
        for key, node in self.filled.pairs("tyres"):
            if key.value not in AXLES:
                text = f"tyres names {quoted(key.value)}; axles are {', '.join(AXLES)}"
                self.flaws.at(key, text, self.flaws.nearest(key.value, AXLES))
            filled = fill("axle", node, key, f"axle {quoted(key.value)}", self.flaws)
            told[key.value] = Axle(
                pressure_in_bar(filled.scalar("pressure"), self.flaws),
                kilograms(filled.scalar("load"), self.flaws),
            )
        return told

    def _numbers(self) -> dict[str, str]:
        told = {}
        for key, node in self.filled.pairs("numbers"):
            if key.value not in self.words.referrals:
                meant = self.flaws.nearest(key.value, self.words.referrals)
                text = f"numbers names {quoted(key.value)}, which is nobody to call"
                known = ", ".join(self.words.referrals)
                self.flaws.at(key, text if meant else f"{text}; known are {known}", meant)
            number = node.value.strip() if isinstance(node, Scalar) else ""
            if not _NUMBER_TO_CALL.fullmatch(number):
                at = key if isinstance(node, Scalar) and node.null else node
                what = what_it_is(node)
                self.flaws.at(at, f"{key.value} wants a telephone number in figures, not {what}")
            told[key.value] = number
        return told

    def _text(self, key: Scalar, node: Node, what: str, such_as: str) -> str:
        if isinstance(node, Scalar) and node.text is not None and node.value.strip():
            return " ".join(node.value.split())
        at = key if isinstance(node, Scalar) and node.null else node
        self.flaws.at(at, f"{key.value} wants a text that {what}, such as: {such_as}; not {what_it_is(node)}")
        return ""
