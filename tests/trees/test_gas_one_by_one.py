"""What each tree about gas says and asks for itself.

Common practice, no source, unless a source stands beside the rule; "from memory" says what was not read.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.trees.ends import ends_of
from tests.trees.gas import no_puzzle, owner_remedies
from tests.trees.shipped import ROLES, in_order, model_of, route_of, tree_of

# The water heater


def test_a_water_heater_is_never_fired_empty():
    tree = tree_of("water-heater-no-fire")
    assert "never-empty" in tree.cautions
    assert tree.caution_texts["never-empty"].word == "WARNING"
    assert "water at the hot tap" in tree.checks["first-minute"].how
    for id, remedy in owner_remedies("water-heater-no-fire").items():
        assert in_order(remedy.text, "water at the hot tap", "once"), id


# The wet heating


def test_the_fluid_of_the_heating_is_let_in_and_out_only_when_cold():
    tree = tree_of("wet-heating-cold")
    assert "heating-fluid" in tree.cautions
    caution = tree.caution_texts["heating-fluid"].say
    assert in_order(caution, "antifreeze", "poison", "Never open the fluid's cap while the heating is warm")
    remedies = owner_remedies("wet-heating-cold")
    assert remedies["low-fluid"].text.startswith("Only when cold")
    assert remedies["air-lock"].text.startswith("Heating off and cold")
    assert remedies["pump-stuck"].text.startswith("Heating off and cold")


def test_the_burner_of_the_wet_heating_is_nobodys_here():
    assert tree_of("wet-heating-cold").events["burner-fault"].remedy.text == "gas-engineer"


# Gas that is gone


def test_whoever_cannot_tell_where_the_gas_went_is_not_sent_to_the_emergency_line():
    check = tree_of("gas-gone").checks["went-unused"]
    assert check.stop_on == {"yes"}
    assert "unknown" in check.answer_ids()


def test_a_leak_is_sought_without_lighting_anything():
    tree = tree_of("gas-gone")
    assert [tree.checks[id].starts for id in ("gauge-falls", "went-unused")] == [False, False]
    how = tree.checks["gauge-falls"].how
    assert in_order(
        how, "Light nothing", "Shut the cylinder", "go away from the locker", "leave the cylinder shut"
    )
    # What was thought back to comes before a hand on the valve.
    assert tree.ask_first.index("went-unused") < tree.ask_first.index("gauge-falls")
    assert tree.events["leak"].remedy.text == "gas-engineer"


def test_nobody_warms_a_cylinder():
    assert "Never warm a cylinder" in owner_remedies("gas-gone")["too-much-at-once"].how


# The fridge


@pytest.mark.long
def test_each_source_of_a_fridge_goes_to_those_who_may_work_on_it():
    events = tree_of("absorption-fridge").events
    whom = {
        "gas-side": "gas-engineer",
        "mains-element": "electrician",
        "twelve-relay": "auto-electrician",
        "cooling-dead": "fridge-workshop",
    }
    assert {id: events[id].remedy.text for id in whom} == whom
    ended = {node.of for node in route_of("absorption-fridge").nodes if node.kind == "referral"}
    assert set(whom.values()) <= ended


def test_ammonia_sends_everybody_out_and_nobody_back_in():
    referral = tree_of("absorption-fridge").referrals["ammonia-escape"]
    assert "112" in referral.to
    assert in_order(referral.until_help, "All out", "doors and windows open", "Nobody goes back in")
    assert "refrigerant" in tree_of("absorption-fridge").cautions


@pytest.mark.parametrize("id", ["ammonia-escape", "fridge-workshop"])
def test_until_help_comes_for_a_fridge_nobody_warms_themselves_with_a_flame(id):
    text = tree_of("absorption-fridge").referrals[id].until_help
    assert in_order(text, "in frost", "blankets", "112", "Never warm yourselves", "hob", "barbecue", "engine")


# What is no puzzle


@no_puzzle
def test_here_one_looks_and_thinks_back_but_tries_nothing(id):
    tree = tree_of(id)
    assert {check.hands for check in tree.checks.values()} == {"look"}
    assert not any(check.starts for check in tree.checks.values())


@no_puzzle
def test_till_it_is_cleared_no_gas_is_lit_and_nobody_sleeps_aboard(id):
    cautions = tree_of(id).caution_texts
    [shown] = [each for each in cautions if "sleep aboard" in cautions[each].say]
    assert shown in tree_of(id).cautions
    assert cautions[shown].word == "DANGER"
    assert "light nothing that burns gas" in cautions[shown].say


@pytest.mark.long
@pytest.mark.parametrize("role", ROLES)
def test_a_hob_that_hisses_on_ends_with_help_on_every_way(role):
    route = route_of("hob-hisses-on", role)
    kinds = {(node.kind, node.of) for node in route.nodes if not node.edges}
    assert kinds <= {
        ("stop", "gas-escape"),
        ("stop", "co-suspected"),
        ("stop", "gas-engineer"),
        ("referral", "gas-engineer"),
    }
    assert not [node for node in route.nodes if node.kind in ("remedy", "cured", "handover")]


def test_a_hob_that_hissed_is_not_tried_again_and_its_cylinder_is_shut():
    tree = tree_of("hob-hisses-on")
    assert in_order(
        tree.caution_texts["not-again"].say, "Do not try it again", "Shut the cylinder", "keep it shut"
    )
    assert "Do not try it out" in tree.checks["remembered"].how
    for cause in tree.causes():
        assert cause.remedy.text in {"gas-engineer", "gas-escape"}
        assert "gas" in cause.hazards


def test_only_a_chirping_alarm_is_for_its_owner():
    tree = tree_of("alarm-sounded-earlier")
    assert set(owner_remedies("alarm-sounded-earlier")) == {"cell-low", "past-its-date"}
    assert "fault lamp" in {each.id: each.says for each in tree.checks["what-was-heard"].answers}["chirp"]
    for remedy in owner_remedies("alarm-sounded-earlier").values():
        assert in_order(remedy.text, "Light nothing", "test button", "sound loud")
        assert "answer danger" in remedy.how


@pytest.mark.long
@pytest.mark.parametrize("role", ROLES)
def test_what_really_set_an_alarm_off_is_never_called_cured(role):
    model, route = model_of("alarm-sounded-earlier", role), route_of("alarm-sounded-earlier", role)
    found = ends_of(model, route)
    true_alarm = np.array([each.ending == "refer" for each in model.hypotheses])
    assert true_alarm.sum() == 6
    assert found.cured[true_alarm].sum() == 0
    assert found.stopped[true_alarm].sum() >= 0.95 * model.prior[true_alarm].sum()
