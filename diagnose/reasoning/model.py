"""One tree, one role and one tally as arrays: all that ranking, planning and routes are computed from.

Sizes are small (some 15 hypotheses, 15 checks), so tables are plain float arrays with a row for each
hypothesis; sets of checks, remedies and places are bit masks, so that thousands of states can be handled in
one array.
"""

from __future__ import annotations

from collections.abc import Container, Mapping, Set
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.expectations import file_rows, learned_pseudo_counts
from diagnose.reasoning.hypotheses import Hypothesis, hypotheses
from diagnose.reasoning.learning import tally_of, weighed
from diagnose.terms import NOT_LISTED, Check, DiagnoseError, Referral, Role, Settings, Step, Tally, Tree

Array = NDArray[np.float64]

HAND_OVER_MINUTES = 5.0
MOST_STEPS = 60
"""Steps are bits of one number."""
REFERRING_HAZARDS = ("gas", "mains")


class TreeTooLarge(DiagnoseError):
    """A tree has more checks and remedies than one plan can hold."""


@dataclass(frozen=True, slots=True, eq=False)
class CheckTable:
    """One check that may be asked, as the planner sees it."""

    check: Check
    rows: Array
    """P(answer | hypothesis): hypotheses by answers."""
    cost: float
    places: int
    """The bit of the place where it is done, or 0."""
    stops: tuple[bool, ...]
    """Which answers end the walk in a stop."""
    stop_referral: int
    """Index into the model's endings, or -1."""
    first: bool
    """Whether it is one of `ask_first`."""


@dataclass(frozen=True, slots=True, eq=False)
class RemedyTable:
    """One remedy that may be tried: which hypothesis it puts right, at what cost, how surely."""

    hypothesis: int
    cost: float
    places: int
    cures: float
    restores_mains: bool


@dataclass(frozen=True, slots=True, eq=False)
class Ending:
    """A way to end: costs `minutes`, plus a referral to `refer_to` for what it does not serve."""

    step: Step
    minutes: float
    serves: Array
    """1 where it serves the hypothesis, else 0."""


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """Everything about a tree that does not change during a walk."""

    tree: Tree
    role: Role
    settings: Settings
    tally: Tally
    """What is learned from: the confirmed cases, weighed by how each ending's outcomes come back."""
    confirmed: Mapping[str, float]
    """Hypothesis id -> confirmed cases, unweighed."""
    hurry: bool
    hypotheses: tuple[Hypothesis, ...]
    alpha: Array
    """Parameters of the Dirichlet prior: strength times share, plus confirmed cases."""
    pseudo_counts: Mapping[str, Array]
    """Check or fact id -> Dirichlet parameters of every row (hypotheses by answers)."""
    rows: Mapping[str, Array]
    """Check or fact id -> the means of those."""
    checks: tuple[CheckTable, ...]
    """Those that this role may be asked, `ask_first` in order, then file order; facts are not asked."""
    remedies: tuple[RemedyTable, ...]
    endings: tuple[Ending, ...]
    """Referrals first (`refer_to` the very first), then hand-overs; then referrals only stops lead to."""
    referrals: int
    """How many endings at the front are referrals that a step may choose."""
    hand_overs: int
    """How many endings after those are hand-overs."""
    access: Array
    """Minutes of getting to each place, by its bit."""
    place_bits: Mapping[str, int]
    mains_and_gas: Array
    """For gas and for mains: 1 where the hypothesis is under it (2 by hypotheses)."""
    ids: tuple[str, ...]
    """The hypotheses' ids in the order of all arrays."""
    index: Mapping[str, int] = field(default_factory=dict)
    """Hypothesis id -> its place in all arrays."""
    check_index: Mapping[str, int] = field(default_factory=dict)
    remedy_index: Mapping[str, int] = field(default_factory=dict)
    """Hypothesis id -> place among the remedies."""
    cannot: frozenset[str] = frozenset()
    """What this person cannot do: no step that needs it is among the checks or remedies (but `ask_first`)."""

    @property
    def prior(self) -> Array:
        """The mean share of each hypothesis before any finding."""
        return np.asarray(self.alpha / self.alpha.sum())

    @property
    def refer_cost(self) -> float:
        """What a referral to `refer_to` costs."""
        return self.endings[0].minutes


def build_model(
    tree: Tree,
    role: Role = "owner",
    settings: Settings = Settings(),  # noqa: B008 - frozen
    tally: Tally = Tally(),  # noqa: B008 - frozen
    other_trees: Container[str] = (),
    hurry: bool = False,
    cannot: Set[str] = frozenset(),
) -> Model:
    """The arrays of one tree for one role; `other_trees` are the ids that a hand-over may lead to.

    `cannot` holds what this person cannot do, in the words of `needs`: such a step is not theirs.

    Cost: a few milliseconds, growing with hypotheses times answers; independent of the number of cases.
    """
    confirmed = tally_of(tree, tally)
    tally = weighed(confirmed)
    rates = _Rates(1.0 if hurry else settings.wait_rate, settings.money_per_minute)
    listed = hypotheses(tree, role, cannot)
    place_bits = {place: bit for bit, place in enumerate(_places_used(tree))}
    pseudo = {
        check.id: learned_pseudo_counts(
            tree, check, listed, file_rows(tree, check, listed), tally, settings.expect_strength
        )
        for check in tree.checks.values()
    }
    rows = {id: table / table.sum(axis=1, keepdims=True) for id, table in pseudo.items()}
    endings, referrals, hand_overs = _endings(tree, listed, other_trees, rates)
    ending_of = {ending.step.of: at for at, ending in enumerate(endings) if ending.step.kind == "referral"}
    checks = tuple(
        _check_table(tree, check, rows[check.id], rates, place_bits, ending_of)
        for check in _asked(tree, role, cannot)
    )
    remedies = tuple(
        RemedyTable(
            at,
            rates.cost(each.minutes + tree.cured_when.minutes, each.wait, each.price),
            sum(1 << place_bits[place] for place in each.places),
            each.cures,
            each.restores_mains,
        )
        for at, each in enumerate(listed)
        if each.ending == "do"
    )
    if len(checks) + len(remedies) > MOST_STEPS:
        raise TreeTooLarge(f'"{tree.id}" has more than {MOST_STEPS} checks and remedies together; split it')
    in_100 = np.array([each.in_100 for each in listed])
    counted = np.array([tally.causes.get(each.id, 0.0) for each in listed])
    return Model(
        tree=tree,
        role=role,
        settings=settings,
        tally=tally,
        confirmed=confirmed.causes,
        hurry=hurry,
        hypotheses=listed,
        alpha=tree.strength * in_100 / in_100.sum() + counted,
        pseudo_counts=pseudo,
        rows=rows,
        checks=checks,
        remedies=remedies,
        endings=endings,
        referrals=referrals,
        hand_overs=hand_overs,
        access=np.array([tree.places[place].access for place in place_bits], dtype=float),
        place_bits=place_bits,
        mains_and_gas=np.array(
            [[float(hazard in each.hazards) for each in listed] for hazard in REFERRING_HAZARDS]
        ),
        ids=tuple(each.id for each in listed),
        index={each.id: at for at, each in enumerate(listed)},
        check_index={table.check.id: at for at, table in enumerate(checks)},
        remedy_index={listed[table.hypothesis].id: at for at, table in enumerate(remedies)},
        cannot=frozenset(cannot),
    )


@dataclass(frozen=True, slots=True)
class _Rates:
    wait: float
    money_per_minute: float

    def cost(self, minutes: float, wait: float, price: float) -> float:
        """Everything in minutes: work, waiting at its rate, money at its rate."""
        return minutes + wait * self.wait + price / self.money_per_minute

    def of(self, referral: Referral) -> float:
        return self.cost(referral.minutes, referral.wait, referral.price)


def _places_used(tree: Tree) -> list[str]:
    places = [check.at for check in tree.checks.values()]
    places += [event.remedy.at for event in tree.causes() if event.remedy is not None]
    return list(dict.fromkeys(place for place in places if place is not None))


def _asked(tree: Tree, role: Role, cannot: Set[str]) -> list[Check]:
    """What is asked first is asked of everybody: whoever cannot smell asks somebody who can."""
    first = [tree.checks[id] for id in tree.ask_first]
    others = [
        check
        for check in tree.checks.values()
        if not check.fact
        and check.id not in tree.ask_first
        and (role == "technician" or check.by == "owner")
        and cannot.isdisjoint(check.needs)
    ]
    return first + others


def _check_table(
    tree: Tree,
    check: Check,
    rows: Array,
    rates: _Rates,
    place_bits: Mapping[str, int],
    ending_of: Mapping[str, int],
) -> CheckTable:
    return CheckTable(
        check=check,
        rows=rows,
        cost=rates.cost(check.minutes, check.wait, check.price),
        places=1 << place_bits[check.at] if check.at is not None else 0,
        stops=tuple(answer in check.stop_on for answer in check.answer_ids()),
        stop_referral=ending_of[check.refer] if check.refer is not None else -1,
        first=check.id in tree.ask_first,
    )


def _endings(
    tree: Tree, listed: tuple[Hypothesis, ...], other_trees: Container[str], rates: _Rates
) -> tuple[tuple[Ending, ...], int, int]:
    """Referrals that a step may choose, then hand-overs, then referrals that only stops lead to."""

    def referral(id: str) -> Ending:
        said = [each.ending == "refer" and each.target == id for each in listed]
        serves = np.ones(len(listed)) if id == tree.refer_to else np.array(said, dtype=float)
        return Ending(Step("referral", id), rates.of(tree.referrals[id]), serves)

    chosen = dict.fromkeys([tree.refer_to, *(each.target for each in listed if each.ending == "refer")])
    hand_overs = [
        Ending(Step("handover", each.target), HAND_OVER_MINUTES, np.eye(len(listed))[at])
        for at, each in enumerate(listed)
        if each.ending == "see" and each.target in other_trees and each.id != NOT_LISTED
    ]
    stops = dict.fromkeys(check.refer for check in tree.checks.values() if check.refer is not None)
    only_stops = [referral(id) for id in stops if id not in chosen]
    return (
        (*(referral(id) for id in chosen), *hand_overs, *only_stops),
        len(chosen),
        len(hand_overs),
    )
