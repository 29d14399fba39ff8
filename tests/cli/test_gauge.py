from __future__ import annotations

import json
import re

import pytest

from diagnose.cli.gauge import joined
from diagnose.gauges.register import SUBJECTS, gauge, names

RESTED = """
symptom: The lamp over the table stays dark
system: habitation-electrics
refer_to: workshop
cured_when: {ask: Has the lamp burned for a minute?, minutes: 2}
faults:
  hazard: none
  any_of:
    flat:
      says: The battery is flat
      in_100: 45
      remedy: {do: Have it charged, by: owner, hands: controls, minutes: 90}
      prevent: Charge it in time
    line-dead:
      says: No current comes to the lamp
      in_100: 50
      remedy: {refer: workshop}
      prevent: Have the wiring looked at with the yearly check
checks:
  rest-volts:
    ask: What does the panel show after three hours of rest?
    hands: look
    by: owner
    minutes: 2
    reading: {unit: V, range: [0, 16], uncertainty: 0.05}
    bands: {low: {below: 12.4}, good: {from: 12.4}}
    expect: {flat: {low: almost certain}, otherwise: {good: almost certain}}
sources: [shares are judgement]
"""


def words_of(name):
    """The first example of a gauge, as typed on a command line."""
    return ("gauge", name, *gauge(name).examples[0])


def test_without_a_name_every_gauge_is_listed_with_what_it_tells(run):
    ran = run("gauge")
    assert (ran.code, ran.err) == (0, "")
    for name in names():
        assert f"\n  {name}\n    {gauge(name).title.split()[0]} " in ran.out
    assert ran.out.rstrip().endswith("diagnose gauge NAME --help")


def test_the_list_is_a_json_document_too(run):
    listed = json.loads(run("gauge", "--json").out)["gauges"]
    assert [each["name"] for each in listed] == list(names())
    assert all(each["title"] for each in listed)


@pytest.mark.parametrize("name", names())
def test_each_gauge_prints_result_meaning_formula_and_source(name, run):
    ran = run(*words_of(name), COLUMNS="80")
    assert (ran.code, ran.err) == (0, "")
    flat = " ".join(ran.out.split())
    assert re.match(r"[−-]?[\d.]+", ran.out)
    assert f"Formula: {' '.join(gauge(name).formula.split())}" in flat
    assert f"Source: {' '.join(gauge(name).source.split())}" in flat
    meaning = ran.out.splitlines()[1]
    assert meaning[0].isupper() or meaning[0].isdigit()


@pytest.mark.parametrize("name", names())
def test_each_gauge_prints_the_json_document_of_the_same_sum(name, run):
    ran = run(*words_of(name), "--json")
    told = json.loads(ran.out)
    assert ran.code == 0
    wanted = {"gauge", "inputs", "value", "uncertainty", "unit", "formula", "source", "meaning"}
    assert wanted <= set(told)
    assert told["gauge"] == name
    assert list(told["inputs"]) == [asked.name for asked in gauge(name).asks]
    assert isinstance(told["value"], float | int)
    assert told["uncertainty"] >= 0
    assert told["meaning"][-1] in ".!?"


@pytest.mark.parametrize("name", names())
@pytest.mark.parametrize("columns", [40, 80])
def test_nothing_is_wider_than_the_screen(name, columns, run):
    for words in (words_of(name), ("gauge", name, "--help"), ("gauge",)):
        ran = run(*words, COLUMNS=str(columns))
        assert ran.code == 0
        assert max(map(len, ran.out.splitlines())) <= columns, words


@pytest.mark.parametrize("name", names())
def test_the_help_says_what_is_asked_how_to_take_it_the_formula_and_its_source(name, run):
    shown = run("gauge", name, "--help", COLUMNS="88").out
    flat = " ".join(shown.split())
    for asked in gauge(name).asks:
        assert (asked.name.upper() if asked.required else f"--{asked.name}") in shown
    for text in (*gauge(name).how, gauge(name).formula, gauge(name).source):
        assert " ".join(text.split()) in flat
    assert f"diagnose gauge {name}" in shown
    assert "--json" in shown


@pytest.mark.parametrize("name", names())
def test_a_gauge_without_its_readings_says_what_it_needs_and_shows_the_form(name, run):
    ran = run("gauge", name)
    assert (ran.code, ran.out) == (2, "")
    first = next(asked for asked in gauge(name).asks if asked.required)
    assert ran.err.startswith(f"{name} needs {first.name} (")
    assert f"diagnose gauge {name} " in ran.err
    assert ran.err.count("\n") == 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ("battery-charge", "5 bar"),
            'volts: "bar" measures pressure; it is taken in V, such as 12.4 V.\n',
        ),
        (
            ("battery-charge", "30 V"),
            "volts: 30 V cannot be: that looks like a 24 V battery; measure each of its two 12 V batteries "
            "on its own.\n",
        ),
        (("battery-charge", "twelve"), 'volts: "twelve" is no reading; write it like this: 12.4 V.\n'),
        (("battery-charge", "1,240"), 'volts: "1,240" can be read in two ways: write 1240 or 1.240.\n'),
        (
            ("battery-charge", "12.4", "--temperature", "-300 C"),
            "temperature: -300 °C cannot be: no battery stands in such a cold or heat; write it like 5 °C.\n",
        ),
        (
            ("battery-charge", "13.2 V", "--kind", "lithium"),
            "kind: the voltage of a lithium battery hardly changes between nearly empty and nearly full, so "
            "it tells nothing of the charge; read its own display or monitor.\n",
        ),
        (("battery-charge", "12.4", "--kind", "dry"), 'kind: "dry" is none of flooded, agm, gel, lithium.\n'),
        (
            ("battery-charge", "12.4", "12.5"),
            'battery-charge: "12.5" is one reading too many; '
            "its form is: diagnose gauge battery-charge VOLTS\n",
        ),
        (
            ("days-until-half", "80 Ah", "0.95", "30 mA"),
            'charge: "0.95" can be read in two ways: write 95 % or 0.95 %.\n',
        ),
        (
            ("days-until-half", "-80 Ah", "95 %", "30 mA"),
            "capacity: -80 Ah cannot be: a battery holds more than nothing, such as 80 Ah.\n",
        ),
        (
            ("cable-drop", "8 A", "6 m", "3 mm2"),
            "section: 3 mm² is no standard cross-section; these are: 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, "
            "35, 50, 70 mm².\n",
        ),
        (
            ("cranking", "10.2 V", "12.5 V"),
            "crank: 12.5 V is not under the resting 10.2 V: the starter drew nothing, or the two readings "
            "are the wrong way round.\n",
        ),
        (("batery-charge", "12"), 'There is no gauge "batery-charge" (did you mean "battery-charge"?)\n'),
        (("frobnicate",), 'There is no gauge "frobnicate" (to see them all: diagnose gauge)\n'),
    ],
)
def test_bad_input_is_refused_in_one_clear_line_with_the_right_form(words, said, run):
    ran = run("gauge", *words)
    assert (ran.code, ran.out, ran.err) == (2, "", said)


def test_bad_input_is_told_to_programs_as_json(run):
    ran = run("gauge", "battery-charge", "5 bar", "--json")
    assert (ran.code, ran.err) == (2, "")
    assert "measures pressure" in json.loads(ran.out)["errors"][0]["message"]


def test_a_misspelt_option_is_refused_with_the_nearest_right_one(run):
    ran = run("gauge", "battery-charge", "12.4", "--knd", "agm")
    assert ran.code == 2
    assert "--kind" in ran.err


def test_a_reading_may_stand_in_several_words_and_be_below_zero(run):
    whole = run("gauge", "battery-charge", "12.4 V", "--temperature", "−5 ± 1 °C").out
    parts = run("gauge", "battery-charge", "12,4", "V", "--temperature", "-5", "±", "1", "C").out
    assert whole == parts
    assert "-5.0 ± 1.0 °C" in parts


def test_every_reading_may_be_named_instead(run):
    named = run("gauge", "cranking", "--crank", "10.2V", "--rest", "12.5V").out
    assert named == run("gauge", "cranking", "12.5 V", "10.2 V").out
    assert named == run("gauge", "cranking", "10.2 V", "--rest", "12.5 V").out


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        (["12,4", "V"], ["12,4 V"]),
        (["12.5", "10.2"], ["12.5", "10.2"]),
        (["12.5", "V", "10.2", "V"], ["12.5 V", "10.2 V"]),
        (["10", "±", "1", "C"], ["10 ± 1 C"]),
        (["10+-1", "C"], ["10+-1 C"]),
        (["10", "+-1C"], ["10 +-1C"]),
        (["-5", "C"], ["\u22125 C"]),
        (["--kind", "agm"], ["--kind", "agm"]),
        (["12.4", "--kind", "agm"], ["12.4", "--kind", "agm"]),
        (["80", "Ah", "95", "%", "30", "mA"], ["80 Ah", "95 %", "30 mA"]),
        (["8", "A", "6", "m", "2.5", "mm²"], ["8 A", "6 m", "2.5 mm²"]),
    ],
)
def test_words_of_one_quantity_are_joined(typed, wanted):
    assert joined(typed) == wanted


def test_the_subjects_of_the_register_hold_the_gauges_that_they_name():
    from importlib import import_module

    for subject, own in SUBJECTS.items():
        held = import_module(f"diagnose.gauges.{subject}").GAUGES
        assert tuple(each.name for each in held) == own


def test_after_a_resting_voltage_a_walk_says_the_charge_in_one_line(run, tmp_path):
    (tmp_path / "lamp-dark.yaml").write_text(RESTED, encoding="utf-8")
    ran = run("walk", "./lamp-dark.yaml", typed="12,18\nleave off\n")
    assert "\n12.18 V is about 46 % charged, if it is a plain lead battery.\n" in ran.out
    assert "about 46" not in run("walk", "./lamp-dark.yaml", typed="low\nleave off\n").out
