"""The six trees about engine and 12 V: starting, mains, roof light, step and fridge.

Common practice, no source, unless a source stands beside the rule; "from memory" says what was not read.
Shares, minutes and expectations are judgement; no test pins them.
"""

from __future__ import annotations

import re

import pytest

from tests.trees.electrics import end, harmless, remedy, texts
from tests.trees.shipped import in_order, route_of, tree_of

# The engine runs outdoors only


def test_whatever_runs_the_engine_runs_it_outdoors():
    for id in ("engine-no-start", "leisure-battery-weak"):
        assert "exhaust" in tree_of(id).cautions
    assert tree_of("engine-no-start").checks["crank-how"].how.startswith("Outdoors")
    assert tree_of("leisure-battery-weak").checks["engine-on-volts"].how.startswith("Outdoors only")
    assert tree_of("engine-no-start").cured_when.ask.startswith("Outdoors")


# Mains: looked at, switched, unplugged


def test_what_fails_on_the_mains_side_is_a_qualified_persons():
    for id, cause in (("leisure-battery-weak", "charger-failed"), ("lights-dim", "charger-ripple")):
        event = tree_of(id).events[cause]
        assert "mains" in event.hazards
        assert (event.remedy.kind, event.remedy.text) == ("refer", "electrician")


def test_a_safety_switch_that_has_tripped_is_left_as_it_is():
    assert "tripped, leave it" in remedy("leisure-battery-weak", "charger-off").text
    assert "If a switch trips, leave it off" in tree_of("habitation-dead").checks["hook-up-restores"].how


def test_plugging_in_goes_from_the_vehicle_to_the_post_and_unplugging_begins_with_the_post():
    assert in_order(
        tree_of("habitation-dead").checks["hook-up-restores"].how,
        "dry and whole",
        "at the vehicle first",
        "at the post",
        "the post's switch",
    )
    unplugging = ("volts-under-load", "hook-up-off")
    assert tree_of("lights-dim").checks.keys() >= set(unplugging)
    for check in unplugging:
        assert in_order(tree_of("lights-dim").checks[check].how.lower(), "post off first", "dry hands")


# Engine that does not start: fuel is looked at and filled in, no more


def test_the_wrong_fuel_is_asked_about_before_the_key_is_turned():
    tree = tree_of("engine-no-start")
    assert "last-filled" in tree.ask_first
    assert "leave the key off" in tree.checks["last-filled"].how
    assert not any(tree.checks[each].starts for each in tree.ask_first if each in tree.checks)


def test_fuel_is_put_in_cold_outdoors_and_without_a_flame():
    assert in_order(
        remedy("engine-no-start", "fuel-low").text,
        "Outdoors",
        "engine cold",
        "no flame",
        "right fuel",
        "proper can",
    )
    for cause in ("fuel-stale", "fuel-wrong", "filter-or-air", "pump-failed"):
        assert (remedy("engine-no-start", cause).kind, remedy("engine-no-start", cause).text) == (
            "refer",
            "workshop",
        )


def test_waxed_diesel_is_warmed_by_the_weather_alone():
    assert "Warm nothing with a flame" in re.sub(r"\s+", " ", remedy("engine-no-start", "diesel-waxed").text)


def test_the_crash_switch_is_pressed_once_and_only_if_nothing_was_hit():
    assert in_order(
        remedy("engine-no-start", "crash-cut-off").text,
        "Only if nothing has hit it",
        "no fuel is smelt",
        "once",
        "If it trips again, leave it",
    )


def test_a_nest_is_wetted_and_lifted_out_with_gloves_and_mask():
    # Common practice, no source: dust of droppings carries disease.
    event = tree_of("engine-no-start").events["air-nest"]
    assert {"infection", "chemical"} <= event.hazards
    assert in_order(
        event.remedy.text,
        "engine cold",
        "gloves and mask on",
        "fresh air",
        "Wet the nest",
        "wait five minutes",
    )


@pytest.mark.long
def test_an_engine_that_turns_slowly_is_handed_to_the_tree_that_knows():
    assert remedy("engine-no-start", "weak-crank").kind == "see"
    slow = [node for node in route_of("engine-no-start").nodes if node.of == "crank-how"]
    ends = {
        (after.kind, after.of)
        for node in slow
        for after in [route_of("engine-no-start").nodes[node.edges["slow"].to]]
        if node.probability > 0.01
    }
    assert ends == {("handover", "engine-no-crank")}


# A weak battery behind something else is handed on, with the findings


@pytest.mark.long
@pytest.mark.parametrize(
    ("id", "cause"),
    [
        ("habitation-dead", "battery-flat"),
        ("lights-dim", "battery-low"),
        ("roof-light-or-step", "low-volts"),
        ("compressor-fridge", "battery-low"),
    ],
)
def test_a_weak_leisure_battery_is_asked_after_in_its_own_tree(id, cause):
    assert (remedy(id, cause).kind, remedy(id, cause).text) == ("see", "leisure-battery-weak")
    handed = [node for node in route_of(id).nodes if node.kind == "handover" and node.probability > 0]
    assert [node.of for node in handed] == ["leisure-battery-weak"]


@pytest.mark.long
def test_all_lamps_dim_and_low_volts_lead_straight_to_the_battery():
    assert end("lights-dim", [*harmless("lights-dim"), "all", "low"]) == ("handover", "leisure-battery-weak")


# Roof light and step: from inside or from the ground, and no fingers near what moves


def test_nobody_is_sent_onto_a_roof_or_a_ladder():
    for text in texts("roof-light-or-step"):
        assert "ladder" not in text, text
        assert "climb" not in text or "nobody climbs" in text, text
        for found in re.finditer(r"on the roof\b", text):
            assert "Nobody goes" in text[: found.start()], text
    assert remedy("roof-light-or-step", "seal-stuck").hands == "controls"
    assert remedy("roof-light-or-step", "seal-stuck").text.startswith("From inside")


def test_the_power_is_off_before_a_hand_goes_near_the_step():
    tree = tree_of("roof-light-or-step")
    assert "pinch" in tree.cautions
    assert "crush fingers" in tree.caution_texts["pinch"].say
    assert in_order(
        remedy("roof-light-or-step", "step-dirty").text,
        "Chocks in",
        "12 V master off",
        "key out",
        "never from under the vehicle",
        "Master on",
    )
    assert in_order(remedy("roof-light-or-step", "iced").text, "12 V master off", "Master on")
    assert tree.checks["how-it-moves"].how.startswith("Everybody clear of it")
    assert in_order(tree.checks["frost-or-dirt"].how, "12 V master off", "key out", "Look")


def test_nobody_drives_with_the_step_out():
    assert "Do not drive with a step that is out" in tree_of("roof-light-or-step").caution_texts["pinch"].say


# Compressor fridge: the cooling side stays shut


def test_the_cooling_side_of_a_fridge_is_the_workshops():
    event = tree_of("compressor-fridge").events["charge-lost"]
    assert "refrigerant" in event.hazards
    assert (event.remedy.kind, event.remedy.text) == ("refer", "workshop")
    caution = tree_of("compressor-fridge").caution_texts["fridge-fluid"].say
    assert in_order(caution, "may catch fire", "Nobody opens", "no flame and no switch", "all out")
    assert "fridge-fluid" in tree_of("compressor-fridge").cautions


def test_ice_is_melted_never_picked():
    assert "No blade, no hot air" in re.sub(r"\s+", " ", remedy("compressor-fridge", "iced-up").text)


def test_the_fridge_tree_is_for_compressor_fridges_alone():
    assert tree_of("compressor-fridge").applies_to == {"fridge-sources": ("compressor",)}


# Ordinary words


@pytest.mark.parametrize(
    ("words", "id"),
    [
        ("turns over but wont start", "engine-no-start"),
        ("no power in the back", "habitation-dead"),
        ("battery does not last the night", "leisure-battery-weak"),
        ("lights flicker", "lights-dim"),
        ("step will not come out", "roof-light-or-step"),
        ("coolbox fridge is warm", "compressor-fridge"),
    ],
)
def test_ordinary_words_stand_among_what_people_say(words, id):
    assert words in tree_of(id).also_said
