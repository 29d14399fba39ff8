"""A file of answers: what it may hold, and every flaw of it at once with its place."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.terms import Finding, FlawedKnowledge
from diagnose.walking.answers import read_answers
from tests.walking.small_trees import heater


def flaws(text, tree=None):
    with pytest.raises(FlawedKnowledge) as refused:
        read_answers(text, "found.yaml", tree or heater())
    return [str(flaw) for flaw in refused.value.flaws]


def test_answers_readings_facts_and_outcomes_are_read():
    answers = read_answers(
        "volts: 12,4 V\nempty: not-cured\nshut: could-not\nhob: none\nheater-fuel: gas\nstart: not-sure\n",
        "found.yaml",
        heater(),
    )
    assert answers.findings == (
        Finding("hob", "none"),
        Finding("start", "not-sure"),
        Finding("volts", "good", 12.4, 0.15),
        Finding("heater-fuel", "gas"),
    )
    assert answers.tried == {"empty": "not-cured", "shut": "could-not"}


@pytest.mark.parametrize(
    ("written", "finding"),
    [
        ("11", Finding("volts", "low", 11.0, 0.15)),
        ("11.5", Finding("volts", "good", 11.5, 0.15)),
        ("1.1e1", Finding("volts", "low", 11.0, 0.15)),
        ("'12,4 V'", Finding("volts", "good", 12.4, 0.15)),
        ("12400 mV", Finding("volts", "good", 12.4, 0.15)),
        ("{value: 11, uncertainty: 0.5}", Finding("volts", "low", 11.0, 0.5)),
        ("{value: 11 V, uncertainty: 50 mV}", Finding("volts", "low", 11.0, 0.05)),
        ("{value: 11}", Finding("volts", "low", 11.0, 0.15)),
        ("low", Finding("volts", "low")),
        ("not-sure", Finding("volts", "not-sure")),
    ],
)
def test_a_reading_may_be_written_in_several_ways(written, finding):
    assert read_answers(f"volts: {written}", "f", heater()).findings == (finding,)


@given(st.permutations(["volts: 11", "hob: weak", "start: ticks", "empty: not-cured", "co-alarm: quiet"]))
def test_the_order_in_the_file_makes_no_difference(lines):
    one = read_answers("\n".join(lines), "f", heater())
    other = read_answers("\n".join(sorted(lines)), "f", heater())
    assert one == other
    assert list(one.situation(heater()).findings) == ["co-alarm", "hob", "start", "volts"]


def test_an_empty_file_is_no_flaw():
    for text in ("", "\n", "# nothing known yet\n", "\ufeff"):
        assert read_answers(text, "f", heater()).findings == ()


def test_every_flaw_is_told_at_once_with_its_place_and_the_nearest_right_word():
    assert flaws("hobb: none\nhob: stedy\nvolts: 99\nempty: cured\nshut: 3\nstart: [ticks]\n") == [
        'found.yaml:1:1: "hobb" is no check, fact or cause of this tree (did you mean "hob"?)',
        'found.yaml:2:6: "stedy" is no answer of hob: steady, weak, none, yellow or not-sure '
        '(did you mean "steady"?)',
        "found.yaml:3:8: volts: 99 V cannot be: a reading here lies between 0 and 16 V",
        'found.yaml:4:8: "cured" stands for the cause empty; write not-cured or could-not '
        '(did you mean "not-cured"?)',
        "found.yaml:5:7: the number 3 stands for the cause shut; write not-cured or could-not",
        "found.yaml:6:8: a list is no answer of start: nothing, ticks or not-sure",
    ]


@pytest.mark.parametrize(
    ("written", "text"),
    [
        ("12 A", '1:8: volts: "A" is not a unit of this reading: it is taken in V'),
        ("-1", "1:8: volts: -1 V cannot be: a reading here lies between 0 and 16 V"),
        ("loww", '1:8: volts: "loww" is not a reading: type a number, such as 8 V (did you mean "low"?)'),
        ("true", "1:8: true is no reading of volts: a number in V, or not-sure"),
        ("", "1:7: nothing is no reading of volts: a number in V, or not-sure"),
        ("[12]", "1:8: a list is no reading of volts: a number in V, or not-sure"),
        ("{uncertainty: 1}", "1:8: the reading of volts has no value; write {value: ..., uncertainty: ...}"),
        ("{value: 11, uncertainty: 0}", "1:33: an uncertainty is above zero"),
        ("{value: 11, unit: V}", '1:20: "unit" is no key here'),
        ("{value: 17}", "1:16: volts: 17 V cannot be: a reading here lies between 0 and 16 V"),
    ],
)
def test_a_reading_that_cannot_be_is_a_flaw_that_says_what_would_be_right(written, text):
    assert flaws(f"volts: {written}") == [f"found.yaml:{text}"]


def test_numbers_that_are_none_are_refused():
    for written in (".inf", ".nan", "nan", "12:30", "1_2", "0x1F", "1e999"):
        assert flaws(f"volts: {written}"), written


def test_an_event_is_no_cause():
    from dataclasses import replace

    from diagnose.terms import Event

    tree = heater()
    events = dict(tree.events) | {"no-gas": Event("no-gas", "No gas", "any_of", ("empty", "shut"))}
    assert flaws("no-gas: not-cured", replace(tree, events=events)) == [
        'found.yaml:1:1: "no-gas" is an event with causes below it; name one of those'
    ]


def test_causes_that_work_together_are_named_together_in_any_order():
    from dataclasses import replace

    tree = replace(heater(), cut_sets=(("empty", "shut"), ("fuse",), ("board",)))
    assert read_answers("shut+empty: could-not", "f", tree).tried == {"empty+shut": "could-not"}
    assert flaws("shut: could-not", tree) == [
        'found.yaml:1:1: "shut" is only part of what can be wrong together here (did you mean "empty+shut"?)'
    ]


def test_an_old_id_is_answered_with_the_new_one():
    from dataclasses import replace

    tree = heater()
    checks = dict(tree.checks) | {"hob": replace(tree.checks["hob"], was=("ring",))}
    assert flaws("ring: none", replace(tree, checks=checks)) == [
        'found.yaml:1:1: "ring" is no check, fact or cause of this tree (did you mean "hob"?)'
    ]


def test_a_key_twice_and_broken_yaml_are_flaws_with_their_place():
    assert flaws("hob: none\nhob: weak\n")[0].startswith("found.yaml:2:1: ")
    assert flaws("hob: {none\n")[0].startswith("found.yaml:")
    assert flaws("- hob\n")[0].startswith("found.yaml:1:1: ")


def reads_or_refuses(text):
    """Whether a text is read, or refused with its flaws; anything else is raised."""
    try:
        read_answers(text, "f", heater())
    except FlawedKnowledge as refused:
        return bool(refused.flaws)
    return True


@given(st.text(max_size=80))
def test_no_text_breaks_the_reader(text):
    assert reads_or_refuses(text)


@given(st.sampled_from(["hob", "volts", "empty", "heater-fuel", "smell-of-gas"]), st.text(max_size=30))
def test_no_value_breaks_the_reader(key, text):
    assert reads_or_refuses(f"{key}: {text}")
