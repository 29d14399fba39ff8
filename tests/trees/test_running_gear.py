"""What somebody's safety rests on in the trees for tyres, brakes and signs of mice.

Rules are common practice, no source, unless one is named beside them.
"""

from __future__ import annotations

import re

import pytest

from tests.trees.plain import owner_texts
from tests.trees.shipped import COMMON, ROLES, in_order, route_of, tree_of

RUNNING_GEAR = ("tyres-soft-old", "brakes-drag")
MICE = "mouse-signs"


def steps_after(id, role, check, answer):
    """Every step of the route that can come after a check was answered so."""
    route = route_of(id, role)
    found, waiting = (
        set(),
        [node.edges[answer].to for node in route.nodes if node.of == check and node.kind == "check"],
    )
    while waiting:
        at = waiting.pop()
        if at not in found:
            found.add(at)
            waiting += [edge.to for edge in route.nodes[at].edges.values()]
    return [route.nodes[at] for at in found]


def told_to_do(tree):
    """What somebody is told to do in a walk: questions, hints, remedies, what to do until help comes."""
    for where, text in owner_texts(tree):
        if text not in {cause.prevent for cause in tree.causes()}:
            yield where, text or ""


# Tyres and brakes

VERBS = r"(?:drive|move|roll|push|tow|rock|creep|jack)s?"
MOVES = re.compile(rf"\b{VERBS}\b|\bpull away\b", re.IGNORECASE)
FORBIDS = re.compile(rf"\b(?:not|no|nobody|never)\b[^.;:]*?\b{VERBS}\b", re.IGNORECASE)
NO_ORDERS = {
    "Before any drive, out of the sun.",
    "On the first miles of the last drive, did a wheel thump?",
    "On the last drive, was one wheel hot, did it pull to a side, or did a wheel rumble?",
    "Put them in now, and push them home by foot.",  # the chocks
    "Look only, and push nothing.",
}
"""What is remembered, or is not about the vehicle."""


def sends_it_off(text):
    """The sentences of a text that tell somebody to move the vehicle."""
    return [
        sentence
        for sentence in re.split(r"(?<=[.!?;:])\s+", text)
        if MOVES.search(sentence) and not FORBIDS.search(sentence) and sentence not in NO_ORDERS
    ]


@pytest.mark.parametrize("id", RUNNING_GEAR)
def test_nobody_is_told_to_move_the_vehicle(id):
    """Source: the project's own rule, no step under road asks anybody to move it."""
    tree = tree_of(id)
    assert [found for where, text in told_to_do(tree) for found in sends_it_off(text)] == []


def test_a_sentence_that_sends_somebody_off_is_noticed():
    assert sends_it_off("Chocks out. Then drive a mile to free it.")
    assert sends_it_off("Rock it back and forth, if it does not turn.")
    assert sends_it_off("Nobody drives it far; tow it out first.") == ["tow it out first."]


@pytest.mark.parametrize("id", RUNNING_GEAR)
def test_an_owner_takes_no_tool_to_wheel_or_brake(id):
    tree = tree_of(id)
    for cause in tree.causes():
        assert "road" in cause.hazards
        assert cause.remedy.kind != "do" or cause.remedy.hands in ("look", "controls")
    assert all(check.hands != "tools" for check in tree.checks.values())


@pytest.mark.parametrize("id", RUNNING_GEAR)
def test_every_referral_leaves_it_standing(id):
    tree = tree_of(id)
    used = {tree.refer_to} | {check.refer for check in tree.checks.values() if check.stop_on}
    used |= {cause.remedy.text for cause in tree.causes() if cause.remedy.kind == "refer"}
    assert used
    for referral in used:
        text = (tree.referrals.get(referral) or COMMON.referrals[referral]).until_help
        assert "chocks" in text, referral
        assert re.search(r"(?:Do not drive|Nobody drives)", text), referral


def test_tyres_are_looked_at_and_gauged_before_anything_else():
    tree = tree_of("tyres-soft-old")
    assert tree.ask_first == ("tyre-harmed", "cold-figure")
    assert "Chocks at the wheels" in tree.checks["tyre-harmed"].how
    assert "inner side" in tree.checks["tyre-harmed"].how
    for word in ("bulge", "split", "cord", "nail in the side", "worn-out tread"):
        assert word in tree.checks["tyre-harmed"].ask
    assert tree.checks["tyre-harmed"].refer == "recovery"


@pytest.mark.long
@pytest.mark.parametrize("role", ROLES)
def test_a_tyre_that_lost_half_its_figure_is_pumped_by_nobody(role):
    after = steps_after("tyres-soft-old", role, "cold-figure", "flat")
    assert [(node.kind, node.of) for node in after] == [("stop", "tyre-fitter")]


@pytest.mark.parametrize("check", ["cracks-seen", "tread-seen", "tyre-harmed"])
def test_deep_cracks_and_what_sticks_in_a_tyre_stop_the_walk(check):
    assert tree_of("tyres-soft-old").checks[check].refer == "recovery"
    assert tree_of("tyres-soft-old").checks[check].stop_on


def test_a_nail_stays_where_it_is():
    tree = tree_of("tyres-soft-old")
    assert "Leave a nail where it is" in tree.checks["tyre-harmed"].how
    assert "Leave it in" in tree.checks["tread-seen"].how


def test_whoever_pumps_a_tyre_goes_by_the_plate_and_stands_aside():
    tree = tree_of("tyres-soft-old")
    assert in_order(tree.events["slow-loss"].remedy.text, "cold", "figure on the plate", "Stand to the side")
    assert "Stay under both" in tree.events["figure-mixed-up"].remedy.how


def test_tyres_hold_the_published_limits():
    """Date code: a tyre trade page, second-hand; over ten years: common practice, no source."""
    tree = tree_of("tyres-soft-old")
    assert "1316 is week 13 of 2016" in tree.checks["date-code"].how
    assert "ten years" in {each.id: each.says for each in tree.checks["date-code"].answers}["spent"]
    # The gas law at 3.5 bar: from 25 to -5 °C, about a tenth of what a gauge shows goes.
    colder = (3.5 + 1.013) * 268.15 / 298.15 - 1.013
    assert 1 - colder / 3.5 == pytest.approx(0.1, abs=0.035)
    assert "a tenth less" in tree.checks["cold-figure"].how


def test_brakes_are_asked_about_only_once_it_is_chocked():
    tree = tree_of("brakes-drag")
    assert tree.ask_first == ("chocks-in", "brake-harmed")
    assert tree.checks["chocks-in"].answer_ids()[0] == "chocked"
    assert tree.checks["chocks-in"].refer == "recovery"
    assert "Nobody moves it from here on" in tree.checks["chocks-in"].how
    for word in ("wet", "pedal that sinks", "red brake lamp"):
        assert word in tree.checks["brake-harmed"].ask


def test_what_an_owner_does_at_the_brakes_leaves_the_chocks_in():
    tree = tree_of("brakes-drag")
    done = [cause for cause in tree.causes() if cause.remedy.kind == "do"]
    assert {cause.id for cause in done} == {"lever-on", "breakaway-tight", "button-not-ready"}
    for cause in done:
        assert in_order(cause.remedy.text.lower(), "chocks", "leave the chocks in"), cause.id
        assert cause.remedy.hands == "controls"
    assert "Chocks still in" in tree.cured_when.ask


def test_whatever_is_stuck_at_a_wheel_is_for_somebody_qualified():
    tree = tree_of("brakes-drag")
    for id in (
        "pads-rusted",
        "shoes-rusted",
        "cable-stuck",
        "overrun-stuck",
        "piston-stuck",
        "hose-collapsed",
    ):
        assert tree.events[id].remedy.text in ("recovery", "brake-fitter"), id
    text = tree.referrals["brake-fitter"].until_help
    for word in ("drives", "rolls", "pushes", "tows"):
        assert word in text


# Signs of mice


def test_it_is_aired_for_half_an_hour_before_anybody_looks_for_mice():
    """Source, from memory: advice of public health bodies against hantavirus, air 30 minutes first."""
    tree = tree_of(MICE)
    fixed = ("smell-of-gas", "co-alarm", "mains-harmed", "battery-harmed")
    assert tree.ask_first[:4] == fixed
    assert tree.ask_first[4] == "aired"
    aired = tree.checks["aired"]
    assert "30 minutes" in aired.ask
    assert "nobody inside" in aired.ask
    assert aired.wait == 30
    assert aired.stop_on == {"closed"}


def test_what_mice_leave_is_wetted_and_wiped_and_never_swept():
    """Source, from memory: the same advice; gloves, wet with disinfectant for five minutes, wipe."""
    tree = tree_of(MICE)
    assert "infection" in tree.cautions
    caution = COMMON.cautions["infection"].say
    for words in ("30 minutes", "gloves", "disinfectant", "five minutes", "Never sweep or vacuum"):
        assert words in caution
    for id in ("old-droppings", "nest-inside", "filter-nest"):
        remedy = tree.events[id].remedy
        assert in_order(remedy.text, "Gloves on", "disinfectant", "five minutes"), id
        assert re.search(r"Never (?:sweep, brush or vacuum|blow or brush)", remedy.how), id
        assert tree.events[id].hazards >= {"infection", "chemical"}


def test_nobody_is_told_to_sweep_or_vacuum():
    for where, text in told_to_do(tree_of(MICE)):
        for sentence in re.split(r"(?<=[.!?;:])\s+", text):
            if re.search(r"\b(?:sweep|vacuum|brush)\b", sentence):
                assert sentence.startswith("Never"), (where, sentence)


@pytest.mark.parametrize(
    ("check", "referral"),
    [
        ("gas-hose-seen", "gas-engineer"),
        ("sheath-seen", "electrician"),
        ("engine-lines-seen", "recovery"),
        ("seat-belts-seen", "belt-workshop"),
        ("wires-seen", "auto-electrician"),
    ],
)
def test_what_is_gnawed_and_can_hurt_stops_the_walk(check, referral):
    check = tree_of(MICE).checks[check]
    assert (check.refer, len(check.stop_on)) == (referral, 1)


@pytest.mark.long
@pytest.mark.parametrize("role", ROLES)
def test_hose_sheath_lines_and_belts_are_looked_at_before_anything_is_cleaned(role):
    tree, route = tree_of(MICE), route_of(MICE, role)
    assert tree.ask_first[5:] == ("gas-hose-seen", "sheath-seen", "engine-lines-seen", "seat-belts-seen")
    order = []
    node = route.nodes[route.start]
    while node.kind == "check":
        order.append(node.of)
        node = route.nodes[node.edges[tree.checks[node.of].answer_ids()[0]].to]
    assert tuple(order[: len(tree.ask_first)]) == tree.ask_first


def test_a_belt_is_drawn_full_out_and_its_seat_stays_empty_if_it_is_harmed():
    tree = tree_of(MICE)
    assert "full out" in tree.checks["seat-belts-seen"].ask
    assert "mount" in tree.checks["seat-belts-seen"].ask
    assert tree.referrals["belt-workshop"].until_help.startswith("Nobody travels on that seat.")
    assert "driver's seat, do not drive" in tree.referrals["belt-workshop"].until_help


def test_gnawed_mains_and_gas_are_looked_at_and_not_touched():
    tree = tree_of(MICE)
    for id in ("gas-hose-seen", "sheath-seen", "wires-seen"):
        assert tree.checks[id].hands == "look"
    assert in_order(tree.checks["sheath-seen"].how, "Unplugged, the post off first", "Touch none")
    assert "light nothing" in tree.checks["gas-hose-seen"].how


def test_no_vent_is_ever_meshed_against_mice():
    tree = tree_of(MICE)
    texts = [text for _, text in owner_texts(tree) if text and re.search(r"\bmesh", text, re.IGNORECASE)]
    assert texts
    assert all("never a vent" in text for text in texts)
