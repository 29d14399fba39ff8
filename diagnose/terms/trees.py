"""A tree as it was read and checked: its causes, checks, remedies, and what the common files lend it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from diagnose.terms.errors import Advice, Mark
from diagnose.terms.words import Gate, Hands, Role


@dataclass(frozen=True, slots=True)
class Caution:
    """A safety text with its signal word (DANGER, WARNING, CAUTION or NOTICE, as in ANSI Z535.6)."""

    id: str
    word: str
    say: str


@dataclass(frozen=True, slots=True)
class Hazard:
    """A way in which something can hurt somebody, the caution that goes with it, and who is called."""

    id: str
    says: str
    caution: str | None
    referral: str | None
    speaks: tuple[str, ...] = ()
    """Words by which a text speaks of this hazard."""
    refused: tuple[str, ...] = ()
    """Words that `ask`, `how` and `do` may not hold under this hazard, in any form."""


@dataclass(frozen=True, slots=True)
class System:
    """A part of the vehicle that trees are sorted by."""

    id: str
    title: str
    hazards: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Referral:
    """Somebody to hand over to: whom to call, what to say, and what to do until help comes."""

    id: str
    to: str
    minutes: float
    say: str
    until_help: str
    wait: float = 0.0
    price: float = 0.0
    fixed: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """Where on the vehicle a step is done; `access` is the minutes of getting there once."""

    id: str
    says: str
    access: float


@dataclass(frozen=True, slots=True)
class Country:
    """What differs by country: the emergency numbers and who may work on gas."""

    id: str
    says: str
    numbers: tuple[str, ...]
    gas_register: str
    units: tuple[str, ...] = ()
    """Units that people there read beside those of the checks."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One of a check's possible results."""

    id: str
    says: str


@dataclass(frozen=True, slots=True)
class Band:
    """A stretch of a reading's range, as an answer: `low` belongs to it, `high` does not."""

    id: str
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Reading:
    """What a check measures: unit, range and standard uncertainty (JCGM 100)."""

    unit: str
    low: float
    high: float
    uncertainty: float


@dataclass(frozen=True, slots=True)
class Check:
    """One thing to ask, look at or measure. A reading's bands are its answers, in the same order."""

    id: str
    ask: str
    how: str
    hands: Hands
    by: Role
    minutes: float
    answers: tuple[Answer, ...]
    reading: Reading | None = None
    bands: tuple[Band, ...] = ()
    expect: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    """Event, cause or `otherwise` -> answer -> probability, words already turned into numbers."""
    not_sure: float = 0.05
    stop_on: frozenset[str] = frozenset()
    refer: str | None = None
    wait: float = 0.0
    price: float = 0.0
    at: str | None = None
    part: str | None = None
    needs: tuple[str, ...] = ()
    starts: bool = False
    restores_mains: bool = False
    hazards: frozenset[str] = frozenset()
    """Its own and, unless its hands are `look`, those of every event that `expect` names."""
    was: tuple[str, ...] = ()
    fact: bool = False
    fixed: bool = False
    mark: Mark | None = None

    def answer_ids(self) -> tuple[str, ...]:
        """The ids of the answers in file order, *not sure* apart."""
        return tuple(answer.id for answer in self.answers)


@dataclass(frozen=True, slots=True)
class Remedy:
    """What puts a cause right: something to do, a referral, or another tree that knows better."""

    kind: Literal["do", "refer", "see"]
    text: str
    """What to do, the referral's id, or the other tree's id."""
    by: Role = "owner"
    hands: Hands = "look"
    minutes: float = 0.0
    how: str = ""
    wait: float = 0.0
    price: float = 0.0
    at: str | None = None
    part: str | None = None
    needs: tuple[str, ...] = ()
    cures: float = 1.0
    restores_mains: bool = False
    hazards: frozenset[str] = frozenset()
    """Those of its cause and its own."""
    mark: Mark | None = None


@dataclass(frozen=True, slots=True)
class Event:
    """A node of a fault tree. A cause (basic event) has a remedy and no gate."""

    id: str
    says: str
    gate: Gate | None
    inputs: tuple[str, ...]
    in_100: float | None = None
    remedy: Remedy | None = None
    prevent: str = ""
    own_hazards: frozenset[str] = frozenset()
    hazards: frozenset[str] = frozenset()
    """Its own and those of every event above it, over every place where it stands."""
    chain: tuple[str, ...] = ()
    """The events above the place where it is defined, nearest first, the top left out."""
    above: frozenset[str] = frozenset()
    """Every event above it at any place, the top left out."""
    was: tuple[str, ...] = ()
    mark: Mark | None = None


@dataclass(frozen=True, slots=True)
class CuredWhen:
    """The question that has to be answered yes before anything counts as cured."""

    ask: str
    minutes: float = 0.0


@dataclass(frozen=True, slots=True)
class Tree:
    """One symptom's fault tree with its checks, checked and complete in itself."""

    id: str
    file: str
    digest: str
    symptom: str
    system: str
    refer_to: str
    cured_when: CuredWhen
    events: Mapping[str, Event]
    """Every event by id in file order; the top event stands under `TOP`."""
    checks: Mapping[str, Check]
    """Every check by id in file order: `ask_first` from the common files, own ones, and the facts in use."""
    cut_sets: tuple[tuple[str, ...], ...]
    """The minimal cut sets: ids in file order, sets ordered by those."""
    ask_first: tuple[str, ...] = ()
    also_said: tuple[str, ...] = ()
    applies_to: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    tries: int | None = None
    """How many steps of a path may start the appliance; None is without limit."""
    strength: float = 20.0
    not_listed: float = 5.0
    referrals: Mapping[str, Referral] = field(default_factory=dict)
    places: Mapping[str, Place] = field(default_factory=dict)
    caution_texts: Mapping[str, Caution] = field(default_factory=dict)
    hazards: Mapping[str, Hazard] = field(default_factory=dict)
    facts: Mapping[str, Check] = field(default_factory=dict)
    """Every fact that the common files know, whether this tree uses it or not."""
    sources: tuple[str, ...] = ()
    accept: Mapping[str, str] = field(default_factory=dict)
    shipped: bool = False
    advice: tuple[Advice, ...] = ()
    common_digest: str = ""

    def causes(self) -> tuple[Event, ...]:
        """The causes in file order."""
        return tuple(event for event in self.events.values() if event.gate is None)
