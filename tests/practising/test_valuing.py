"""What a choice loses: nothing on the route, and off it against every value there is."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.practising import valuing
from diagnose.practising.valuing import (
    codes_of_steps,
    first_pending,
    step_on_route,
    valued,
    values_of_steps,
)
from diagnose.reasoning.decisions import step_of
from diagnose.terms import NOT_CURED, Finding, Situation, Step
from tests.practising.by_hand import route, stove
from tests.reasoning.by_hand import cause, check, do, model_of
from tests.reasoning.made_up_trees import OTHER_TREES

QUIET = {id: Finding(id, said) for id, said in (("smell-of-gas", "no"), ("co-alarm", "quiet"))}


def known(tried=(), **found):
    said = {id.replace("_", "-"): Finding(id.replace("_", "-"), answer) for id, answer in found.items()}
    return Situation({**QUIET, **said}, dict.fromkeys(tried, NOT_CURED))


def along(answers=2):
    """Situations on the route with the step that it takes there, by the first answers of each step."""
    found, at, findings, tried = [], route().start, {}, {}
    for _ in range(answers):
        node = route().nodes[at]
        if node.kind not in ("check", "remedy"):
            break
        found.append((Situation(dict(findings), dict(tried)), Step(node.kind, node.of)))
        if node.kind == "check":
            answer = next(id for id in node.edges if id not in stove().tree.checks[node.of].stop_on)
            findings[node.of] = Finding(node.of, answer)
        else:
            answer = tried[node.of] = NOT_CURED
        at = node.edges[answer].to
    return found


def test_on_the_route_the_routes_own_step_loses_nothing_and_is_told_as_the_best():
    walked = along(9)
    assert {step.kind for _, step in walked} == {"check", "remedy"}
    for situation, step in walked:
        assert step_on_route(stove(), route(), situation) == step
        worth = valued(stove(), route(), situation, step)
        assert (worth.regret, worth.better) == (0, step)


def test_who_has_left_the_route_or_stopped_is_on_no_step_of_it():
    first = along(3)[2][1]
    other = next(id for id in ("flame", "volts", "start-it") if id != first.of)
    off = known(**{other.replace("-", "_"): stove().tree.checks[other].answer_ids()[0]})
    assert step_on_route(stove(), route(), off) is None
    smell = Situation({"smell-of-gas": Finding("smell-of-gas", "yes")})
    assert step_on_route(stove(), route(), smell) is None
    assert step_on_route(stove(), route(), known(["bottle-empty", "valve-shut", "fuse-blown"])) is None


def test_off_the_route_a_choice_loses_what_it_costs_more_than_the_best():
    model, codes = stove(), codes_of_steps(stove())
    off = known(start_it="two")
    assert step_on_route(model, route(), off) is None
    values = values_of_steps(model, off)
    best = step_of(model, int(values.argmin()))
    assert valued(model, route(), off, best).regret == 0
    assert valued(model, route(), off, best).better == best
    for step in (Step("check", "flame"), Step("check", "volts"), Step("referral", "workshop")):
        worth = valued(model, route(), off, step)
        assert worth.regret == pytest.approx(values[codes[step]] - values.min())
        assert worth.better == best


def test_danger_questions_cost_nobody_anything_while_they_are_open_and_count_as_asked():
    model, nothing = stove(), Situation()
    assert first_pending(model, nothing) == ("smell-of-gas", "co-alarm")
    for danger in first_pending(model, nothing):
        assert valued(model, route(), nothing, Step("check", danger)).regret == 0
    assert first_pending(model, known()) == ()
    values, codes = values_of_steps(model, nothing), codes_of_steps(model)
    assert all(np.isinf(values[codes[Step("check", id)]]) for id in QUIET)
    assert np.isfinite(values[codes[Step("check", "flame")]])
    loses = valued(model, route(), nothing, Step("referral", "workshop"))
    assert loses.regret > 0


def test_a_start_that_was_taken_back_still_counts():
    model, codes = stove(), codes_of_steps(stove())
    start = codes[Step("check", "start-it")]
    assert np.isfinite(values_of_steps(model, known())[start])
    assert np.isinf(values_of_steps(model, known(), 1)[start])
    off = known(volts="good", flame="steady")
    assert np.isinf(values_of_steps(model, off, 1)[start])
    assert valued(model, route(), off, Step("check", "start-it"), 1).regret == np.inf


def test_every_step_has_a_code_hand_overs_too():
    model = model_of(
        {"any_of": {"pump": cause(60, {"see": sorted(OTHER_TREES)[0]}), "fuse": cause(30, do())}},
        {"look": check()},
    )
    codes = codes_of_steps(model)
    assert {step.kind for step in codes} == {"check", "remedy", "referral", "handover"}
    assert all(step_of(model, code) == step for step, code in codes.items())


def test_what_is_too_large_to_be_tabled_is_looked_at_two_steps_ahead(monkeypatch):
    whole = values_of_steps(stove(), known())
    monkeypatch.setattr(valuing, "MOST_TABLED", 0)
    ahead = values_of_steps(stove(), known())
    assert ahead.shape == whole.shape
    assert (np.isfinite(ahead) == np.isfinite(whole)).all()
    assert (ahead[np.isfinite(ahead)] >= whole[np.isfinite(whole)] - 1e-9).all()
