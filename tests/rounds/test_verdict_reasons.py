"""What each reason of a verdict says: about what, how much it counts, with which note and case.

Which finding leaves a vehicle limited or not ready is common practice, with no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from diagnose.rounds.verdict import judged, weight
from tests.rounds.test_verdict import CHECKED, OLD, TODAY, all_fine, mark, rounds, verdict

LONG = timedelta(days=200)
CARD = replace(CHECKED, dates=dict.fromkeys(CHECKED.dates, TODAY + LONG))
"""Checks that hold for a year from a day that is yet to come, so that they hold in half a year, too."""
HOSE = replace(CHECKED, dates={**CHECKED.dates, "gas-hose": OLD})


def after(task, *marks, round="wake-up", **known):
    """The one reason that is left where all else is fine."""
    others = [each for each in all_fine(round) if each.task != task]
    (reason,) = verdict(round, [*others, *marks], **known).reasons
    return reason


def test_danger_is_about_danger_and_what_is_gone_about_its_old_id():
    (reason,) = verdict("wake-up", all_fine("wake-up"), stopped=True).reasons
    assert (reason.about, reason.why, reason.counts) == ("danger", "danger", "not-ready")
    tasks = {id: task for id, task in rounds()["wake-up"].tasks.items() if id != "w4-tyres"}
    shorter = replace(rounds()["wake-up"], tasks=tasks)
    (reason,) = judged(shorter, all_fine("wake-up", w4_tyres="wrong"), CHECKED, TODAY).reasons
    assert (reason.about, reason.what, reason.why) == ("w4-tyres", "w4-tyres", "gone")


@pytest.mark.parametrize(
    ("why", "marks", "known"),
    [
        ("wrong", [mark("w15-hob", "wrong", note="it spits")], {}),
        ("case-closed", [mark("w15-hob", "wrong", 7, "it spits")], {"settled": (7,)}),
        ("case-open", [mark("w15-hob", "wrong", 7), mark("w15-hob", note="it spits")], {}),
        ("not-done", [mark("w15-hob", "not-done", note="it spits")], {}),
    ],
)
def test_what_was_written_beside_the_last_mark_stands_with_the_reason(why, marks, known):
    reason = after("w15-hob", *marks, **known)
    assert (reason.why, reason.note, reason.about) == (why, "it spits", "w15-hob")
    assert reason.case == (7 if why.startswith("case") else None)


def test_a_missing_alarm_has_its_note_and_what_nobody_marked_has_none():
    assert after("p19-alarms", mark("p19-alarms", "not-fitted", note="sold")).note == "sold"
    assert after("w15-hob").note == ""


def test_an_open_case_stays_open_though_it_was_found_wrong_once_more_without_one():
    twice = [mark("w15-hob", "wrong", 7), mark("w15-hob", "wrong"), mark("w15-hob")]
    assert (after("w15-hob", *twice).why, after("w15-hob", *twice).case) == ("case-open", 7)
    # a case beside a mark that is fine was opened by something else
    beside = [*all_fine("wake-up", w15_hob=None), mark("w15-hob", case=8)]
    assert verdict("wake-up", beside).verdict == "ready"


@pytest.mark.parametrize(
    "marks",
    [[], [mark("j1-load", "not-done")], [mark("j1-load", "wrong", 7), mark("j1-load")]],
    ids=["nobody looked", "not done", "its case is open"],
)
def test_before_a_journey_what_keeps_it_off_the_road_leaves_it_not_ready_also_undone(marks):
    task = rounds()["journey"].tasks["j1-load"]
    assert (task.if_wrong, "the road" in task.must_not_use) == ("limited", True)
    assert after("j1-load", *marks, round="journey").counts == "not-ready"


def test_a_date_that_is_over_says_what_stays_unused_and_counts_as_much_as_its_task():
    (reason,) = verdict("wake-up", all_fine("wake-up"), HOSE).reasons
    assert (reason.must_not_use, reason.due.of, reason.due.over) == (
        "Anything that burns gas",
        "gas-hose",
        True,
    )
    journey = rounds()["journey"]
    load = replace(journey.tasks["j1-load"], dates=("gas-hose",))
    own = replace(journey, tasks={**journey.tasks, "j1-load": load})
    (reason,) = judged(own, all_fine("journey"), HOSE, TODAY).reasons
    assert (reason.about, reason.counts) == ("gas-hose", "not-ready")


@pytest.mark.parametrize(
    ("round", "days"), [("journey", 1), ("hand-over", 7), ("wake-up", 183), ("lay-up", 183)]
)
def test_what_was_looked_at_too_long_ago_counts_as_little_as_what_nobody_looked_at(round, days):
    later = [
        judged(rounds()[round], all_fine(round), CARD, TODAY + timedelta(days=n)) for n in (days, days + 1)
    ]
    undone = judged(rounds()[round], [], CARD, TODAY)
    assert (later[0].verdict, later[0].reasons) == ("ready", ())
    assert later[1].verdict == undone.verdict == "not-ready"
    assert {reason.why for reason in later[1].reasons} == {"long-ago"}
    assert [reason.about for reason in later[1].reasons] == [reason.about for reason in undone.reasons]
    assert later[1].must_not_use == undone.must_not_use


def test_of_a_task_for_other_vehicles_it_does_not_matter_how_long_ago_it_was():
    later = TODAY + timedelta(days=300)
    found = judged(rounds()["wake-up"], all_fine("wake-up"), CARD, later, facts={"build": "caravan"})
    assert not {"w8-fluids", "w9-engine"} & {reason.about for reason in found.reasons}


@pytest.mark.parametrize(
    ("round", "task"), [("wake-up", "w6-belts"), ("journey", "j4-lamps"), ("journey", "w6-belts")]
)
def test_belts_and_lamps_that_are_called_not_fitted_were_not_looked_at(round, task):
    found = verdict(round, all_fine(round, **{task: "not-fitted"}))
    assert (found.verdict, found.not_done) == ("not-ready", (task,))


OF_DATE = mark("w14-gas", "wrong", note="dry", case=None)


def hose_on_card(day):
    """A card with that day, or with no date of the gas at all."""
    mains = {"mains-check": CHECKED.dates["mains-check"]}
    return replace(CHECKED, dates={**CHECKED.dates, "gas-hose": day} if day else mains)


@pytest.mark.parametrize(
    ("day", "whys"),
    [
        (TODAY, ["renewed"]),
        (OLD, ["wrong", "over"]),  # the date on the card is over still
        (None, ["wrong", "unchecked"]),  # what is on no card renews nothing
    ],
)
def test_wrong_for_its_date_alone_is_to_be_looked_at_again_once_the_card_has_one_that_holds(day, whys):
    marked = replace(OF_DATE, of_date=True)
    marks = [*all_fine("wake-up", w14_gas=None), marked]
    found = verdict("wake-up", marks, hose_on_card(day))
    assert [reason.why for reason in found.reasons] == whys
    assert found.reasons[0].about == "w14-gas"
    assert found.reasons[0].what == rounds()["wake-up"].tasks["w14-gas"].what
    assert found.verdict == "limited"
    other = verdict("wake-up", [*marks[:-1], replace(marked, of_date=False)], hose_on_card(TODAY))
    assert [reason.why for reason in other.reasons] == ["wrong"]


def test_renewed_before_a_journey_counts_as_much_as_wrong():
    journey = rounds()["journey"]
    load = replace(journey.tasks["j1-load"], dates=("gas-hose",))
    own = replace(journey, tasks={**journey.tasks, "j1-load": load})
    marks = [*all_fine("journey", j1_load=None), replace(mark("j1-load", "wrong"), of_date=True)]
    (reason,) = judged(own, marks, hose_on_card(TODAY), TODAY).reasons
    assert (reason.why, reason.about, reason.counts, reason.note) == ("renewed", "j1-load", "not-ready", "")


def test_a_task_that_was_gathered_limits_it_whatever_its_file_says():
    tyres = rounds()["wake-up"].tasks["w4-tyres"]
    assert weight(tyres, "wake-up") == "not-ready"
    assert weight(replace(tyres, gathered=True), "wake-up") == "limited"


def test_a_gathered_task_that_is_gone_with_its_wrong_limits_it_and_no_more():
    marks = [*all_fine("wake-up"), mark("prevent-lamp", "wrong")]
    (reason,) = verdict("wake-up", marks).reasons
    assert (reason.about, reason.why, reason.counts) == ("prevent-lamp", "gone", "limited")
