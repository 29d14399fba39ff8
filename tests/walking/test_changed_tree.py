"""A case taken up after its tree has changed: it is said, ids are led on, what has no place is named."""

from __future__ import annotations

from dataclasses import replace

from diagnose.terms import Answer, Band, Reading
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.walk import Walk
from tests.walking.small_trees import HandClock, Order, heater
from tests.walking.test_danger_questions import resumed, through_the_danger_questions


def left_off():
    tree = heater()
    journal, clock = MemoryJournal(), HandClock()
    walk = Walk.begin(tree, Order(tree), journal, clock)
    through_the_danger_questions(walk)
    walk.answer("none")
    walk.answer("ticks")
    walk.reading(11.0)
    walk.could_not()
    walk.answer("no")
    walk.leave_off()
    return walk, journal, clock


def changed(tree, renamed=(), without=(), digest="digest-2"):
    """The tree with checks and causes renamed (old, new) or taken out."""
    names = dict(renamed)
    checks = {
        names.get(id, id): replace(each, id=names.get(id, id), was=(id,) if id in names else ())
        for id, each in tree.checks.items()
        if id not in without
    }
    events = {
        names.get(id, id): replace(each, id=names.get(id, id), was=(id,) if id in names else ())
        for id, each in tree.events.items()
        if id not in without
    }
    cut_sets = tuple(
        tuple(names.get(id, id) for id in causes) for causes in tree.cut_sets if causes[0] not in without
    )
    return replace(tree, checks=checks, events=events, cut_sets=cut_sets, digest=digest)


def taken_up(tree):
    walk, journal, clock = left_off()
    return resumed(walk, journal, clock, tree), journal


def test_an_unchanged_tree_says_nothing():
    walk, journal, clock = left_off()
    assert not any("changed" in notice for notice in resumed(walk, journal, clock).view().notices)


def test_a_changed_tree_is_said_until_the_first_answer():
    walk, _ = taken_up(changed(heater()))
    assert any("has changed" in notice for notice in walk.view().notices)
    assert not any("dropped" in notice for notice in walk.view().notices)
    assert not any("has changed" in notice for notice in walk.answer("no").notices)


def test_ids_are_led_on_by_was():
    walk, _ = taken_up(changed(heater(), renamed=[("hob", "hob-flame"), ("empty", "cylinder-empty")]))
    assert walk.situation.findings["hob-flame"].answer == "none"
    assert walk.situation.tried == {"cylinder-empty": "could-not"}
    assert not any("dropped" in notice for notice in walk.view().notices)


def test_what_has_no_place_is_named_and_dropped():
    walk, journal = taken_up(changed(heater(), without=["start", "empty"]))
    assert "start" not in walk.situation.findings
    assert walk.situation.tried == {}
    notice = next(notice for notice in walk.view().notices if "dropped" in notice)
    assert notice == "No longer in the tree, so dropped: start: ticks, empty: could-not."
    assert [line.subject for line in journal.lines if line.kind == "dropped"] == ["start", "empty"]


def test_an_answer_that_no_longer_exists_is_dropped_not_bent():
    tree = heater()
    hob = replace(tree.checks["hob"], answers=(Answer("blue", "Blue"), Answer("yellow", "Yellow")))
    walk, _ = taken_up(replace(tree, checks=dict(tree.checks) | {"hob": hob}, digest="digest-2"))
    assert "hob" not in walk.situation.findings
    walk.answer("no")
    assert walk.answer("quiet").check == "hob"


def test_a_reading_takes_the_band_that_holds_it_today():
    tree = heater()
    volts = replace(
        tree.checks["volts"],
        answers=(Answer("flat", "flat"), Answer("fair", "fair"), Answer("full", "full")),
        bands=(Band("flat", 0, 10.5), Band("fair", 10.5, 12.4), Band("full", 12.4, 16)),
    )
    walk, _ = taken_up(replace(tree, checks=dict(tree.checks) | {"volts": volts}, digest="digest-2"))
    assert (walk.situation.findings["volts"].answer, walk.situation.findings["volts"].value) == ("fair", 11.0)


def test_a_reading_outside_todays_range_is_dropped():
    tree = heater()
    volts = replace(tree.checks["volts"], reading=Reading("V", 12, 16, 0.1))
    walk, _ = taken_up(replace(tree, checks=dict(tree.checks) | {"volts": volts}, digest="digest-2"))
    assert "volts" not in walk.situation.findings


def test_starts_of_a_dropped_remedy_still_count():
    walk, journal, clock = left_off()
    tries = walk.past.starts(clock())
    again = resumed(walk, journal, clock, changed(heater(), without=["shut"]))
    assert again.past.starts(clock()) == tries
