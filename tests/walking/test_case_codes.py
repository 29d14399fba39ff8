"""The code of an ended case: what goes in comes out, for every tree; other trees are told apart."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.cases.codes import WrongCode, number_of, written
from diagnose.cases.records import CaseRecord, Entry
from diagnose.knowledge.collection import Library
from diagnose.terms import Answer, Tree
from diagnose.walking.case_codes import (
    CodeOfARound,
    LaterCode,
    code_of,
    contents,
    in_todays_tree,
    read_code,
    symptom_tag,
)
from tests.walking.small_trees import heater

IDS = Library().ids()
ORIGIN = "3fa91c0d7e526b84"
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


@cache
def tree_of(id: str) -> Tree:
    return Library().tree(id)


def places(tree):
    """Everything that a walk of a tree can find, and every remedy that can be tried."""
    known = {id: tree.checks.get(id) or tree.facts[id] for id in [*tree.checks, *tree.applies_to]}
    found = {id: (*check.answer_ids(), "not-sure") for id, check in known.items()}
    tried = [
        "+".join(causes)
        for causes in tree.cut_sets
        if all(tree.events[id].remedy.kind == "do" for id in causes)
    ]
    return found, tried


def record_of(tree, found, tried, **more):
    lines = [Entry(NOON, "finding", id, answer) for id, answer in found.items()]
    lines += [Entry(NOON, "tried", id, became) for id, became in tried.items()]
    numbered = tuple(replace(line, number=number) for number, line in enumerate(lines, 1))
    kept = CaseRecord(7, tree.id, tree.digest, "owner", "referred", NOON, NOON, entries=numbered)
    return replace(kept, **more)


def at_random(tree, chance):
    found, tried = places(tree)
    answers = {id: chance.choice(answers) for id, answers in found.items() if chance.random() < 0.5}
    became = {id: chance.choice(("not-cured", "could-not")) for id in tried if chance.random() < 0.3}
    return answers, became


@pytest.mark.parametrize("id", IDS)
def test_whatever_was_found_and_tried_comes_back_for_every_shipped_tree(id):
    tree, chance = tree_of(id), random.Random(id)
    for _ in range(25):
        found, tried = at_random(tree, chance)
        case = chance.choice((1, 16, 17, 272, 273, 16656, 16657, 2**31 - 1))
        state = chance.choice(("referred", "stopped", "cured"))
        role = chance.choice(("owner", "technician"))
        record = record_of(tree, found, tried, case=case, state=state, role=role)
        code = read_code(code_of(record, tree, ORIGIN))
        assert (code.case, code.state, code.role, code.origin) == (case, state, role, "3fa9")
        assert code.fits(record)
        assert id in code.of_symptom(IDS)
        held = contents(code, tree)
        assert (dict(held.findings), dict(held.tried)) == (found, tried)
        assert len(code_of(record, tree, ORIGIN).replace("-", "")) <= 48


@given(st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1)), st.floats(0, 9.8))
def test_the_month_of_opening_is_known_for_nearly_ten_years(opened, years):
    opened = opened.replace(tzinfo=UTC)
    tree = heater()
    code = read_code(code_of(record_of(tree, {}, {}, opened=opened), tree, ORIGIN))
    began = code.opened(opened + timedelta(days=365 * years))
    assert (began.year, began.month, began.day, began.tzinfo) == (opened.year, opened.month, 1, UTC)


def test_a_clock_that_is_ahead_by_some_days_still_gives_the_right_month():
    tree = heater()
    opened = datetime(2026, 4, 1, 0, 30, tzinfo=UTC)
    code = read_code(code_of(record_of(tree, {}, {}, opened=opened), tree, ORIGIN))
    assert code.opened(datetime(2026, 3, 31, 23, tzinfo=UTC)) == datetime(2026, 4, 1, tzinfo=UTC)


@pytest.mark.parametrize("state", ["open", "left-off"])
def test_a_case_that_has_not_ended_has_no_code(state):
    assert code_of(record_of(heater(), {}, {}, state=state), heater(), ORIGIN) == ""


def test_a_case_from_elsewhere_has_no_code_of_this_store():
    record = record_of(heater(), {}, {}, source="jobs.csv", source_case="12")
    assert code_of(record, heater(), ORIGIN) == ""


def test_a_tree_of_hundreds_of_checks_still_has_a_code_and_one_with_too_much_found_has_none():
    tree = heater()
    many = {f"check-{n}": replace(tree.checks["volts"], id=f"check-{n}") for n in range(400)}
    huge = replace(tree, checks=tree.checks | many)
    few = record_of(huge, {"check-7": "low", "check-399": "good"}, {})
    held = contents(read_code(code_of(few, huge, ORIGIN)), huge)
    assert held is not None
    assert dict(held.findings) == {"check-7": "low", "check-399": "good"}
    assert code_of(record_of(huge, dict.fromkeys(many, "low"), {}), huge, ORIGIN) == ""


def test_a_reading_goes_as_its_band_and_what_was_taken_back_is_not_in_it():
    tree = heater()
    lines = (
        Entry(NOON, "finding", "start", "ticks", number=1),
        Entry(NOON, "back", "1", number=2),
        Entry(NOON, "finding", "volts", "good", 12.4, 0.1, number=3),
    )
    record = replace(record_of(tree, {}, {}), entries=lines)
    held = contents(read_code(code_of(record, tree, ORIGIN)), tree)
    assert dict(held.findings) == {"volts": "good"}


# Trees that have changed ------------------------------------------------------------------------------------


def with_check(tree, id, **change):
    return replace(tree, checks={**tree.checks, id: replace(tree.checks[id], **change)})


def renamed(tree, old, new):
    """The tree with a check under another id, the old one kept under `was`, in the same place."""
    checks = {
        (new if id == old else id): replace(check, id=new, was=(*check.was, old)) if id == old else check
        for id, check in tree.checks.items()
    }
    return replace(tree, checks=checks)


def coded(tree):
    record = record_of(tree, {"start": "ticks", "volts": "low"}, {"fuse": "not-cured"})
    return read_code(code_of(record, tree, ORIGIN))


def test_texts_and_figures_may_change_under_a_code():
    tree = heater()
    code = coded(tree)
    later = replace(
        with_check(tree, "start", ask="Does it tick now?", not_sure=0.3), digest="another", strength=5
    )
    assert contents(code, later) == contents(code, tree)


def test_what_was_renamed_comes_back_under_its_name_of_today():
    tree = heater()
    code = coded(tree)
    twice = renamed(renamed(tree, "start", "starting"), "starting", "first-start")
    assert contents(code, twice).findings == {"first-start": "ticks", "volts": "low"}


@pytest.mark.parametrize(
    "change",
    [
        lambda tree: with_check(
            tree, "start", answers=(*tree.checks["start"].answers, Answer("hums", "Hums"))
        ),
        lambda tree: replace(tree, checks={id: each for id, each in tree.checks.items() if id != "volts"}),
        lambda tree: replace(tree, checks=dict(reversed(tree.checks.items()))),
        lambda tree: replace(tree, cut_sets=tree.cut_sets[:-1]),
        lambda tree: replace(tree, cut_sets=tree.cut_sets[::-1]),
        lambda tree: replace(tree, ask_first=tree.ask_first[:1]),
    ],
)
def test_a_tree_that_asks_or_knows_something_else_reads_nothing_from_it(change):
    tree = heater()
    assert contents(coded(tree), change(tree)) is None


def test_another_symptom_reads_nothing_from_it():
    assert contents(coded(heater()), replace(heater(), id="cooler")) is None


def test_what_has_no_place_today_is_listed():
    tree = heater()
    lines = contents(coded(tree), tree).entries(NOON)
    without = replace(
        tree,
        checks={id: each for id, each in tree.checks.items() if id != "start"},
        cut_sets=tree.cut_sets[:1],
    )
    kept, gone = in_todays_tree(lines, without)
    assert [(line.kind, line.subject, line.answer) for line in kept] == [("finding", "volts", "low")]
    assert gone == ("start: ticks", "fuse: not-cured")


# Codes that are no codes ------------------------------------------------------------------------------------


def test_a_code_of_a_later_version_says_so():
    number = number_of(code_of(record_of(heater(), {}, {}), heater(), ORIGIN))
    with pytest.raises(LaterCode, match="made by a later version of the program"):
        read_code(written(number + 1))


def test_what_no_walk_of_the_tree_can_have_come_to_is_refused():
    tree = heater()
    number = number_of(code_of(record_of(tree, {}, {}), tree, ORIGIN))
    fields = 3 * 3 * 2 * 120 * 16**4 * 1024 * 1024 * 12 * 16
    with pytest.raises(WrongCode, match="this code is not right"):
        contents(read_code(written(number + fields * 10**20)), tree)


@given(st.integers(0, 13**44))
def test_any_number_at_all_is_read_or_refused(number):
    tree = heater()
    try:
        code = read_code(written(number))
    except (LaterCode, CodeOfARound):
        return
    assert code.case >= 1
    assert 1 <= code.opened(NOON).month <= 12
    assert code.of_symptom(["heater"]) == (("heater",) if code.symptom == symptom_tag("heater") else ())
    assert contents(code, tree) is None or code.symptom == symptom_tag(tree.id)
