"""Exact readings behind a code come back as they were; none comes in that its case cannot have had."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.cases.records import CaseRecord, Entry
from diagnose.terms import WrongUsage
from diagnose.walking.case_codes import code_of, contents, read_code
from diagnose.walking.exact_readings import (
    ExactReading,
    ReadingNotOfThisCase,
    in_place,
    split_readings,
    with_exact_readings,
)
from diagnose.walking.past import read_past
from tests.walking.small_trees import MONDAY, heater

ALPHANUMERIC = set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")
"""ISO/IEC 18004:2015, table 5: what the alphanumeric mode can hold (from memory)."""
TREE = heater()


def walked(*readings, tree=TREE):
    lines = [Entry(MONDAY, "finding", "hob", "none")]
    lines += [Entry(MONDAY, "finding", "volts", "good", value, doubt) for value, doubt in readings]
    numbered = tuple(replace(line, number=number) for number, line in enumerate(lines, 1))
    record = CaseRecord(7, "heater", "", "owner", "referred", MONDAY, MONDAY, "Blue van", entries=numbered)
    return record, code_of(record, tree, "3fa91c0d7e526b84")


def held_by(code, tree=TREE):
    held = contents(read_code(code), tree)
    assert held is not None
    return held


def written(*readings, tree=TREE):
    record, code = walked(*readings, tree=tree)
    return code, with_exact_readings(code, read_past(tree, record.entries))


def test_behind_the_code_stands_each_reading_with_its_uncertainty():
    code, text = written((12.4, 0.15))
    assert text == f"{code} VOLTS:12.4:0.15"
    assert set(text) <= ALPHANUMERIC


def test_a_case_without_readings_or_without_a_code_has_nothing_behind_it():
    code, text = written()
    assert text == code
    assert with_exact_readings("", read_past(TREE, ())) == ""


@settings(max_examples=40)
@given(st.floats(11.5, 16), st.none() | st.floats(1e-9, 5))
def test_a_reading_comes_back_to_the_last_digit(value, doubt):
    _, text = written((value, doubt))
    (code,), readings = split_readings([text])
    found = in_place(held_by(code), TREE, readings)
    lines = {line.subject: line for line in found.entries(MONDAY)}
    assert (lines["volts"].answer, lines["volts"].value, lines["volts"].uncertainty) == ("good", value, doubt)
    assert (lines["hob"].answer, lines["hob"].value) == ("none", None)


@settings(max_examples=10)
@given(st.text(max_size=30))
def test_no_label_of_a_vehicle_is_ever_in_it(label):
    record, code = walked((12.4, 0.15))
    text = with_exact_readings(code, read_past(TREE, replace(record, vehicle=label).entries))
    assert text == f"{code} VOLTS:12.4:0.15"


def test_words_may_be_quoted_together_or_not_and_in_small_letters():
    expected = (("0042-7524-4371", "2"), (ExactReading("rest-volts", 12.1, 0.05, "REST-VOLTS:12.1:0.05"),))
    assert split_readings(["0042-7524-4371 REST-VOLTS:12.1:0.05", "2"]) == expected
    assert split_readings(["0042-7524-4371", "rest-volts:12.1:0.05", "2"]) == expected
    assert split_readings(["3", "regulator-blocked"]) == (("3", "regulator-blocked"), ())


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("VOLTS:12.4:0.1:9", "is not written as a reading behind a code is"),
        ("VOLTS:1.2.3", "holds a figure that is no number"),
        ("VOLTS:12.4:0", "its uncertainty one above zero"),
        ("VOLTS:12.4:-1", "its uncertainty one above zero"),
        ("VOLTS:1E999", "a value is a number"),
        (f"VOLTS:{'1' * 200}", "is not written as a reading behind a code is"),
    ],
)
def test_what_is_not_written_as_a_reading_is_refused(word, said):
    with pytest.raises(WrongUsage) as refused:
        split_readings(["0042-7524-4371", word])
    assert said in str(refused.value)
    assert len(str(refused.value)) < 160


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("VOLTS:16.5", "VOLTS:16.5: 16.5 V is outside the range of that check, 0 to 16 V"),
        (
            "VOLTS:11.4:0.1",
            'VOLTS:11.4:0.1: by its code this reading is "good", and 11.4 V is not; read it again, '
            "or leave it out: the code serves without it",
        ),
        ("VOLTS:12:17", "VOLTS:12:17: its uncertainty is wider than the range of that check"),
        (
            "HOB:12",
            "HOB:12: the case of this code has no reading of that check (its readings: VOLTS); leave it out: "
            "the code serves without it",
        ),
    ],
)
def test_a_reading_that_the_case_cannot_have_had_is_refused(word, said):
    code, _ = written((12.4, 0.15))
    _, readings = split_readings([code, word])
    with pytest.raises(ReadingNotOfThisCase) as refused:
        in_place(held_by(code), TREE, readings)
    assert str(refused.value) == said


def test_a_reading_of_which_the_code_tells_none_is_refused_and_so_is_one_that_stands_twice():
    bare, _ = written()
    with pytest.raises(ReadingNotOfThisCase, match=r"its readings: none"):
        in_place(held_by(bare), TREE, split_readings([bare, "VOLTS:12.4"])[1])
    code, text = written((12.4, 0.15))
    with pytest.raises(ReadingNotOfThisCase, match="stands here twice"):
        in_place(held_by(code), TREE, split_readings([text, "VOLTS:12.5"])[1])


def test_a_check_that_has_been_renamed_is_known_by_its_first_name():
    renamed = replace(TREE.checks["volts"], id="panel-volts", was=("volts",))
    checks = {("panel-volts" if id == "volts" else id): each for id, each in TREE.checks.items()}
    today = replace(TREE, checks=checks | {"panel-volts": renamed})
    code, text = written((12.4, 0.15))
    found = in_place(held_by(code, today), today, split_readings([text])[1])
    assert found.readings["panel-volts"].value == 12.4
    assert written((12.4, 0.15), tree=today)[1] == text
