"""Shares and expectations of a tree as its past cases have them, where they clearly say something else.

    share          alpha_h / sum of alpha, alpha the Dirichlet parameters of `reasoning.model`: the file's
                   share worth `strength` cases, plus the cases, each ending's by its rate of return
    expectation    (e P + n) / (e + n total), e = `expect_strength` (methods, section 4, plain)

A file that has learned before is worth those cases besides, so that learning in two goes comes to the same as
in one: the first thousand cases are not outweighed by the next hundred.

A figure is clearly another where the file's lies outside the 90 % range (5 to 95 %, 4,000 seeded draws) of
what file and cases say together. Shares are parts of one whole: where one is clearly another, all are
written.

Cases that a file has learned go on counting in their store, so there they count more than once. How much more
is bounded: `strength` stays as it is, so of N cases no more than strength x N / (strength + N) are in the
file's shares, always fewer than `strength`; in a row of expectations fewer than `expect_strength`. That a
case never goes into the file twice is seen to by a line among its `sources` (`fitting_text`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.expectations import file_rows
from diagnose.reasoning.hypotheses import Hypothesis
from diagnose.reasoning.learning import tally_of, weighed
from diagnose.reasoning.model import Model, build_model
from diagnose.reasoning.ranking import DRAWS, log_dirichlet
from diagnose.revising.fitting_rounding import rounded
from diagnose.terms import NOT_LISTED, Check, Settings, Tally, Tree

Array = NDArray[np.float64]

SEED = 1973
AT_LEAST = 10
"""Cases below which nothing is learned into a file, unless another number is asked for."""
MOST_NOT_LISTED = 50.0
WHOLE = 100.0


@dataclass(frozen=True, slots=True)
class Share:
    """Another share: of a cause, of an `all_of` event, or of `not-listed`."""

    id: str
    old: float
    new: float
    cases: float
    """Of this cause, with those that went into the file before."""
    of: float
    """Of the tree."""


@dataclass(frozen=True, slots=True)
class Row:
    """What one cause leads one to see in one check."""

    check: str
    cause: str
    old: Mapping[str, float]
    new: Mapping[str, float]
    counts: Mapping[str, float]
    """Answer -> cases."""

    @property
    def cases(self) -> float:
        """In how many cases of the cause the check was answered."""
        return sum(self.counts.values())


@dataclass(frozen=True, slots=True)
class Fit:
    """What past cases would have a file say."""

    cases: float
    shares: tuple[Share, ...]
    rows: tuple[Row, ...]
    left: tuple[str, ...]
    """What would have been another figure and is left as it is, each with its reason."""


@dataclass(frozen=True, slots=True)
class Noted:
    """Counts that went into a file before, as they stand beside its figures."""

    shares: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Id -> (its cases, all cases)."""
    rows: Mapping[tuple[str, str], Mapping[str, float]] = field(default_factory=dict)
    """(check, cause) -> answer -> cases."""
    cases: float = 0.0
    """All cases that went into the file, from whatever store."""


def fit(
    tree: Tree,
    tally: Tally,
    settings: Settings = Settings(),  # noqa: B008 - frozen
    at_least: int = AT_LEAST,
    noted: Noted = Noted(),
) -> Fit:
    """The figures that the cases of a tally clearly say otherwise; the tally may stand under any ids.

    Shares need `at_least` cases of the tree, a row so many of its cause in which the check was answered;
    `noted` are cases that went in before, and none of the tally.
    """
    known = replace(tree, strength=tree.strength + noted.cases)
    model = build_model(known, "technician", settings, tally)
    counted = tally_of(tree, tally)
    left: list[str] = []
    shares = tuple(_shares(model, counted, noted, left)) if counted.total >= at_least else ()
    rows = tuple(_rows(model, counted, noted, at_least, left))
    return Fit(counted.total, shares, rows, tuple(left))


# Shares -----------------------------------------------------------------------------------------------------


def _shares(model: Model, counted: Tally, noted: Noted, left: list[str]) -> Iterator[Share]:
    tree = model.tree
    file = np.array([each.in_100 for each in model.hypotheses])
    keys = _keys(tree, model.hypotheses)
    draws = np.exp(log_dirichlet(np.random.default_rng(SEED), model.alpha, DRAWS))
    old = {id: float(file[members].sum()) for id, members in keys.items()}
    clear = {
        id
        for id, members in keys.items()
        if _is_outside(file[members].sum() / file.sum(), draws[:, members].sum(axis=1))
    }
    kept = [each.id for at, each in enumerate(model.hypotheses) if not any(at in m for m in keys.values())]
    if kept:
        left.append(f"the shares of {', '.join(kept)}: they are reckoned from more than one figure")
    if not clear:
        return
    room = WHOLE - sum(each.in_100 for each in model.hypotheses if each.id in kept)
    meant = {id: float(model.prior[members].sum()) for id, members in keys.items()}
    if NOT_LISTED in meant:
        meant[NOT_LISTED] = min(meant[NOT_LISTED], MOST_NOT_LISTED / room * sum(meant.values()))
    scale = room / sum(meant.values())
    new = rounded([share * scale for share in meant.values()], room, digits=1)
    for (id, members), share in zip(keys.items(), new, strict=True):
        cases = sum(counted.causes.get(model.ids[at], 0.0) for at in members)
        earlier, of = noted.shares.get(id, (0.0, 0.0))
        yield Share(id, old[id], share, cases + earlier, counted.total + of)


def _keys(tree: Tree, hypotheses: Sequence[Hypothesis]) -> dict[str, list[int]]:
    """Whose `in_100` it is -> the hypotheses whose shares it gives, where it gives them alone."""
    ruling = [
        event.id
        for event in tree.events.values()
        if event.gate == "all_of"
        and event.in_100 is not None
        and not any(
            tree.events[id].in_100 is not None for id in event.above if tree.events[id].gate == "all_of"
        )
    ]
    together = {cause for each in hypotheses if len(each.causes) > 1 for cause in each.causes}
    keys: dict[str, list[int]] = {}
    for at, each in enumerate(hypotheses):
        over = [id for id in ruling if all(id in tree.events[cause].above for cause in each.causes)]
        if each.id == NOT_LISTED:
            keys[NOT_LISTED] = [at]
        elif len(over) == 1:
            keys.setdefault(over[0], []).append(at)
        elif not over and len(each.causes) == 1 and each.id not in together:
            keys[each.id] = [at]
    return keys


# Expectations -----------------------------------------------------------------------------------------------


def _rows(model: Model, counted: Tally, noted: Noted, at_least: int, left: list[str]) -> Iterator[Row]:
    learned = weighed(counted)
    for check in model.tree.checks.values():
        if check.id in model.tree.ask_first or check.fixed:
            continue
        table = file_rows(model.tree, check, model.hypotheses)
        for row, each in zip(table, model.hypotheses, strict=True):
            if len(each.causes) == 1:
                found = _row(model, check, each.id, row, (counted, learned), noted, at_least)
                reason = _why_not(model.tree, check, each.id) if found is not None else ""
                if reason:
                    left.append(f"what {check.id} expects of {each.id}: {reason}")
                elif found is not None:
                    yield found


def _row(
    model: Model,
    check: Check,
    cause: str,
    file: Array,
    sums: tuple[Tally, Tally],
    noted: Noted,
    at_least: int,
) -> Row | None:
    """The row that the cases say (as counted, and weighed); None where few, or nothing clearly different."""
    ids = check.answer_ids()
    counts, weights = (
        np.array([each.answers.get((cause, check.id, id), 0.0) for id in ids]) for each in sums
    )
    before = noted.rows.get((check.id, cause), {})
    earlier = np.array([before.get(id, 0.0) for id in ids])
    if not counts.any() or counts.sum() + earlier.sum() < at_least:
        return None
    alpha = (model.settings.expect_strength + earlier.sum()) * file + weights
    draws = np.exp(log_dirichlet(np.random.default_rng(SEED), alpha, DRAWS))
    if not any(_is_outside(float(old), draws[:, at]) for at, old in enumerate(file)):
        return None
    new, old = (rounded(row.tolist(), 1.0, digits=2) for row in (alpha / alpha.sum(), file))
    if new == old:
        return None
    every = dict(zip(ids, (counts + earlier).tolist(), strict=True))
    return Row(check.id, cause, dict(zip(ids, old, strict=True)), dict(zip(ids, new, strict=True)), every)


def _why_not(tree: Tree, check: Check, cause: str) -> str:
    """Why no entry of its own may be written for a cause; "" where it may, or is there already.

    An entry gives its check the hazards of its cause, and under gas or mains makes it a check of theirs,
    which lets a walk ask on where it would have referred: neither may come from counting.
    """
    if cause in check.expect:
        return ""
    event = tree.events[cause]
    if check.hands != "look" and not event.hazards <= check.hazards:
        return "an entry of its own would give the check other hazards"
    named = any(id in check.expect for id in event.above)
    if event.hazards & {"gas", "mains"} and not named:
        return "under gas and mains only an author may name a cause in a check"
    return ""


def _is_outside(old: float, draws: Array) -> bool:
    low, high = np.quantile(draws, [0.05, 0.95])
    return not low <= old <= high
