"""Rule 3 in the proof, followed along single paths: what has been used up, what is barred.

Each path is written down step by step and needs no route; where it must have referred is worked out by hand
beside it. Shares are those of the causes and of not-listed (5 in all these trees).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.reasoning.model import build_model
from diagnose.terms import NOT_SURE
from tests.reasoning.by_hand import cause, check, do, gate
from tests.reasoning.single_paths import GAS, REFER, STARTING, broken_at, made, restoring, suspected

# What is used up ------------------------------------------------------------------------------------------


def test_the_step_after_the_last_of_theirs_must_be_a_referral():
    model = made({"flame": check(**GAS), "look": check()})
    assert broken_at(model, "check look: one", "check flame: one", "remedy fuse") == "remedy fuse"
    assert broken_at(model, "check look: one", "check flame: one", "referral workshop") is None
    assert broken_at(model, "check look: one", "remedy fuse: not-cured", "check flame") is None


def test_each_check_of_theirs_is_left_until_it_is_asked():
    model = made({"flame": check(**GAS), "smell": check(**GAS), "look": check()})
    assert broken_at(model, "check flame: one", "remedy fuse") is None
    assert broken_at(model, "check smell: one", "remedy fuse") is None
    assert broken_at(model, "check smell: one", "check flame: one", "check look") == "check look"


def test_checks_of_several_causes_under_gas_are_all_theirs():
    two = {
        "first": cause(35, REFER, hazard="gas"),
        "second": cause(30, REFER, hazard="gas"),
        "fuse": cause(30),
    }
    checks = {
        "one-of-them": check(hands="controls", expect={"first": {"one": 0.5}}),
        "the-other": check(hands="controls", expect={"second": {"one": 0.5}}),
        "look": check(),
    }
    model = made(checks, **two)
    assert broken_at(model, "check one-of-them: one", "check look") is None
    assert broken_at(model, "check the-other: one", "check look") is None
    assert broken_at(model, "check one-of-them: one", "check the-other: one", "check look") == "check look"


def test_a_check_of_an_event_above_a_cause_under_gas_is_theirs():
    branch = gate("any_of", blocked=cause(60, REFER, hazard="gas"), pump=cause(5))
    model = made(
        {"flame": check(hands="controls", expect={"branch": {"one": 0.5}}), "look": check()},
        branch=branch,
        fuse=cause(30),
    )
    assert broken_at(model, "remedy fuse: could-not", "check look") is None
    assert broken_at(model, "check flame: one", "check look") == "check look"


def test_a_step_that_is_nothing_of_theirs_is_not_left_for_them():
    """The very first check of the file too: its bit is the lowest."""
    model = made({"look": check(), "flame": check(**GAS)})
    assert broken_at(model, "check flame: one", "remedy fuse") == "remedy fuse"


def test_remedies_are_told_apart_however_many_there_are():
    theirs = {f"gas-{n}": cause(15, hazard="gas") for n in range(4)}
    others = {f"other-{n}": cause(5) for n in range(3)}
    model = made(**theirs, **others)
    tried = [f"remedy gas-{n}: could-not" for n in range(4)]
    for left in range(4):
        way = [step for n, step in enumerate(tried) if n != left]
        assert broken_at(model, *way, "remedy other-0: could-not", "remedy other-1") is None
    assert broken_at(model, *tried, "remedy other-0") == "remedy other-0"


def test_a_fact_on_the_way_uses_up_nothing():
    """Facts have no bit; the first check of the file, which is all that is theirs, stays to be asked."""
    model = made({"flame": check(**GAS), "look": check()})
    fact = replace(model.tree.checks["look"], id="age", fact=True)
    model = build_model(replace(model.tree, checks={**model.tree.checks, "age": fact}))
    assert "age" in model.tree.checks
    flame = ["check age: one", "remedy fuse"]
    assert broken_at(model, *flame) is None
    assert broken_at(model, "check age: one", "check smell-of-gas: no", "check flame: one", "check look")
    assert suspected(model, *flame) == set()
    first = replace(model.tree.checks["smell-of-gas"], hands="controls", expect={"blocked": {"no": 0.5}})
    lowest = {"smell-of-gas": first, "age": fact}
    model = build_model(replace(model.tree, checks=lowest))
    assert broken_at(model, *flame) is None
    assert suspected(model, *flame) == set()


def test_nothing_is_asked_before_the_fixed_questions_are_done():
    """They come whatever leads; the step after them is the first that may break the rule."""
    model = made({"look": check()}, ask_first=["smell-of-gas", "co-alarm"])
    way = ["check smell-of-gas: no", "check co-alarm: quiet", "remedy fuse"]
    assert broken_at(model, *way) == "remedy fuse"
    assert broken_at(model, *way[:2], "referral workshop") is None


# Who may do what ------------------------------------------------------------------------------------------


def test_what_is_for_a_technician_is_left_for_a_technician_alone():
    checks = {"flame": check(**GAS, by="technician"), "look": check()}
    assert broken_at(made(checks), "remedy fuse") == "remedy fuse"
    assert broken_at(made(checks, "technician"), "remedy fuse") is None


def test_a_check_with_tools_is_not_left():
    model = made({"flame": check(**GAS), "look": check()})
    tools = {**model.tree.checks, "flame": replace(model.tree.checks["flame"], hands="tools")}
    assert broken_at(model, "remedy fuse") is None
    assert broken_at(build_model(replace(model.tree, checks=tools)), "remedy fuse") == "remedy fuse"


def test_a_remedy_with_tools_is_not_left():
    model = made(empty=cause(60, do(hands="controls"), hazard="gas"), fuse=cause(30))
    assert broken_at(model, "remedy fuse") is None
    empty = model.tree.events["empty"]
    events = {**model.tree.events, "empty": replace(empty, remedy=replace(empty.remedy, hands="tools"))}
    assert broken_at(build_model(replace(model.tree, events=events)), "remedy fuse") == "remedy fuse"


# What rule 6 bars is not left -----------------------------------------------------------------------------


@pytest.mark.parametrize("answer", ["one", NOT_SURE])
def test_a_check_that_starts_it_is_not_left_once_the_tries_are_used_up(answer):
    way = [f"check run: {answer}", "check look"]
    assert broken_at(made(STARTING, tries=1), *way) == "check look"
    assert broken_at(made(STARTING, tries=2), *way) is None
    assert broken_at(made(STARTING), *way) is None


def test_a_trial_of_a_remedy_uses_a_try_unless_it_could_not_be_done():
    model = made(STARTING, tries=1)
    assert broken_at(model, "remedy fuse: not-cured", "check look") == "check look"
    assert broken_at(model, "remedy fuse: could-not", "check look") is None
    assert broken_at(model, "check look: one", "remedy fuse") is None


def test_tries_add_up_along_a_path():
    model = made(STARTING, tries=2)
    assert broken_at(model, "check run: one", "check look: one", "remedy fuse") is None
    assert broken_at(model, "check run: one", "remedy fuse: not-cured", "check look") == "check look"
    assert broken_at(model, "remedy fuse: not-cured", "remedy pump: not-cured", "check look") == "check look"


def test_every_remedy_of_theirs_is_a_start_that_the_tries_may_bar():
    model = made(
        {"look": check(), "run": check(starts=True)},
        tries=1,
        first=cause(30, hazard="gas"),
        second=cause(30, hazard="gas"),
        fuse=cause(30),
    )
    assert broken_at(model, "check look: one", "remedy fuse") is None
    assert broken_at(model, "check run: one", "check look") == "check look"


def test_what_restores_the_mains_is_not_left_once_they_are_restored():
    model = restoring()
    assert broken_at(model, "check plug: one", "check look") == "check look"
    assert broken_at(model, "check plug: not-sure", "remedy pump: could-not", "check look") == "remedy pump"
    assert broken_at(model, "remedy fuse: not-cured", "check look") == "check look"
    assert broken_at(model, "remedy fuse: not-cured", "remedy pump: could-not", "check look") == "remedy pump"


def test_what_could_not_be_done_and_what_restores_nothing_leave_the_mains_to_be_restored():
    model = restoring()
    assert broken_at(model, "remedy fuse: could-not", "check look") is None
    assert broken_at(model, "remedy pump: not-cured", "check look") is None
    assert broken_at(model, "check look: one", "remedy pump") is None


def test_each_remedy_of_theirs_that_restores_the_mains_is_barred_by_another():
    back = do(restores="mains")
    model = made(
        {"look": check(), "plug": check(restores="mains")},
        first=cause(30, back, hazard="gas"),
        second=cause(30, back, hazard="gas"),
        fuse=cause(30),
    )
    assert broken_at(model, "check look: one", "remedy fuse") is None
    assert broken_at(model, "check plug: one", "check look") == "check look"
    free = made(
        {"look": check(), "plug": check(restores="mains")},
        first=cause(30, back, hazard="gas"),
        second=cause(30, hazard="gas"),
        fuse=cause(30),
    )
    assert broken_at(free, "check plug: one", "check look") is None
