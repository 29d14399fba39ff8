"""What all trees share: `trees/common/*.yaml`, read with the strictness of a tree."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TypeVar

from diagnose.knowledge.checks import read_check, read_expect, read_results
from diagnose.knowledge.form import Filled, Flaws, fill, wrong_id
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.nodes import Node, Scalar
from diagnose.knowledge.plain_yaml import compose, read_bytes
from diagnose.terms import (
    Caution,
    Check,
    Country,
    FlawedKnowledge,
    Hazard,
    Place,
    Referral,
    System,
)

NONE = "none"
"""The hazard that says that there is none."""

FILES = ("hazards", "systems", "facts", "checks", "cautions", "referrals", "places", "countries")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Common:
    """The common files as values, by id, in file order."""

    hazards: Mapping[str, Hazard] = field(default_factory=dict)
    systems: Mapping[str, System] = field(default_factory=dict)
    facts: Mapping[str, Check] = field(default_factory=dict)
    checks: Mapping[str, Check] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    referrals: Mapping[str, Referral] = field(default_factory=dict)
    places: Mapping[str, Place] = field(default_factory=dict)
    countries: Mapping[str, Country] = field(default_factory=dict)
    digest: str = ""
    """SHA-256 over all common files, in hexadecimal."""

    def carried(self, hazards: Collection[str]) -> tuple[str, ...]:
        """Hazards in the order of the common file, `none` left out."""
        return tuple(hazard for hazard in self.hazards if hazard in hazards and hazard != NONE)


def load_common(folder: Path, shown: str | None = None) -> Common:
    """The common files of a folder; raises FlawedKnowledge with every flaw of all of them.

    `shown` is how the folder is called in messages.
    """
    prefix = shown if shown is not None else str(folder)
    flaws: dict[str, Flaws] = {name: Flaws(f"{prefix}/{name}.yaml") for name in FILES}
    roots: dict[str, list[tuple[Scalar, Node]]] = {}
    digest = hashlib.sha256()
    for name in FILES:
        roots[name] = []
        try:
            data = read_bytes(folder / f"{name}.yaml", flaws[name].file)
        except FlawedKnowledge as error:
            flaws[name].found.extend(error.flaws)
            continue
        digest.update(f"{name}:{len(data)}:".encode() + data)
        root, found = compose(data, flaws[name].file)
        flaws[name].found.extend(found)
        if root is not None:
            roots[name] = [(key, node) for key, node in root.pairs if not wrong_id(key, flaws[name])]
    common = _built(roots, flaws, digest.hexdigest())
    found = tuple(flaw for name in FILES for flaw in flaws[name].sorted())
    if found:
        raise FlawedKnowledge(found)
    return common


def _built(roots: Mapping[str, list[tuple[Scalar, Node]]], flaws: Mapping[str, Flaws], digest: str) -> Common:
    def each(name: str, table: str, build: Callable[[str, Filled], T]) -> dict[str, T]:
        one = name[:-1] if name != "countries" else "country"
        return {
            key.value: build(key.value, fill(table, node, key, f"{one} {quoted(key.value)}", flaws[name]))
            for key, node in roots[name]
        }

    cautions = each("cautions", "common caution", caution_of)
    referrals = each("referrals", "common referral", referral_of)
    places = each("places", "common place", place_of)

    def hazard_of(id: str, filled: Filled) -> Hazard:
        for key, known in (("caution", cautions), ("referral", referrals)):
            if key not in filled and id != NONE:
                flaws["hazards"].at(filled.at, f"hazard {quoted(id)} lacks {key}")
            known_word(filled.scalar(key), key, known, "hazards", flaws)
        return Hazard(
            id, filled.text("says"), filled.text("caution") or None, filled.text("referral") or None,
            filled.texts("speaks"), filled.texts("refused"),
        )  # fmt: skip

    hazards = each("hazards", "hazard", hazard_of)

    def system_of(id: str, filled: Filled) -> System:
        for word in filled.scalars("hazards"):
            known_word(word, "hazards", hazards, "systems", flaws)
        return System(id, filled.text("title"), filled.texts("hazards"))

    def fact_of(id: str, filled: Filled) -> Check:
        answers, reading, bands = read_results(filled, f"fact {quoted(id)}", flaws["facts"])
        return Check(
            id, filled.text("ask"), filled.text("how"), "look", "owner", 0.0, answers, reading, bands,
            fact=True, mark=flaws["facts"].mark(filled.at),
        )  # fmt: skip

    def check_of(id: str, filled: Filled) -> Check:
        name = f"check {quoted(id)}"
        check = read_check(filled, id, name, flaws["checks"])
        known_word(filled.scalar("refer"), "refer", referrals, "checks", flaws)
        known_word(filled.scalar("at"), "at", places, "checks", flaws)
        for word in filled.scalars("hazard"):
            known_word(word, "hazard", hazards, "checks", flaws)
        if id in roots_of_facts:
            flaws["checks"].at(filled.at, f"{quoted(id)} is a fact as well")
        expect = read_expect(filled, check.answer_ids(), (), name, flaws["checks"])
        own = frozenset(filled.texts("hazard")) - {NONE}
        return replace(check, expect=expect, hazards=own, fixed=filled.truth("fixed"))

    def country_of(id: str, filled: Filled) -> Country:
        return Country(
            id,
            filled.text("says"),
            filled.texts("numbers"),
            filled.text("gas_register"),
            filled.texts("units"),
        )

    roots_of_facts = {key.value for key, _ in roots["facts"]}
    return Common(
        hazards=hazards,
        systems=each("systems", "system", system_of),
        facts=each("facts", "fact", fact_of),
        checks=each("checks", "common check", check_of),
        cautions=cautions,
        referrals=referrals,
        places=places,
        countries=each("countries", "country", country_of),
        digest=digest,
    )


def known_word(
    word: Scalar | None, key: str, known: Collection[str], name: str, flaws: Mapping[str, Flaws]
) -> None:
    """Note a word that is not known in the common files."""
    if word is not None and word.value not in known:
        text = f"{key} names {quoted(word.value)}, which is not known"
        flaws[name].at(word, text, flaws[name].nearest(word.value, known))


def caution_of(id: str, filled: Filled) -> Caution:
    """A caution from its mapping."""
    return Caution(id, filled.text("word"), filled.text("say"))


def referral_of(id: str, filled: Filled) -> Referral:
    """A referral from its mapping; fixed ones say so."""
    return Referral(
        id, filled.text("to"), filled.number("minutes"), filled.text("say"), filled.text("until_help"),
        filled.number("wait"), filled.number("price"), filled.truth("fixed"),
    )  # fmt: skip


def place_of(id: str, filled: Filled) -> Place:
    """A place from its mapping."""
    return Place(id, filled.text("says"), filled.number("access"))
