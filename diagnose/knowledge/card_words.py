"""The words that a vehicle's card may use: facts, countries, referrals, and what the trees at hand name.

Parts and units are picked from the text of the tree files, which takes no checking of them; only where a card
names a check is every tree's list of checks looked at.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from functools import cached_property

from diagnose.knowledge.card_fields import INSTRUMENTS
from diagnose.knowledge.collection import Library
from diagnose.knowledge.nodes import MapNode, Scalar
from diagnose.knowledge.plain_yaml import compose, read_bytes
from diagnose.terms import Check, Country, FlawedKnowledge, Referral

_PART = re.compile(r"(?<![\w-])part:\s*[\"']?([a-z][a-z0-9-]*)")
_UNIT = re.compile(r"(?<![\w-])unit:\s*[\"']?([^\s,}\"'#]+)")


class CardWords:
    """Everything that a card may name, gathered when it is first asked for."""

    def __init__(self, library: Library) -> None:
        self._library = library

    @property
    def facts(self) -> Mapping[str, Check]:
        """The facts of the common files."""
        return self._library.common().facts

    @property
    def countries(self) -> Mapping[str, Country]:
        """The countries of the common files."""
        return self._library.common().countries

    @property
    def referrals(self) -> Mapping[str, Referral]:
        """Whom one may be handed over to, of the common files."""
        return self._library.common().referrals

    @cached_property
    def parts(self) -> Collection[str]:
        """Every part that a tree at hand names, in alphabetical order."""
        return sorted({part for text in self._texts for part in _PART.findall(text)})

    @cached_property
    def units(self) -> Collection[str]:
        """Every unit in which something is read, or that a kind of instrument shows, sorted."""
        units = {unit for text in self._texts for unit in _UNIT.findall(text)}
        facts = {fact.reading.unit for fact in self.facts.values() if fact.reading is not None}
        return sorted(units | facts | {kind.unit for kind in INSTRUMENTS.values()})

    @cached_property
    def measured(self) -> Mapping[str, str]:
        """Every check of a tree at hand that takes a reading -> its unit."""
        found: dict[str, str] = {}
        for text in self._texts:
            root, _ = compose(text, "")
            checks = root.get("checks") if root is not None else None
            for key, check in checks.pairs if isinstance(checks, MapNode) else ():
                reading = check.get("reading") if isinstance(check, MapNode) else None
                unit = reading.get("unit") if isinstance(reading, MapNode) else None
                if isinstance(unit, Scalar):
                    found.setdefault(key.value, unit.value)
        return found

    @cached_property
    def _texts(self) -> tuple[str, ...]:
        texts = []
        for id in self._library.ids():
            try:
                texts.append(read_bytes(self._library.path_of(id)).decode("utf-8", "replace"))
            except FlawedKnowledge:
                continue
        return tuple(texts)
