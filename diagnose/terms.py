"""The words that the rooms hand to each other: frozen values, and one base error.

Terms are those of the trade and of IEC 61025 (fault trees), IEC 60050-192 (dependability) and ANSI Z535
(signal words). Nothing here computes, reads a file or knows a screen.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Hands = Literal["look", "controls", "tools"]
Role = Literal["owner", "technician"]
Gate = Literal["any_of", "all_of"]
StepKind = Literal["check", "remedy", "referral", "stop", "handover"]
State = Literal["open", "left-off", "cured", "referred", "stopped"]

TOP = ""
"""The key under which the top event (the symptom itself) stands among a tree's events."""

NOT_LISTED = "not-listed"
NOT_SURE = "not-sure"
CURED = "cured"
NOT_CURED = "not-cured"
COULD_NOT = "could-not"


class DiagnoseError(Exception):
    """Something the user can understand and act on; its text is one clear sentence. Exit code 1."""

    exit_code = 1


class WrongUsage(DiagnoseError):
    """The command was called in a way that it does not understand. Exit code 2."""

    exit_code = 2


@dataclass(frozen=True, slots=True, order=True)
class Mark:
    """A place in a text file: line and column count from 1, in characters."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True, order=True)
class Flaw:
    """What is wrong with a file, where, and the nearest right word."""

    file: str
    line: int
    column: int
    text: str
    meant: str = ""

    @property
    def message(self) -> str:
        """The text with its suggestion, without the place."""
        return self.text + (f' (did you mean "{self.meant}"?)' if self.meant else "")

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: {self.message}"


@dataclass(frozen=True, slots=True, order=True)
class Advice:
    """Something in a file that is allowed, yet better otherwise; `name` is what `accept:` refers to."""

    file: str
    line: int
    column: int
    name: str
    text: str

    @property
    def message(self) -> str:
        """The text without the place."""
        return self.text

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: {self.text}"


class FlawedKnowledge(DiagnoseError):
    """One or more files do not hold what they should; carries every flaw, sorted by place."""

    def __init__(self, flaws: tuple[Flaw, ...]) -> None:
        self.flaws = tuple(sorted(flaws))
        super().__init__("\n".join(str(flaw) for flaw in self.flaws))


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


@dataclass(frozen=True, slots=True)
class Finding:
    """An answer (or *not sure*), or a reading with its standard uncertainty, obtained for a check or fact."""

    check: str
    answer: str | None = None
    """The answer's id; for a reading the band that holds the value."""
    value: float | None = None
    uncertainty: float | None = None


@dataclass(frozen=True, slots=True)
class Situation:
    """All that is known in one walk: findings by check, and what became of the remedies tried.

    The order in which things were found is not part of it; nothing in the arithmetic depends on that order.
    """

    findings: Mapping[str, Finding] = field(default_factory=dict)
    tried: Mapping[str, str] = field(default_factory=dict)
    """Cut set id -> `not-cured` or `could-not`."""


@dataclass(frozen=True, slots=True)
class Step:
    """What to do next: `of` is the id of the check, cut set, referral or tree (a stop's is its referral)."""

    kind: StepKind
    of: str


@dataclass(frozen=True, slots=True)
class Ranked:
    """One line of a ranking: a hypothesis with its share and the 5 and 95 % points of that share."""

    cause: str
    says: str
    share: float
    low: float
    high: float
    cases: float = 0.0
    """Confirmed cases behind it (as counted)."""


@dataclass(frozen=True, slots=True)
class EndedCases:
    """The cases of one symptom that ended in one way: how many there are, and the sums over the confirmed."""

    ended: float
    """All of them, whether or not it was ever told what the matter was."""
    confirmed: float
    causes: Mapping[str, float] = field(default_factory=dict)
    answers: Mapping[tuple[str, str, str], float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Tally:
    """Sums over confirmed cases of one symptom, as the ranking takes them."""

    causes: Mapping[str, float] = field(default_factory=dict)
    """Cut set id or `not-listed` -> count."""
    answers: Mapping[tuple[str, str, str], float] = field(default_factory=dict)
    """(cut set id, check id, answer id) -> count; *not sure* is not counted."""
    endings: Mapping[str, EndedCases] = field(default_factory=dict)
    """The same sums by ending (a case's state), with the cases nobody confirmed; empty where unknown."""

    @property
    def total(self) -> float:
        """All confirmed cases."""
        return float(sum(self.causes.values()))


@dataclass(frozen=True, slots=True)
class Settings:
    """Figures that a user may set; the defaults are those of the design."""

    wait_rate: float = 0.05
    """What one minute of waiting costs, in minutes of work."""
    money_per_minute: float = 0.50
    """How much money weighs as much as one minute of work."""
    expect_strength: float = 10.0
    """How many cases the expectations of a file are worth."""
    half_life: float | None = None
    """Years after which a confirmed case counts half; None never."""
    country: str | None = None
