"""What was found, what comes next, what is likely, and what was counted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.terms.words import StepKind


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
