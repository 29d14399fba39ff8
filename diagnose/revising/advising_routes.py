"""Advice on what routes do: checks never asked, remedies never tried, causes that no check separates.

All are read off the file's own figures and the two compiled routes, the owner's and the technician's.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from diagnose.knowledge.ids import quoted
from diagnose.reasoning.hypotheses import Hypothesis
from diagnose.reasoning.model import HAND_OVER_MINUTES, REFERRING_HAZARDS, Model
from diagnose.reasoning.route import Route
from diagnose.terms import NOT_LISTED, TOP, Advice, Mark, Role, Tree

Array = NDArray[np.float64]

SEPARATES = 0.1
"""A check separates two causes if its answers differ between them by so much (total variation)."""
WORTH = 0.2
"""Minutes a walk, on average over all walks of the tree, that telling two causes apart has to save."""
_SAME = 1e-9


def advice_on_routes(tree: Tree, models: Mapping[Role, Model], routes: Mapping[Role, Route]) -> list[Advice]:
    """What is to be said of a tree's checks and remedies; the models and routes are those of both roles."""
    return [
        *_idle_checks(tree, models, routes),
        *_idle_remedies(tree, models, routes),
        *_not_separated(tree, models),
    ]


def placed(mark: Mark | None, tree: Tree, name: str, text: str) -> Advice:
    """A piece of advice at a mark, else at the head of the file; its name is told, so it can be accepted."""
    at = mark or Mark(tree.file, 1, 1)
    return Advice(at.file, at.line, at.column, name, f"{text} ({name})")


def mark_of(tree: Tree, hypothesis: str) -> Mark | None:
    """Where the first cause of a cut set stands; `not-listed` is about the top event."""
    first = TOP if hypothesis == NOT_LISTED else hypothesis.split("+")[0]
    return tree.events[first].mark


# Checks ---------------------------------------------------------------------------------------------------


def _idle_checks(tree: Tree, models: Mapping[Role, Model], routes: Mapping[Role, Route]) -> Iterator[Advice]:
    """Checks that tell nothing, else those that nobody is asked; what is asked first is always asked.

    A fact is known ahead and costs nothing, so it is never idle unless it tells nothing.
    """
    rows = models["technician"].rows
    asked = {node.of for route in routes.values() for node in route.nodes if node.kind == "check"}
    for check in tree.checks.values():
        if check.id in tree.ask_first:
            continue
        name = f"{'fact' if check.fact else 'check'} {quoted(check.id)}"
        if np.abs(rows[check.id] - rows[check.id][0]).max() <= _SAME and not check.stop_on:
            text = f"{name} expects the same answers whatever the cause, so it tells nothing"
            yield placed(
                check.mark, tree, "check-tells-nothing",
                f"{text}; say under expect what differs, or leave it out",
            )  # fmt: skip
        elif not check.fact and check.id not in asked:
            cost = models["technician"].checks[models["technician"].check_index[check.id]].cost
            text = f"no route, an owner's or a technician's, asks {name}: its answers never save the"
            text += f" {cost:g} minutes that it costs"
            yield placed(
                check.mark, tree, "check-never-asked",
                f"{text}; make it shorter or its answers clearer, or leave it out",
            )  # fmt: skip


# Remedies -------------------------------------------------------------------------------------------------


def _idle_remedies(
    tree: Tree, models: Mapping[Role, Model], routes: Mapping[Role, Route]
) -> Iterator[Advice]:
    """Remedies that somebody may try and that no route tries, with what they cost beside the referral."""
    tried = {node.of for route in routes.values() for node in route.nodes if node.kind == "remedy"}
    model = models["technician"]  # who may try whatever an owner may
    for remedy in model.remedies:
        each = model.hypotheses[remedy.hypothesis]
        if each.id in tried:
            continue
        text = f"no route, an owner's or a technician's, tries the remedy of {quoted(each.id)}:"
        cures = f" and cures {100 * remedy.cures:.0f} of 100" if remedy.cures < 1 else ""
        text += f" it costs {remedy.cost:g} minutes{cures}, "
        referral = _calls(model, each)
        if remedy.cost >= model.refer_cost * remedy.cures:
            text += f"{quoted(referral)} {model.refer_cost:g}; make it cheaper"
        else:
            text += (
                f"yet {quoted(referral)} is called before it is likely enough; give a check that points to it"
            )
        yield placed(
            mark_of(tree, each.id), tree, "remedy-never-tried", f"{text}, or write {{refer: {referral}}}"
        )


def _calls(model: Model, each: Hypothesis) -> str:
    """Who would be called in place of a remedy: under gas and mains the hazard's own referral."""
    own = (model.tree.hazards[hazard].referral for hazard in REFERRING_HAZARDS if hazard in each.hazards)
    return next(own, None) or model.tree.refer_to


# Causes that no check separates ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Unseparated:
    """Two hypotheses, by place, that no check tells apart."""

    first: int
    second: int
    loses: float
    """Minutes a walk, over all walks of the tree, that not knowing which of the two it is costs."""
    most: float
    """A check may take so many minutes and still pay, asked when it is one of the two."""


def _not_separated(tree: Tree, models: Mapping[Role, Model]) -> Iterator[Advice]:
    """For each cause the dearest pair in which it stands, each pair once."""
    told: set[int] = set()
    for pair in sorted(unseparated(models), key=lambda each: -each.loses):
        if pair.first in told and pair.second in told:
            continue
        told |= {pair.first, pair.second}
        model = models["technician"]
        first, second = model.ids[pair.first], model.ids[pair.second]
        text = f"no check tells {quoted(first)} from {quoted(second)}, which are put right in different ways"
        text += f"; {_could(model, pair)}, and a check of up to {pair.most:.2g} minutes would pay"
        yield placed(mark_of(tree, second), tree, "not-separated", text)


def unseparated(models: Mapping[Role, Model]) -> list[Unseparated]:
    """Every two listed hypotheses that no check or fact separates by `SEPARATES` and that are worth it.

    Worth it are those whose remedies differ so that not knowing loses `WORTH` minutes a walk or more, for
    the role that it costs most.
    """
    tables = models["technician"].rows.values()
    listed = len(models["technician"].ids) - 1
    found = []
    for first, second in combinations(range(listed), 2):
        if any(_apart(rows, first, second) >= SEPARATES - _SAME for rows in tables):
            continue
        loses = max(_lost(model, first, second) for model in models.values())
        if loses >= WORTH - _SAME:
            both = float(models["owner"].prior[[first, second]].sum())
            found.append(Unseparated(first, second, loses, loses / both))
    return found


def _apart(rows: Array, first: int, second: int) -> float:
    """Total variation: by how much of all cases the answers differ."""
    return float(np.abs(rows[first] - rows[second]).sum() / 2)


def _lost(model: Model, first: int, second: int) -> float:
    """Minutes a walk lost by not knowing which of two it is: the best blind step against knowing.

    Blind, one of their two remedies or the referral is taken first and the right one after it.
    """
    pair = np.array([first, second])
    knowing = np.minimum([_own_cost(model, at) for at in pair], model.refer_cost)
    blind = [model.refer_cost - knowing]  # `refer_to` serves both
    for at in pair:
        serves = np.array([_serves(model, at, each) for each in pair])
        blind.append(_own_cost(model, at) - knowing + np.where(serves, 0.0, knowing))
    return min(float(model.prior[pair] @ each) for each in blind)


def _own_cost(model: Model, at: int) -> float:
    """What putting right one hypothesis costs this role, getting there left out."""
    each = model.hypotheses[at]
    if each.ending == "do":
        return model.remedies[model.remedy_index[each.id]].cost
    if each.ending == "see":
        return HAND_OVER_MINUTES
    said = (e.minutes for e in model.endings if e.step.kind == "referral" and e.step.of == each.target)
    return next(said, model.refer_cost)


def _serves(model: Model, at: int, other: int) -> bool:
    """Whether what puts right one hypothesis puts right another one, too."""
    one, two = model.hypotheses[at], model.hypotheses[other]
    if at == other or one.ending == "none" or one.target == model.tree.refer_to:
        return True
    if one.ending != two.ending or one.ending != "do":
        return (one.ending, one.target) == (two.ending, two.target)
    return _done(model.tree, one.causes) == _done(model.tree, two.causes)


def _done(tree: Tree, causes: tuple[str, ...]) -> set[str]:
    """What is done about some causes, in its own words."""
    return {remedy.text for cause in causes if (remedy := tree.events[cause].remedy) is not None}


def _could(model: Model, pair: Unseparated) -> str:
    """What could separate two causes: the check that comes nearest to it, else a new one."""
    apart = {
        id: _apart(rows, pair.first, pair.second)
        for id, rows in model.rows.items()
        if id not in model.tree.ask_first and not model.tree.checks[id].fact
    }
    nearest = max(apart, key=lambda id: apart[id], default=None)
    if nearest is None:
        return "add one whose answers differ between them"
    if apart[nearest] > _SAME:
        share = f"by {100 * apart[nearest]:.0f} of 100"
        return f"the answers of {quoted(nearest)} differ {share}: make them differ more, or add a check"
    return f"let expect of {quoted(nearest)} or of another check differ between them, or add a check"
