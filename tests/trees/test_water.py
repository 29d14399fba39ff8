"""The seven trees about water and the toilet: what somebody's safety rests on in all of them.

Common practice, no source, unless a source stands beside the rule; "from memory" and "second-hand" say
what was not read. Shares, minutes and expectations are judgement; no test pins them.
"""

from __future__ import annotations

import pytest

from tests.trees.shipped import (
    COMMON,
    ROLES,
    harmless,
    in_order,
    model_of,
    route_of,
    stops_wherever_asked,
    tree_of,
)
from tests.trees.water import WATER, after_danger_question, every_water_tree

# What they have in common


DANGERS = [
    ("no-hot-water", "smell-of-gas", "yes", "gas-escape"),
    ("no-hot-water", "co-alarm", "sounds-or-ill", "co-suspected"),
    ("no-hot-water", "mains-harmed", "yes", "mains-danger"),
    ("no-hot-water", "water-heater-flue", "tried", "co-suspected"),
    ("no-hot-water", "water-heater-flue", "blocked", "co-suspected"),
    ("frost-valve-opens", "mains-harmed", "yes", "mains-danger"),
    ("frost-valve-opens", "battery-harmed", "yes", "auto-electrician"),
    ("leak-inside", "smell-of-gas", "yes", "gas-escape"),
    ("leak-inside", "co-alarm", "sounds-or-ill", "co-suspected"),
    ("leak-inside", "mains-harmed", "yes", "mains-danger"),
    ("leak-inside", "water-near-electrics", "yes", "mains-danger"),
    ("damp-musty", "smell-of-gas", "yes", "gas-escape"),
    ("damp-musty", "co-alarm", "sounds-or-ill", "co-suspected"),
    ("damp-musty", "mains-harmed", "yes", "mains-danger"),
    ("damp-musty", "water-near-electrics", "yes", "mains-danger"),
    ("toilet-no-flush", "mains-harmed", "yes", "mains-danger"),
    ("toilet-no-flush", "battery-harmed", "yes", "auto-electrician"),
    ("cassette-blade", "cleaners-used", "yes", "poison-fumes"),
]


@pytest.mark.long
@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize(("id", "check", "answer", "referral"), DANGERS)
def test_a_danger_stops_the_walk_before_anything_is_tried(id, check, answer, referral, role):
    assert after_danger_question(id, check, answer, role) == ("stop", referral)


@pytest.mark.long
@pytest.mark.parametrize(("id", "check", "_", "referral"), DANGERS)
def test_who_is_not_sure_of_a_danger_is_stopped_too(id, check, _, referral):
    assert after_danger_question(id, check, "not-sure") == ("stop", referral)


STOPS_IN_MID_WALK = [
    ("no-hot-water", "hot-tap", "steam", "gas-engineer"),
    ("frost-valve-opens", "where-it-runs", "near-power", "mains-danger"),
    ("leak-inside", "where-wet", "live", "mains-danger"),
    ("damp-musty", "patch-look", "live", "mains-danger"),
    ("damp-musty", "sniff-places", "sharp", "ammonia-escape"),
    ("bits-in-water", "bits-look", "fuel", "workshop"),
    ("bits-in-water", "tank-look", "droppings", "workshop"),
    ("toilet-no-flush", "wet-behind", "near-power", "mains-danger"),
    ("cassette-blade", "how-full", "bulges", "poison-fumes"),
]


@pytest.mark.long
@pytest.mark.parametrize(("id", "check", "answer", "referral"), STOPS_IN_MID_WALK)
def test_a_danger_seen_in_mid_walk_stops_it(id, check, answer, referral):
    stops_wherever_asked(id, check, answer, referral)


@pytest.mark.parametrize(
    "id", ["no-hot-water", "frost-valve-opens", "leak-inside", "bits-in-water", "toilet-no-flush"]
)
def test_water_that_has_stood_is_neither_sprayed_nor_drunk(id):
    # Source, second-hand: guidance on legionella in stored water; the germs are breathed in with spray.
    assert "stored-water" in tree_of(id).cautions
    assert in_order(COMMON.cautions["stored-water"].say, "without spray", "do not drink", "disinfected")


TAPS_RUN = [
    ("no-hot-water", "cold-tap"),
    ("no-hot-water", "other-taps"),
    ("bits-in-water", "bits-look"),
    ("bits-in-water", "hot-only"),
    ("toilet-no-flush", "kitchen-tap"),
]


@pytest.mark.parametrize(("id", "check"), TAPS_RUN)
def test_a_tap_is_tried_without_spray(id, check):
    how = tree_of(id).checks[check].how
    assert "without spray" in how or "no spray" in how


@pytest.mark.parametrize("id", ["damp-musty", "bits-in-water", "toilet-no-flush", "cassette-blade"])
def test_dirt_and_waste_come_with_their_caution(id):
    assert "infection" in tree_of(id).cautions


HANDED_OVER = {
    ("no-hot-water", "no-water-at-all"): "water-pump",
    ("no-hot-water", "heater-not-firing"): "water-heater-no-fire",
    ("no-hot-water", "frost-valve-drops"): "frost-valve-opens",
    ("frost-valve-opens", "other-drain-open"): "leak-inside",
    ("leak-inside", "pump-itself-split"): "water-pump",
    ("leak-inside", "frost-valve-runs"): "frost-valve-opens",
    ("leak-inside", "rain-or-wash"): "wet-after-washing",
    ("damp-musty", "rain-gets-in"): "wet-after-washing",
    ("damp-musty", "plumbing-seep"): "leak-inside",
    ("toilet-no-flush", "main-water-off"): "water-pump",
}


@pytest.mark.long
def test_what_another_tree_knows_better_is_handed_over_to_it():
    seen = {
        (id, cause.id): cause.remedy.text
        for id in WATER
        for cause in tree_of(id).causes()
        if cause.remedy.kind == "see"
    }
    assert seen == HANDED_OVER
    for (id, _), other in HANDED_OVER.items():
        assert ("handover", other) in {(node.kind, node.of) for node in route_of(id).nodes}


@pytest.mark.parametrize(
    ("id", "cause", "kind"),
    [
        ("no-hot-water", "heater-weak", "gas-engineer"),
        ("leak-inside", "heater-leaks", "workshop"),
        ("damp-musty", "wall-rotten", "workshop"),
        ("bits-in-water", "heater-rod", "workshop"),
    ],
)
def test_what_is_inside_a_heater_or_a_wall_is_for_others(id, cause, kind):
    remedy = tree_of(id).events[cause].remedy
    assert (remedy.kind, remedy.text) == ("refer", kind)


# What is walked first


OPENINGS = {
    "no-hot-water": "smell-of-gas co-alarm mains-harmed water-heater-flue hot-tap",
    "frost-valve-opens": "mains-harmed battery-harmed panel-on",
    "leak-inside": "smell-of-gas co-alarm mains-harmed water-near-electrics where-wet",
    "damp-musty": "smell-of-gas co-alarm mains-harmed water-near-electrics sniff-places",
    "bits-in-water": "bits-look",
    "toilet-no-flush": "mains-harmed battery-harmed flush-sound",
    "cassette-blade": "cleaners-used what-it-does",
}


@pytest.mark.long
@every_water_tree
def test_a_walk_begins_with_its_dangers_and_a_look_without_tools(id):
    route, model = route_of(id), model_of(id)
    node, seen = route.nodes[route.start], []
    for wanted in OPENINGS[id].split():
        seen.append(node.of)
        assert model.checks[model.check_index[node.of]].check.hands != "tools"
        if wanted in tree_of(id).ask_first:
            node = route.nodes[node.edges[harmless(id, wanted)].to]
    assert seen == OPENINGS[id].split()
