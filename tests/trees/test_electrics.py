"""The six trees about engine and 12 V: what somebody's safety rests on in each.

Common practice, no source, unless a source stands beside the rule; "from memory" says what was not read.
Shares, minutes and expectations are judgement; no test pins them.
"""

from __future__ import annotations

import re

import pytest

from tests.trees.shipped import COMMON, in_order, route_of, tree_of

ELECTRICS = (
    "engine-no-start",
    "habitation-dead",
    "leisure-battery-weak",
    "lights-dim",
    "roof-light-or-step",
    "compressor-fridge",
)
every_one = pytest.mark.parametrize("id", ELECTRICS)


def end(id, answers, role="owner"):
    """The kind and id of the step that these answers, from the first question on, lead to."""
    route = route_of(id, role)
    node = route.nodes[route.start]
    for answer in answers:
        node = route.nodes[node.edges[answer].to]
    return node.kind, node.of


def harmless(id):
    """The harmless answers to the danger questions of a tree, in order."""
    checks = [tree_of(id).checks.get(each) or COMMON.checks[each] for each in tree_of(id).ask_first]
    return [next(answer for answer in each.answer_ids() if answer not in each.stop_on) for each in checks]


def remedy(id, cause):
    return tree_of(id).events[cause].remedy


def whole(id, cause):
    """All that is said of a remedy."""
    return f"{remedy(id, cause).text} {remedy(id, cause).how}"


def texts(id):
    """Everything that a tree tells somebody to do or to look at."""
    tree = tree_of(id)
    for check in tree.checks.values():
        yield from (text for text in (check.ask, check.how) if text)
    for cause in tree.causes():
        if cause.remedy.kind == "do":
            yield from (text for text in (cause.remedy.text, cause.remedy.how) if text)


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
