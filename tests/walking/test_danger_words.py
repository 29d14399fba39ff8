"""Words of danger are heard before anything is searched; what clearly means something else is let pass."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.collection import Library
from diagnose.knowledge.symptom_search import search_symptoms
from diagnose.walking.danger_words import danger_in, speaks_of_danger, stop_text

REFERRALS = Library().common().referrals


@pytest.mark.parametrize(
    ("text", "dangers"),
    [
        ("I can smell gas", ("gas-escape",)),
        ("gas smell inside", ("gas-escape",)),
        ("smel of gass", ("gas-escape",)),
        ("smell-of-gas", ("gas-escape",)),
        ("there is a gas leak", ("gas-escape",)),
        ("something is hissing in the locker", ("gas-escape",)),
        ("smells of rotten eggs", ("gas-escape",)),
        ("heater wont light and smells of gas", ("gas-escape",)),
        ("alarm sounding", ("co-suspected",)),
        ("the alrm is going off", ("co-suspected",)),
        ("I feel sick", ("co-suspected",)),
        ("we all have headaches", ("co-suspected",)),
        ("headake and dizy", ("co-suspected",)),
        ("carbon monoxyde", ("co-suspected",)),
        ("my wife is giddy", ("co-suspected",)),
        ("the dog passed out", ("co-suspected",)),
        ("exhaust fumes inside", ("co-suspected",)),
        ("smoke from the heater", ("fire",)),
        ("smok coming out", ("fire",)),
        ("the van is on fire", ("fire",)),
        ("Fire!", ("fire",)),
        ("burning smell", ("fire",)),
        ("smells of burnt plastic", ("fire",)),
        ("ring burning plastic smell", ("fire",)),
        ("electric shock from the tap", ("mains-danger",)),
        ("a tingle when I touch the sink", ("mains-danger",)),
        ("sparks from the socket", ("mains-danger",)),
        ("the plug has melted", ("mains-danger",)),
        ("swollen battery", ("auto-electrician",)),
        ("smell of exhaust inside", ("co-suspected",)),
        ("she won't wake up", ("co-suspected",)),
        ("regulator leaking", ("gas-escape",)),
        ("burnt plug", ("mains-danger",)),
        ("smell of gas and I feel sick", ("gas-escape", "co-suspected")),
        ("the cylinder is leaking", ("gas-escape",)),
        ("gas hose has been gnawed", ("gas-escape",)),
        ("an eggy smell", ("gas-escape",)),
        ("I cannot breathe", ("co-suspected",)),
        ("soot above the flue", ("co-suspected",)),
        ("it went bang", ("fire",)),
        ("the socket is wet", ("mains-danger",)),
        ("the plug got soaked", ("mains-danger",)),
        ("water in the inlet", ("mains-danger",)),
        ("water near the charger", ("mains-danger",)),
        ("mains cable has been gnawed", ("mains-danger",)),
        ("bare wires", ("mains-danger",)),
        ("it is sparking", ("mains-danger",)),
        ("the battery is hot", ("auto-electrician",)),
        ("frozen battery", ("auto-electrician",)),
        ("smell of ammonia", ("workshop",)),
        ("petrol dripping", ("workshop",)),
    ],
)
def test_danger_is_heard_also_misspelt(text, dangers):
    heard = danger_in(text)
    assert heard is not None
    assert (heard.dangers, heard.sure) == (dangers, True)
    assert speaks_of_danger(text)


@pytest.mark.parametrize(
    "text",
    [
        "no smell of gas",
        "there isn't any smoke",
        "I cannot smell any gas",
        "nobody feels sick",
        "it is not on fire",
        "no alarm",
        "there was smoke yesterday",
        "an alarm sounded earlier",
        "the gas alarm sounded last week",
        "alarm went off yesterday and is quiet now",
        "hob hissed last night",
        "alarm chirps every minute",
        "co detector chirping",
        "carbon monoxide alarm beeps now and then",
        "gas alarm light is on",
        "alarm shows a fault light",
        "the alarm is past its date",
    ],
)
def test_what_denies_a_danger_or_speaks_of_the_past_or_of_a_chirp_is_heard_and_asked_about(text):
    heard = danger_in(text)
    assert heard is not None
    assert not heard.sure
    assert text in heard.ask
    assert not speaks_of_danger(text)


@pytest.mark.parametrize(
    "text",
    [
        "alarm beeps",
        "the alarm went off",
        "alarm chirps and I have a headache",
        "alarm chirps and there are fumes",
        "alarm chirps and it smells of gas",
        "alarm chirps, smoke from the heater",
        "hob hisses when it is out",
        "hob goes on hissing",
        "hissing every minute",
    ],
)
def test_what_sounds_or_hisses_does_so_now_and_a_chirp_hides_no_other_danger(text):
    heard = danger_in(text)
    assert heard is not None
    assert heard.sure


@pytest.mark.parametrize("id", ["alarm-sounded-earlier", "hob-hisses-on"])
def test_a_danger_of_the_past_opens_its_tree_once_it_is_denied_now(id):
    headings = Library().headings()
    heading = next(each for each in headings if each.id == id)
    past = [text for text in heading.also_said if (heard := danger_in(text)) is None or not heard.sure]
    assert past
    for text in past:
        assert search_symptoms(text, headings).good[0].id == id, text


@pytest.mark.parametrize(
    "text",
    [
        "heater will not fire",
        "the heater won't fire",
        "boiler fires up then stops",
        "engine misfires",
        "small gas bottle empty",
        "no warm air",
        "clicks but wont turn over",
        "bed is wet",
        "gas ring goes out",
        "hob burning yellow",
        "flames from the hob are low",
        "brakes stick",
        "window frames wet",
        "smell of damp",
        "blown-air heater wont light up",
        "I'll try the hob",
        "shock absorber leaking",
        "fuses keep going",
        "a faint click",
        "no hot water on hook-up",
        "regulator is old",
        "bulb burnt out",
        "cooking ring goes out",
        "pump fitting is loose",
        "battery not charged by the mains",
        "gas gone and the sink is full",
        "expansion vessel empty",
        "battery cranking slowly",
        "engine not starting with jump lead",
        "igniter sparks but no flame",
        "it sparks but does not light",
        "flames get smaller and die",
        "no hot water and the battery is flat",
        "brake cylinder leaking",
        "battery flat and the water pipes frozen",
        "fuel gauge drops",
        "",
    ],
)
def test_what_means_something_else_is_let_pass(text):
    assert danger_in(text) is None


DANGERS_THEMSELVES = {"alarm-sounded-earlier", "hob-hisses-on"}
"""Symptoms that are dangers: whoever tells of them is stopped or asked, never just led on."""


def test_no_other_shipped_symptom_is_taken_for_danger():
    for heading in Library().headings():
        if heading.id not in DANGERS_THEMSELVES:
            for text in (heading.symptom, *heading.also_said):
                assert danger_in(text) is None, text


@pytest.mark.parametrize("id", sorted(DANGERS_THEMSELVES))
def test_a_symptom_that_is_a_danger_is_heard_as_one(id):
    heading = next(each for each in Library().headings() if each.id == id)
    assert danger_in(heading.symptom) is not None


@pytest.mark.parametrize(
    ("text", "referrals", "words"),
    [
        ("I smell gas", ["gas-escape"], "no switch"),
        ("alarm sounding", ["co-suspected"], "open air"),
        ("I got a shock", ["mains-danger"], "Let go of everything"),
        ("fire", [], "call 999"),
        ("gas smell and smoke", ["gas-escape"], "Nobody goes back in"),
        ("smell of ammonia", ["workshop"], "open air"),
    ],
)
def test_the_stop_text_says_what_to_do_first_and_whom_to_call(text, referrals, words):
    heard = danger_in(text)
    assert heard is not None
    shown = stop_text(heard, REFERRALS, "999")
    assert [referral.id for referral in shown.referrals] == referrals
    assert words in shown.first
    assert "999" in shown.first


def test_what_was_typed_is_shown_without_control_characters():
    heard = danger_in("smell \x1b[2J of\ngas\u202e")
    assert heard is not None
    assert heard.words.isprintable()


@given(st.text(max_size=120))
def test_no_text_breaks_the_ear(text):
    heard = danger_in(text)
    assert heard is None or heard.ask
