"""The six trees about engine and 12 V: dangers, fuses and batteries.

Common practice, no source, unless a source stands beside the rule; "from memory" says what was not read.
Shares, minutes and expectations are judgement; no test pins them.
"""

from __future__ import annotations

import pytest

from tests.trees.electrics import ELECTRICS, end, every_one, harmless, remedy, whole
from tests.trees.shipped import COMMON, in_order, route_of, tree_of

# The danger questions, and what stops a walk in its middle


DANGERS = {
    "engine-no-start": ("battery-harmed", "fuel-seen", "last-filled"),
    "habitation-dead": ("mains-harmed", "battery-harmed"),
    "leisure-battery-weak": ("mains-harmed", "battery-harmed", "battery-label", "frost-nights"),
    "lights-dim": ("mains-harmed", "battery-harmed", "lamp-scorched"),
    "roof-light-or-step": ("battery-harmed", "hangs-loose"),
    "compressor-fridge": ("battery-harmed", "fridge-harmed"),
}


@every_one
def test_the_danger_questions_come_first_in_this_order(id):
    assert tree_of(id).ask_first == DANGERS[id]


STOPS = [
    ("engine-no-start", "fuel-seen", "yes", "workshop"),
    ("engine-no-start", "last-filled", "wrong", "workshop"),
    ("engine-no-start", "crank-how", "burning", "auto-electrician"),
    ("engine-no-start", "cab-switches", "hit", "workshop"),
    ("engine-no-start", "engine-bay-seen", "wet-fuel", "workshop"),
    ("habitation-dead", "hook-up-restores", "trips", "electrician"),
    ("habitation-dead", "battery-seen", "scorched", "auto-electrician"),
    ("leisure-battery-weak", "battery-label", "other", "auto-electrician"),
    ("leisure-battery-weak", "frost-nights", "frost", "auto-electrician"),
    ("leisure-battery-weak", "panel-on-hook-up", "trips", "electrician"),
    ("leisure-battery-weak", "engine-on-volts", "smoke", "auto-electrician"),
    ("leisure-battery-weak", "clamps-seen", "scorched", "auto-electrician"),
    ("lights-dim", "lamp-scorched", "yes", "auto-electrician"),
    ("lights-dim", "lamp-swapped", "burnt", "auto-electrician"),
    ("roof-light-or-step", "hangs-loose", "yes", "workshop"),
    ("roof-light-or-step", "how-it-moves", "falls", "workshop"),
    ("roof-light-or-step", "frost-or-dirt", "bent", "workshop"),
    ("compressor-fridge", "fridge-harmed", "yes", "workshop"),
    ("compressor-fridge", "lamp-and-hum", "harsh", "workshop"),
    ("compressor-fridge", "plug-seen", "hot", "auto-electrician"),
]


@pytest.mark.long
@pytest.mark.parametrize("role", ["owner", "technician"])
@pytest.mark.parametrize(("id", "check", "answer", "referral"), STOPS)
def test_danger_seen_stops_the_walk_wherever_it_is_asked(id, check, answer, referral, role):
    route = route_of(id, role)
    asked = [node for node in route.nodes if node.kind == "check" and node.of == check]
    assert asked
    for node in asked:
        after = route.nodes[node.edges[answer].to]
        assert (after.kind, after.of) == ("stop", referral)
        assert not after.edges


def test_every_stop_of_these_trees_is_looked_at_above():
    own = {
        (id, check.id, answer)
        for id in ELECTRICS
        for check in tree_of(id).checks.values()
        if check.id not in COMMON.checks
        for answer in check.stop_on
    }
    assert own == {stop[:3] for stop in STOPS}


@pytest.mark.long
@every_one
def test_not_sure_at_a_danger_question_stops_too(id):
    answers = harmless(id)
    for asked in range(len(answers)):
        assert end(id, [*answers[:asked], "not-sure"])[0] == "stop"


# Fuses, batteries, charging


FUSES = [
    ("engine-no-start", "engine-fuse", "Key out"),
    ("habitation-dead", "main-fuse", "Hook-up unplugged, master off"),
    ("leisure-battery-weak", "charger-fuse", "Unplug the hook-up, switch the 12 V master off"),
    ("roof-light-or-step", "fuse-blown", "12 V master off, nobody near the step"),
    ("compressor-fridge", "fridge-fuse", "Fridge and master off"),
]


@pytest.mark.parametrize(("id", "cause", "off"), FUSES)
def test_a_fuse_is_changed_once_like_for_like_with_the_power_off(id, cause, off):
    assert in_order(remedy(id, cause).text, off, "new", "of the same rating", "If it blows again, leave it")
    assert "Never a bigger fuse, never foil" in remedy(id, cause).how


@pytest.mark.parametrize(
    ("id", "cause"),
    [
        ("engine-no-start", "engine-fuse"),
        ("habitation-dead", "main-fuse"),
        ("leisure-battery-weak", "charger-fuse"),
    ],
)
def test_a_fuse_that_is_bolted_in_is_left_alone(id, cause):
    assert "bolted" in whole(id, cause)


@pytest.mark.parametrize("id", ["habitation-dead", "leisure-battery-weak"])
def test_a_battery_clamp_comes_off_minus_first_and_goes_on_minus_last(id):
    text = remedy(id, "clamp-poor").text
    assert in_order(text, "everything off", "goggles on", "rings off", "minus off first", "then plus")
    assert in_order(text, "plus back first and minus last")
    assert "solar" in remedy(id, "clamp-poor").how


def test_a_lead_that_was_unhooked_goes_on_plus_first():
    text = remedy("habitation-dead", "battery-unhooked").text
    assert in_order(text, "switches off", "hook-up unplugged", "goggles on", "plus on first and minus last")


def test_a_new_leisure_battery_goes_in_minus_last_and_another_kind_is_fitted_by_others():
    text = remedy("leisure-battery-weak", "battery-worn").text
    assert in_order(text, "solar off", "goggles on", "rings off", "minus off first and put it on last")
    assert (
        "Lithium, or another kind than before: have it fitted"
        in remedy("leisure-battery-weak", "battery-worn").how
    )


def test_an_owner_goes_no_further_with_24_volts_or_a_label_that_cannot_be_read():
    check = tree_of("leisure-battery-weak").checks["battery-label"]
    said = {answer.id: answer.says for answer in check.answers}
    assert "24 V" in said["other"]
    assert "cannot be read" in said["other"]
    assert check.stop_on == {"other"}


def test_a_battery_that_may_be_frozen_is_not_charged():
    # Source: ordnance lesson OD1002, read second-hand: an empty lead battery freezes near -7 °C. -5 °C is the
    # trade's margin.
    check = tree_of("leisure-battery-weak").checks["frost-nights"]
    assert "-5 °C" in check.ask
    assert "-7 °C" in check.how
    assert "-5 °C" in tree_of("habitation-dead").checks["hook-up-restores"].how


def test_lithium_is_charged_by_its_own_charger_and_never_below_freezing():
    # Common practice, no source.
    tree = tree_of("leisure-battery-weak")
    assert "lithium-cold" in tree.cautions
    caution = tree.caution_texts["lithium-cold"]
    assert caution.word == "WARNING"
    assert "not be charged below 0 °C" in caution.say
    assert "over 5 °C" in remedy("leisure-battery-weak", "lithium-guard").text
    assert "its own charger" in remedy("leisure-battery-weak", "lithium-guard").text
    assert "lithium below 0 °C" in tree_of("habitation-dead").checks["hook-up-restores"].how


def test_volts_that_hold_for_lead_alone_are_not_read_for_lithium():
    assert 'Lithium or 24 V: answer "not sure"' in tree_of("habitation-dead").checks["rest-volts"].how
    for id, check in (("lights-dim", "volts-under-load"), ("compressor-fridge", "volts-as-it-runs")):
        assert "Lithium" in tree_of(id).checks[check].how
        assert "24 V vehicle" in tree_of(id).checks[check].how


def test_the_bands_of_a_rested_battery_follow_the_rule_for_lead_cells():
    # Source: battery handbooks, read second-hand: a cell's volts are its specific gravity + 0.845; 1.225 is
    # 75 %, 1.155 is 25 %, 1.120 is empty.
    def volts(gravity):
        return 6 * (gravity + 0.845)

    bands = {band.id: band for band in tree_of("habitation-dead").checks["rest-volts"].bands}
    assert volts(1.120) < bands["flat"].high < volts(1.155)
    assert bands["good"].low == pytest.approx(volts(1.225), abs=0.03)


def test_a_cable_may_lose_three_in_a_hundred_of_twelve_volts():
    # Common practice, no source.
    bands = {band.id: band for band in tree_of("lights-dim").checks["volts-lost"].bands}
    assert bands["much"].low == pytest.approx(0.03 * 12)
