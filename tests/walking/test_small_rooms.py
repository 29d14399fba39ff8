"""Folders, numbers to call, what another tree takes over, and journals in a store."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.terms import Finding, Settings
from diagnose.walking import places
from diagnose.walking.calling import whom_to_call
from diagnose.walking.handing_over import carried_over
from diagnose.walking.journal import CaseJournal
from diagnose.walking.views import Cured, Stopped
from diagnose.walking.walk import Walk
from tests.walking.small_trees import HandClock, Order, heater
from tests.walking.test_danger_questions import through_the_danger_questions

COUNTRIES = Library().common().countries


def test_the_environment_decides_where_things_are_kept(monkeypatch, tmp_path):
    monkeypatch.setenv("DIAGNOSE_CACHE", str(tmp_path / "cache"))
    monkeypatch.setenv("DIAGNOSE_CASES", "postgresql://host/cases")
    monkeypatch.setenv("DIAGNOSE_TREES", f"{tmp_path / 'one'}:{tmp_path / 'two'}")
    assert places.cache_folder() == tmp_path / "cache"
    assert places.store_url() == "postgresql://host/cases"
    assert places.store_url("mine.sqlite") == "mine.sqlite"
    assert places.tree_folders() == (tmp_path / "one", tmp_path / "two")
    assert places.tree_folders((Path("x"),)) == (Path("x"),)


def test_without_it_the_platforms_folders_are_used(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("HOME", str(tmp_path))
    assert tmp_path in places.cache_folder().parents
    assert tmp_path in Path(places.store_url()).parents
    assert places.tree_folders() == ()


@pytest.mark.parametrize(
    ("settings", "facts", "numbers"),
    [
        (None, [], ("112",)),
        (Settings(country="uk"), [], ("112", "999")),
        (Settings(country="uk"), [Finding("country", "fr")], ("112",)),
        (Settings(country="atlantis"), [], ("112",)),
        (Settings(), [Finding("country", "not-sure")], ("112",)),
    ],
)
def test_the_numbers_to_call_follow_from_the_country_and_are_112_without(settings, facts, numbers):
    assert whom_to_call(COUNTRIES, settings, facts).numbers == numbers


def test_the_register_of_gas_fitters_follows_from_the_country():
    assert "Gas Safe Register" in whom_to_call(COUNTRIES, Settings(country="uk")).register
    assert whom_to_call(COUNTRIES).register == ""


def test_another_tree_takes_over_facts_and_what_it_asks_in_the_same_words():
    from dataclasses import replace

    one = heater()
    other = heater(
        checks=dict(one.checks) | {"start": replace(one.checks["start"], ask="Something else?")}, cut_sets=()
    )
    findings = [Finding(id, "x") for id in ("smell-of-gas", "hob", "start", "heater-fuel", "gone")]
    assert [each.check for each in carried_over(findings, one, other)] == ["hob", "heater-fuel"]


def test_a_walk_in_a_store_is_durable_line_by_line_and_settles_its_case(tmp_path):
    tree, clock = heater(), HandClock()
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        case = store.open_case(tree.id, tree.digest, "owner", "", clock())
        walk = Walk.begin(tree, Order(tree), CaseJournal(store, case, clock), clock)
        through_the_danger_questions(walk)
        for answer in ("none", "ticks", "good", "cured", "no"):
            walk.answer(answer)
            assert store.case(case).entries == walk.entries
        assert isinstance(walk.cured_when(True), Cured)
        record = store.case(case)
        assert (record.state, record.points_to) == ("cured", "empty")
        walk.back()
        assert store.case(case).state == "open"
        assert isinstance(walk.danger(), Stopped)
        assert (store.case(case).state, store.case(case).referral) == ("stopped", "gas-escape")


def test_a_walk_taken_up_from_a_store_stands_where_it_stood(tmp_path):
    tree, clock = heater(), HandClock()
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        case = store.open_case(tree.id, tree.digest, "owner", "", clock())
        walk = Walk.begin(tree, Order(tree), CaseJournal(store, case, clock), clock)
        through_the_danger_questions(walk)
        walk.answer("none")
        walk.leave_off()
        assert store.case(case).state == "left-off"
        again = Walk.resume(tree, Order(tree), CaseJournal(store, case, clock), clock, store.case(case))
        assert store.case(case).state == "open"
        again.answer("no")
        assert again.answer("quiet").check == "start"
