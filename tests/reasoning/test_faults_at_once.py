"""More than one fault: which checks are asked again after a remedy, and what that costs and brings."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from diagnose.reasoning.allowing import allowed_steps
from diagnose.reasoning.faults_at_once import asked_again_after, worth_asking_again
from diagnose.reasoning.model import build_model
from diagnose.terms import COULD_NOT, NOT_CURED, NOT_SURE, Finding, Situation
from tests.published.conftest import worked_tree
from tests.reasoning.by_hand import cause, check, faults, model_of
from tests.reasoning.two_fault_figures import (
    DOCUMENT,
    SHIPPED_ROW,
    SMALL,
    SMALL_ROW,
    exactly,
    sampled,
)
from tests.trees.shipped import TREES


def found(tried=None, **answers):
    return Situation({id: Finding(id, answer) for id, answer in answers.items()}, tried or {})


def worked():
    return build_model(worked_tree())


def test_the_check_that_spoke_for_what_was_put_right_is_asked_again():
    # Low volts: .75 for the pump, (.40 x .25 + .30 x .075 + .05 / 3) / .75 = .186 over the rest.
    assert asked_again_after(worked(), found(hum="yes", volts="low"), "pump") == ("volts",)


def test_a_finding_that_spoke_against_it_is_not():
    assert asked_again_after(worked(), found(hum="no", volts="good"), "pump") == ()


def test_a_reading_is_weighed_as_everywhere_else():
    read = Situation({"volts": Finding("volts", "low", 12.1, 0.05)})
    assert asked_again_after(worked(), read, "pump") == ("volts",)
    # Half a volt either way: it speaks for no band clearly enough.
    rough = Situation({"volts": Finding("volts", "low", 12.35, 3.0)})
    assert asked_again_after(worked(), rough, "pump") == ()


def test_not_sure_and_an_unknown_cut_set_bring_nothing():
    assert asked_again_after(worked(), found(volts=NOT_SURE), "pump") == ()
    assert asked_again_after(worked(), found(volts="low"), "no-such-thing") == ()


def test_the_strongest_comes_first():
    model = model_of(
        faults(here=cause(30), there=cause(65)),
        {
            "fair": check(expect={"here": {"one": 0.8}, "there": {"one": 0.3}}),
            "strong": check(expect={"here": {"one": 0.9}, "there": {"one": 0.1}}),
        },
    )
    assert asked_again_after(model, found(fair="one", strong="one"), "here") == ("strong", "fair")


def test_danger_questions_and_what_switches_the_mains_on_are_not_asked_again():
    model = model_of(
        faults(wet=cause(50, hazard="mains"), dry=cause(45)),
        {
            "switch": check(
                expect={"wet": {"one": 0.95}, "dry": {"two": 0.95}}, hands="controls", restores="mains"
            ),
            "damp": check(expect={"wet": {"one": 0.95}, "dry": {"two": 0.95}}),
        },
        ask_first=["mains-harmed"],
    )
    answers = {"mains-harmed": "no", "switch": "one", "damp": "one"}
    assert asked_again_after(model, found({"wet": NOT_CURED}, **answers), "wet") == ("damp",)


def test_asking_again_is_worth_nothing_where_every_answer_leads_on_alike():
    model = model_of(
        faults(here=cause(30), there=cause(65, {"refer": "workshop"})),
        {"look": check(expect={"here": {"one": 0.9}, "there": {"one": 0.1}})},
    )
    assert not worth_asking_again(model, found({"here": NOT_CURED}, look="one"), "look")


def test_asking_again_is_worth_it_where_another_answer_leads_elsewhere():
    # Low volts lead to the fuse at once; good ones, to the question whether it hums.
    situation = found({"pump": NOT_CURED}, volts="low")
    assert worth_asking_again(worked(), situation, "volts")


def starting(**more):
    """Three causes and a check that starts the appliance."""
    return model_of(
        faults(here=cause(30), there=cause(35), third=cause(30)),
        {"start": check(expect={"here": {"one": 0.9}, "there": {"one": 0.1}}, starts=True)},
        **more,
    )


def test_where_starts_are_numbered_none_is_spent_on_asking_again():
    situation = found({"here": NOT_CURED}, start="one")
    assert worth_asking_again(starting(), situation, "start", starts=1)
    assert not worth_asking_again(starting(tries=3), situation, "start", starts=1)


def test_where_safety_wants_a_referral_nothing_is_asked_again():
    model = model_of(
        faults(
            leak=cause(60, {"refer": "gas-engineer"}, hazard="gas"),
            here=cause(20),
            there=cause(15),
        ),
        {"look": check(expect={"leak": {"one": 0.9}, "here": {"one": 0.9}, "there": {"two": 0.9}})},
        ask_first=["smell-of-gas", "co-alarm"],
    )
    answers = {"smell-of-gas": "no", "co-alarm": "quiet", "look": "one"}
    situation = found({"here": NOT_CURED}, **answers)
    assert [step.kind for step in allowed_steps(model, situation)] == ["referral", "referral"]
    assert not worth_asking_again(model, situation, "look")


def test_a_remedy_that_could_not_be_done_changed_nothing_and_says_nothing():
    # Which checks belong to a remedy does not hang on what became of it; the walk asks after a failure only.
    model = worked()
    assert asked_again_after(model, found({"pump": COULD_NOT}, volts="low"), "pump") == ("volts",)


def rows(pattern, *keys):
    text = Path(DOCUMENT).read_text(encoding="utf-8")
    return {
        tuple(each[key] for key in keys): [float(n) for n in re.findall(r"[0-9.]+", each["figures"])]
        for each in pattern.finditer(text)
    }


def test_every_tree_stands_in_the_document():
    assert {tree for tree, _ in rows(SHIPPED_ROW, "tree", "number")} == set(TREES)
    assert set(rows(SMALL_ROW, "tree")) == {(name,) for name in SMALL}


@pytest.mark.parametrize("name", ["lamp", pytest.param("worked", marks=pytest.mark.long)])
def test_the_document_tells_what_it_costs_where_every_vehicle_can_be_counted(name):
    measured = exactly(name)
    assert rows(SMALL_ROW, "tree")[name,] == pytest.approx(measured, abs=0.006)
    *_, without, asking_again, knowing = measured
    assert knowing <= min(without, asking_again), "nobody who has to find it out is cheaper"


@pytest.mark.long
def test_with_two_faults_asking_again_comes_nearer_to_knowing_of_both():
    _, _, without, asking_again, knowing = exactly("worked")
    assert knowing < asking_again < without


@pytest.mark.long
@pytest.mark.parametrize("id", TREES)
def test_in_shipped_trees_asking_again_costs_little_and_may_save_much(id):
    one, two = sampled(id, "one"), sampled(id, "two")
    assert one[2] <= 1.5
    assert two[2] <= 0.5
    for number, measured in (("one", one), ("two", two)):
        assert rows(SHIPPED_ROW, "tree", "number")[id, number][:2] == pytest.approx(measured[:2], rel=0.03)
