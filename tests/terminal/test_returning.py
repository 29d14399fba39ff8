"""What is said of the cases that a ranking rests on: how much came back, and what a case therefore counts."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime

import pytest

from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.reasoning.learning import Return
from diagnose.terminal.case_list import ListedPart, case_list
from diagnose.terminal.desk import Desk
from diagnose.terminal.returning import ranked_from, still_missing, what_came_back
from diagnose.terminal.visiting import Visit
from tests.terminal.typed import START, Typing

THEN = datetime(2026, 2, 1, tzinfo=UTC)


def kept(place, *cases):
    """A store of lamps that stayed dark: (ending, cause or nothing if nobody told)."""
    with open_store(str(place)) as store:
        for state, cause in cases:
            case = store.open_case("lamp-dark", "", "owner", "another van", THEN)
            store.end_case(case, state, THEN, referral="workshop" if state == "referred" else "")
            if cause:
                store.confirm(case, cause, THEN)
        return store.cases()


def test_where_all_is_told_only_the_number_is_said():
    assert ranked_from(3, [Return("cured", 3, 3, 1.0)]) == "Ranked from 3 confirmed cases."
    assert ranked_from(1, [Return("referred", 1, 1, 1.0)]) == "Ranked from 1 confirmed case."


@pytest.mark.parametrize("returns", [[], [Return("referred", 9, 0, 0.0)]])
def test_without_a_confirmed_case_nothing_is_said(returns):
    assert ranked_from(0, returns) == ""


def test_the_worked_weights_of_a_fleet_are_said():
    """By hand: (9 + 1) / (4 + 1) = 2 for what was handed on; all cures are told, so they stand for 1."""
    some = [Return("cured", 8, 8, 0.5), Return("referred", 9, 4, 1.0)]
    assert ranked_from(12, some) == (
        "Ranked from 12 confirmed cases. Of 9 that were handed on, 4 have told what it was, so each of those "
        "counts 2 times as much as one that was cured."
    )


def test_endings_of_equal_weight_are_not_set_against_each_other():
    alike = [Return("cured", 3, 1, 1.0), Return("referred", 3, 1, 1.0)]
    assert ranked_from(2, alike) == (
        "Ranked from 2 confirmed cases. Of 3 that were handed on, 1 has told what it was. "
        "Of 3 that were cured, 1 has told what it was."
    )


def test_of_cases_confirmed_before_they_ended_nothing_is_said():
    assert ranked_from(2, [Return("open", 2, 2, 1.0)]) == "Ranked from 2 confirmed cases."


def test_counts_that_have_decayed_are_about():
    assert ranked_from(2.4, [Return("cured", 2.4, 2.4, 1.0)]) == "Ranked from about 2 confirmed cases."
    assert what_came_back("stopped", 3.6, 0) == "Of about 4 that were stopped for danger nothing is known"


@pytest.fixture
def why(lamp, tmp_path, monkeypatch):
    """What is said to `why` at the first question about the lamp."""
    monkeypatch.setenv("DIAGNOSE_CACHE", str(tmp_path / "cache"))
    console = Typing("why")
    desk = Desk(Library((lamp.parent,)), str(tmp_path / "cases.sqlite"), clock=lambda: START)

    def asked():
        try:
            Visit(console, desk).run("lamp-dark", None)
        finally:
            desk.close()
        return console.text()

    return asked


def test_a_walk_that_asks_why_is_told_what_its_ranking_rests_on(why, tmp_path):
    kept(
        tmp_path / "cases.sqlite",
        *[("cured", "switched-off")] * 8,
        *[("referred", "line-dead")] * 4,
        *[("referred", "")] * 5,
        ("stopped", ""),
    )
    assert (
        "Ranked from 12 confirmed cases. Of 9 that were handed on, 4 have told what it was, so each of those "
        "counts 2 times as much as one that was cured. Of the one that was stopped for danger nothing is "
        "known."
    ) in why()


def test_under_each_ranking_stands_how_many_outcomes_are_missing(why, tmp_path):
    kept(
        tmp_path / "cases.sqlite",
        *[("cured", "switched-off")] * 8,
        *[("referred", "line-dead")] * 4,
        *[("referred", "")] * 5,
        ("stopped", ""),
    )
    asked, _, explained = why().partition("What comes after each answer:")
    assert "Not told yet what it was: 5 of 9 handed on, 1 of 1 stopped for danger." in asked
    assert "Not told yet" not in explained


def test_where_every_outcome_is_known_nothing_is_missing():
    assert still_missing([Return("cured", 8, 8, 1.0), Return("left-off", 3, 1, 1.0)]) == ""
    assert still_missing([Return("referred", 3.6, 1.2, 1.0)]) == (
        "Not told yet what it was: about 2 of about 4 handed on."
    )


def test_a_walk_without_cases_says_nothing_of_them(why, tmp_path):
    kept(tmp_path / "cases.sqlite", ("referred", ""))
    said = why()
    assert "What comes after each answer:" in said
    assert "Ranked from" not in said
    assert "handed on" not in said


def test_the_list_of_cases_ends_with_what_others_have_not_told(tmp_path):
    records = kept(
        tmp_path / "cases.sqlite", ("cured", ""), ("referred", "line-dead"), ("referred", ""), ("stopped", "")
    )
    counts = Counter((record.state, record.confirmed) for record in records)
    foot = " ".join(case_list(ListedPart(records, counts, "a place"), 60).split("\n\n")[-1].split())
    assert foot.startswith(
        "4 cases, 1 confirmed. Of 2 that were handed on, 1 has told what it was. "
        "Of the one that was stopped for danger nothing is known."
    )
