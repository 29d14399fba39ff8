"""One tree as the page knows it: its texts, its tables and its compiled route, as values for JSON.

What a value is by default is left out, and the script `data.js` puts it back. Tables are written as the
distinct rows of each, with the row of every hypothesis by its place; the route as one list of numbers, for a
step says how many edges a node has. Figures keep twelve digits: shares then agree to 1e-10, and the page is
the same on every machine.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.reasoning.allowing import steps_under
from diagnose.reasoning.model import REFERRING_HAZARDS, Model
from diagnose.reasoning.route import Route, RouteNode
from diagnose.terms import (
    COULD_NOT,
    CURED,
    NOT_CURED,
    NOT_SURE,
    Caution,
    Check,
    Event,
    Finding,
    Place,
    Referral,
    Remedy,
    Tree,
)
from diagnose.walking.stops import danger_referrals

Values = dict[str, Any]


def tree_data(
    model: Model,
    route: Route,
    ahead: Sequence[Finding] = (),
    common: tuple[Mapping[str, Caution], Mapping[str, Referral], Mapping[str, Place]] = ({}, {}, {}),
) -> Values:
    """The document of one tree; the script's comments in `engine.js` say what stands where.

    `ahead` is what a vehicle's card gives for this tree, `common` what the page holds for all trees, which
    is not told again.
    """
    tree = model.tree
    cautions, referrals, places = common
    return {
        "id": tree.id,
        "symptom": tree.symptom,
        "system": tree.system,
        "alsoSaid": tree.also_said,
        "digest": tree.digest,
        "shipped": tree.shipped,
        "tries": tree.tries,
        "referTo": tree.refer_to,
        "cautions": tree.cautions,
        "askFirst": tree.ask_first,
        "appliesTo": tree.applies_to,
        "curedWhen": {"ask": tree.cured_when.ask, "minutes": tree.cured_when.minutes},
        "checks": {check.id: check_data(check) for check in tree.checks.values()},
        "causes": {cause.id: _cause(cause) for cause in tree.causes()},
        "referrals": {id: referral_data(r) for id, r in tree.referrals.items() if referrals.get(id) != r},
        "places": {id: place_data(p) for id, p in tree.places.items() if places.get(id) != p},
        "cautionTexts": {
            id: caution_data(c) for id, c in tree.caution_texts.items() if cautions.get(id) != c
        },
        "dangerReferrals": danger_referrals(tree),
        "hypotheses": [
            {"id": each.id, "says": each.says}
            | _unlike({"cures": 1.0}, {"cures": each.cures})
            | _unlike({"cases": 0.0}, {"cases": figure(model.confirmed.get(each.id, 0.0))})
            for each in model.hypotheses
        ],
        "alpha": [figure(each) for each in model.alpha],
        "tables": {id: _table(table) for id, table in model.pseudo_counts.items()},
        "referring": [_referring(model, row) for row in range(len(REFERRING_HAZARDS))],
        "endings": [_ending(model, at) for at in range(model.referrals)],
        **route_data(model, route),
        "ahead": [_finding(each) for each in ahead],
    }


def figure(value: float) -> float | int:
    """A number with twelve digits, a whole one without its point."""
    short = float(f"{value:.12g}")
    return int(short) if short.is_integer() else short


CHECK = {
    "how": "",
    "hands": "look",
    "by": "owner",
    "wait": 0,
    "price": 0,
    "at": None,
    "part": None,
    "needs": (),
    "notSure": 0.05,
    "stopOn": [],
    "refer": None,
    "starts": False,
    "restoresMains": False,
    "hazards": [],
    "was": (),
    "fact": False,
    "fixed": False,
    "reading": None,
    "bands": [],
}
"""What a check is where it says nothing; the script has the same (`data.js`)."""


def check_data(check: Check) -> Values:
    """A check or a fact; what is as usual is left out."""
    reading = check.reading
    whole = {
        "how": check.how,
        "hands": check.hands,
        "by": check.by,
        "wait": figure(check.wait),
        "price": figure(check.price),
        "at": check.at,
        "part": check.part,
        "needs": check.needs,
        "notSure": figure(check.not_sure),
        "stopOn": [answer for answer in check.answer_ids() if answer in check.stop_on],
        "refer": check.refer,
        "starts": check.starts,
        "restoresMains": check.restores_mains,
        "hazards": sorted(check.hazards - {"none"}),
        "was": check.was,
        "fact": check.fact,
        "fixed": check.fixed,
        "reading": None
        if reading is None
        else {
            "unit": reading.unit,
            "low": figure(reading.low),
            "high": figure(reading.high),
            "uncertainty": figure(reading.uncertainty),
        },
        "bands": [{"id": b.id, "low": figure(b.low), "high": figure(b.high)} for b in check.bands],
    }
    answers = [{"id": answer.id, "says": answer.says} for answer in check.answers]
    return {"ask": check.ask, "minutes": figure(check.minutes), "answers": answers} | _unlike(CHECK, whole)


def referral_data(referral: Referral) -> Values:
    """Somebody to hand over to."""
    return {
        "to": referral.to,
        "minutes": figure(referral.minutes),
        "wait": figure(referral.wait),
        "price": figure(referral.price),
        "say": referral.say,
        "untilHelp": referral.until_help,
    }


def place_data(place: Place) -> Values:
    """A place on the vehicle."""
    return {"says": place.says, "access": figure(place.access)}


def caution_data(caution: Caution) -> Values:
    """A safety text."""
    return {"word": caution.word, "say": caution.say}


def route_data(model: Model, route: Route) -> Values:
    """The route's distinct steps, and its nodes as one list: a step, then where each of its answers leads."""
    steps = list(dict.fromkeys((node.kind, node.of) for node in route.nodes))
    place = {step: at for at, step in enumerate(steps)}
    nodes: list[int] = []
    for node in route.nodes:
        nodes.append(place[node.kind, node.of])
        nodes += [node.edges[answer].to for answer in _answers(model.tree, node)]
    return {"steps": [{"kind": kind, "of": of} for kind, of in steps], "nodes": nodes}


def _answers(tree: Tree, node: RouteNode) -> tuple[str, ...]:
    """The answers of a node in their order, *not sure* last; none where the route ends."""
    if node.kind == "check":
        return (*tree.checks[node.of].answer_ids(), NOT_SURE)
    return (CURED, NOT_CURED, COULD_NOT) if node.kind == "remedy" else ()


REMEDY = {
    "how": "",
    "by": "owner",
    "hands": "look",
    "minutes": 0,
    "wait": 0,
    "price": 0,
    "at": None,
    "part": None,
    "needs": (),
    "cures": 1,
    "restoresMains": False,
    "hazards": [],
}


def _cause(cause: Event) -> Values:
    assert cause.remedy is not None
    usual = {"prevent": "", "hazards": [], "was": ()}
    whole = {"prevent": cause.prevent, "hazards": sorted(cause.hazards - {"none"}), "was": cause.was}
    return {"says": cause.says, "remedy": _remedy(cause.remedy)} | _unlike(usual, whole)


def _remedy(remedy: Remedy) -> Values:
    whole = {
        "how": remedy.how,
        "by": remedy.by,
        "hands": remedy.hands,
        "minutes": figure(remedy.minutes),
        "wait": figure(remedy.wait),
        "price": figure(remedy.price),
        "at": remedy.at,
        "part": remedy.part,
        "needs": remedy.needs,
        "cures": figure(remedy.cures),
        "restoresMains": remedy.restores_mains,
        "hazards": sorted(remedy.hazards - {"none"}),
    }
    return {"kind": remedy.kind, "text": remedy.text} | _unlike(REMEDY, whole)


def _table(table: Any) -> Values:
    """The distinct rows of a table, and which of them each hypothesis has."""
    rows = [tuple(figure(value) for value in row) for row in table.tolist()]
    distinct = list(dict.fromkeys(rows))
    return {"rows": distinct, "of": [distinct.index(row) for row in rows]}


def _referring(model: Model, row: int) -> Values:
    """What rule 3 looks at: the hypotheses under gas or mains, and the steps that are theirs."""
    checks, remedies = steps_under(model, REFERRING_HAZARDS[row])
    done = [model.hypotheses[table.hypothesis].id for table in model.remedies]
    return {
        "hypotheses": [at for at, under in enumerate(model.mains_and_gas[row].tolist()) if under],
        "checks": [t.check.id for t, is_theirs in zip(model.checks, checks, strict=True) if is_theirs],
        "remedies": [id for id, is_theirs in zip(done, remedies, strict=True) if is_theirs],
    }


def _ending(model: Model, at: int) -> Values:
    """A referral that may be chosen: what it costs in minutes, and the hypotheses that it serves."""
    ending = model.endings[at]
    serves = [place for place, served in enumerate(ending.serves.tolist()) if served]
    return {"of": ending.step.of, "minutes": figure(ending.minutes), "serves": serves}


def _finding(finding: Finding) -> Values:
    return {
        "check": finding.check,
        "answer": finding.answer,
        "value": finding.value,
        "uncertainty": finding.uncertainty,
    }


def _unlike(usual: Mapping[str, Any], whole: Mapping[str, Any]) -> Values:
    """Those of the values that are not as usual."""
    return {key: value for key, value in whole.items() if value != usual[key]}
