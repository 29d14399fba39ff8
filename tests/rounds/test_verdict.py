"""What a round has come to: the trade's rules by name, and laws that hold for any marks.

Which finding leaves a vehicle limited or not ready is common practice, with no source.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import DATES
from diagnose.knowledge.collection import Library
from diagnose.rounds.verdict import BADNESS, judged, weight
from diagnose.terms import Finding
from diagnose.terms.rounds import ROUNDS, TASK_ENDS, TaskMark

TODAY = date(2026, 11, 29)
NOW = datetime(2026, 11, 29, 9, tzinfo=UTC)
LIBRARY = Library()
CHECKED = VehicleCard(
    dates={"gas-check": TODAY - timedelta(days=30), "mains-check": TODAY - timedelta(days=30)}
)
"""A card with both checks of qualified people, which hold."""
OLD = date(2005, 1, 1)


def rounds():
    return LIBRARY.rounds()


def mark(task, end="fine", case=None, note=""):
    return TaskMark(task, end, NOW, note=note, case=case)


def all_fine(id, **other):
    """Marks of a whole round, all fine but for some."""
    ends = dict.fromkeys(rounds()[id].tasks, "fine") | {
        task.replace("_", "-"): end for task, end in other.items()
    }
    return [mark(task, end) for task, end in ends.items() if end is not None]


def verdict(id, marks, card=CHECKED, **known):
    return judged(rounds()[id], marks, card, TODAY, **known)


@pytest.mark.parametrize("id", ROUNDS)
def test_a_round_that_is_all_fine_with_both_checks_entered_is_ready(id):
    found = verdict(id, all_fine(id))
    assert (found.verdict, found.reasons, found.must_not_use) == ("ready", (), ())


@pytest.mark.parametrize("id", ROUNDS)
@pytest.mark.parametrize(
    ("dates", "unchecked"),
    [
        ({}, ("gas", "mains")),
        ({"gas-check": TODAY}, ("mains",)),
        ({"mains-check": TODAY}, ("gas",)),
        ({"gas-check": date(2025, 11, 29), "mains-check": TODAY}, ("gas",)),  # a year is over today
        ({"gas-check": date(2025, 11, 30), "mains-check": date(2023, 11, 30)}, ()),
        ({"gas-check": TODAY, "mains-check": date(2023, 11, 29)}, ("mains",)),  # three years
    ],
)
def test_gas_and_mains_stay_unchecked_until_a_check_is_entered_that_holds(id, dates, unchecked):
    found = verdict(id, all_fine(id), VehicleCard(dates=dates))
    assert found.unchecked == unchecked
    assert found.verdict == ("limited" if unchecked else "ready")


@pytest.mark.parametrize("id", ROUNDS)
def test_without_a_card_nothing_was_checked(id):
    found = verdict(id, all_fine(id), None)
    assert (found.verdict, found.unchecked) == ("limited", ("gas", "mains"))


def test_who_lets_it_out_must_not_use_gas_or_mains_unchecked():
    unchecked = (
        "Gas, until somebody qualified has checked it",
        "Mains, until somebody qualified has checked it",
    )
    assert verdict("wake-up", all_fine("wake-up"), None).must_not_use == ()
    assert verdict("wake-up", all_fine("wake-up"), None, facts={"use": "hired"}).must_not_use == unchecked
    assert verdict("hand-over", all_fine("hand-over"), None).must_not_use == unchecked


# Tyres, brakes, belts, alarm open: not ready; the other one is a light that is dark before a journey.
@pytest.mark.parametrize("end", ["wrong", "not-done", None])
@pytest.mark.parametrize(
    ("id", "task"),
    [
        ("wake-up", "w4-tyres"),
        ("wake-up", "w5-brakes"),
        ("wake-up", "w6-belts"),
        ("wake-up", "p19-alarms"),
        ("journey", "w4-tyres"),
        ("journey", "w6-belts"),
        ("journey", "j4-lamps"),
        ("hand-over", "w4-tyres"),
        ("hand-over", "w6-belts"),
        ("hand-over", "p19-alarms"),
        ("lay-up", "p11-park"),
        ("lay-up", "p12-tyres"),
    ],
)
def test_tyres_brakes_belts_and_alarm_leave_it_not_ready(id, task, end):
    found = verdict(id, all_fine(id, **{task: end}))
    assert found.verdict == "not-ready"
    assert [reason.about for reason in found.reasons] == [task]
    assert found.must_not_use == (rounds()[id].tasks[task].must_not_use,)


def test_a_tree_about_tyres_or_brakes_weighs_as_much_whatever_the_file_says():
    task = replace(rounds()["wake-up"].tasks["w15-hob"], if_wrong="limited")
    assert weight(task, "wake-up") == "limited"
    for grave in ("tyres-soft-old", "brakes-drag"):
        assert weight(replace(task, opens=("lights-dim", grave)), "wake-up") == "not-ready"


@pytest.mark.parametrize(
    ("id", "task", "expected"),
    [
        ("wake-up", "w15-hob", "limited"),
        ("wake-up", "w8-fluids", "limited"),
        ("journey", "w8-fluids", "not-ready"),  # what keeps it off the road is the whole of a journey
        ("journey", "j1-load", "not-ready"),
        ("journey", "j2-gas", "limited"),
        ("hand-over", "w15-hob", "limited"),
        ("lay-up", "p13-air", "limited"),
    ],
)
def test_what_is_wrong_elsewhere_limits_it_unless_a_journey_is_kept_off_the_road(id, task, expected):
    assert verdict(id, all_fine(id, **{task: "wrong"})).verdict == expected


def test_the_verdict_is_the_worst_of_its_tasks_and_the_worst_reason_stands_first():
    found = verdict("wake-up", all_fine("wake-up", w3_uncover="wrong", w15_hob="not-done", w6_belts="wrong"))
    assert found.verdict == "not-ready"
    assert [reason.about for reason in found.reasons] == ["w6-belts", "w3-uncover", "w15-hob"]
    assert found.not_done == ("w15-hob",)


def test_what_is_not_fitted_is_nothing_to_check():
    nothing = all_fine("wake-up", w15_hob="not-fitted", w13_toilet="not-fitted", w16_fridge="not-fitted")
    assert verdict("wake-up", nothing).verdict == "ready"


def test_an_alarm_that_is_not_fitted_limits_it_and_nobody_sleeps_inside():
    found = verdict("wake-up", all_fine("wake-up", p19_alarms="not-fitted"))
    assert found.verdict == "limited"
    assert [(reason.why, reason.about) for reason in found.reasons] == [("no-alarm", "p19-alarms")]
    assert "nobody sleeps inside" in found.must_not_use[0]


def test_an_alarm_past_its_date_is_no_better_for_being_taken_away():
    card = replace(CHECKED, dates={**CHECKED.dates, "alarm": TODAY - timedelta(days=1)})
    assert verdict("wake-up", all_fine("wake-up", p19_alarms="not-fitted"), card).verdict == "not-ready"
    holds = replace(CHECKED, dates={**CHECKED.dates, "alarm": TODAY})
    assert verdict("wake-up", all_fine("wake-up"), holds).verdict == "ready"


@pytest.mark.parametrize("task", ["w4-tyres", "w5-brakes"])
def test_no_vehicle_is_without_tyres_and_brakes(task):
    found = verdict("wake-up", all_fine("wake-up", **{task: "not-fitted"}))
    assert (found.verdict, found.not_done) == ("not-ready", (task,))


def test_a_task_that_is_not_for_this_vehicle_is_not_missed():
    marks = [one for one in all_fine("wake-up") if one.task not in ("w8-fluids", "w9-engine")]
    assert verdict("wake-up", marks).verdict == "limited"
    assert verdict("wake-up", marks, facts={"build": "caravan"}).verdict == "ready"
    assert verdict("wake-up", marks, facts={"build": "not-sure"}).verdict == "limited"
    card = replace(CHECKED, facts=(Finding("build", "campervan"),))
    assert verdict("wake-up", marks, card, facts={"build": "caravan"}).verdict == "limited"  # the card wins
    wrong = [*marks, mark("w9-engine", "wrong")]
    assert verdict("wake-up", wrong, facts={"build": "caravan"}).verdict == "limited"


def test_what_was_put_right_and_looked_at_again_is_fine():
    marks = [*all_fine("wake-up", w4_tyres="wrong"), mark("w4-tyres")]
    assert verdict("wake-up", marks).verdict == "ready"


def test_a_case_that_a_wrong_opened_has_to_come_to_a_good_end_and_the_task_to_be_fine_again():
    before = [*all_fine("wake-up", w4_tyres=None), mark("w4-tyres", "wrong", case=7)]
    again = [*before, mark("w4-tyres")]
    whys = [
        verdict("wake-up", marks, settled=settled)
        for marks, settled in ((before, ()), (before, (7,)), (again, ()), (again, (8,)), (again, (7,)))
    ]
    assert [found.verdict for found in whys] == ["not-ready"] * 4 + ["ready"]
    assert [found.reasons[0].why for found in whys[:4]] == ["wrong", "case-closed", "case-open", "case-open"]
    assert {found.reasons[0].case for found in whys[:4]} == {7}


def test_a_task_that_was_renamed_keeps_its_marks_and_one_that_is_gone_its_wrong():
    tyres = rounds()["wake-up"].tasks["w4-tyres"]
    renamed = replace(tyres, id="w4-wheels", was=("w4-tyres",))
    tasks = {id: task for id, task in rounds()["wake-up"].tasks.items() if id != "w4-tyres"}
    later = replace(rounds()["wake-up"], tasks={**tasks, "w4-wheels": renamed})
    assert judged(later, all_fine("wake-up"), CHECKED, TODAY).verdict == "ready"
    gone = replace(rounds()["wake-up"], tasks=tasks)
    found = judged(gone, all_fine("wake-up", w4_tyres="wrong"), CHECKED, TODAY)
    assert (found.verdict, found.reasons[0].why) == ("not-ready", "gone")
    assert judged(gone, all_fine("wake-up"), CHECKED, TODAY).verdict == "ready"


@pytest.mark.parametrize(
    ("id", "of", "expected"),
    [
        ("wake-up", "tyres", "not-ready"),
        ("lay-up", "tyres", "not-ready"),
        ("wake-up", "alarm", "not-ready"),
        ("journey", "alarm", "not-ready"),
        ("wake-up", "gas-hose", "limited"),
        ("journey", "gas-hose", "limited"),
        ("journey", "gas-alarm", "limited"),
        ("wake-up", "spare-tyre", "not-ready"),
        ("lay-up", "spare-tyre", "limited"),
        ("journey", "extinguisher", "not-ready"),
        ("lay-up", "extinguisher", "limited"),
        ("wake-up", "road-test", "limited"),
        ("journey", "road-test", "not-ready"),
        ("journey", "licence", "not-ready"),
        ("wake-up", "licence", "ready"),
        ("wake-up", "water-filter", "limited"),
        ("journey", "water-filter", "ready"),
        ("hand-over", "habitation-check", "limited"),
        ("wake-up", "warranty", "ready"),
        ("wake-up", "leisure-battery", "ready"),
    ],
)
def test_a_date_that_is_over_counts_though_everything_was_called_fine(id, of, expected):
    found = verdict(id, all_fine(id), replace(CHECKED, dates={**CHECKED.dates, of: OLD}))
    assert found.verdict == expected
    assert [reason.about for reason in found.reasons] == ([] if expected == "ready" else [of])


def test_a_road_test_that_is_over_ends_a_journey_also_where_no_task_asks_for_it():
    tasks = {id: task for id, task in rounds()["journey"].tasks.items() if id != "j5-papers"}
    own = replace(rounds()["journey"], tasks=tasks)
    card = replace(CHECKED, dates={**CHECKED.dates, "road-test": OLD})
    marks = [one for one in all_fine("journey") if one.task in tasks]
    assert judged(own, marks, CHECKED, TODAY).verdict == "ready"
    assert judged(own, marks, card, TODAY).verdict == "not-ready"


def test_danger_that_nobody_cleared_leaves_it_not_ready():
    found = verdict("wake-up", all_fine("wake-up"), stopped=True)
    assert (found.verdict, found.must_not_use) == ("not-ready", ("The vehicle",))


ENDS = st.sampled_from([*TASK_ENDS, None])
DAYS = st.dates(date(2010, 1, 1), TODAY)
WORSE_END = {"fine": 0, "not-fitted": 0, "not-done": 1, None: 1, "wrong": 1}


@st.composite
def situations(draw):
    """A round, an end for each task, cases of those that are wrong, and a card."""
    id = draw(st.sampled_from(ROUNDS))
    ends = {task: draw(ENDS) for task in rounds()[id].tasks}
    dates = draw(st.dictionaries(st.sampled_from([of for of in DATES if DATES[of].due]), DAYS, max_size=6))
    return id, ends, dates | draw(st.sampled_from([{}, dict(CHECKED.dates)]))


def of_ends(id, ends, dates, **known):
    marks = [mark(task, end) for task, end in ends.items() if end is not None]
    return verdict(id, marks, VehicleCard(dates=dates), **known)


@settings(max_examples=30)
@given(situations(), st.data())
def test_more_that_is_wrong_or_undone_never_makes_it_better(situation, data):
    id, ends, dates = situation
    before = of_ends(id, ends, dates)
    task = data.draw(st.sampled_from(list(ends)))
    end = data.draw(st.sampled_from(["wrong", "not-done", None]))
    if WORSE_END[ends[task]] == 0:
        after = of_ends(id, {**ends, task: end}, dates)
        assert BADNESS[after.verdict] >= BADNESS[before.verdict]
        assert set(after.must_not_use) >= set(before.must_not_use) - {rounds()[id].tasks[task].must_not_use}
    assert of_ends(id, ends, dates, stopped=True).verdict == "not-ready"


@settings(max_examples=30)
@given(situations(), st.data())
def test_a_date_that_is_older_or_a_check_that_is_gone_never_makes_it_better(situation, data):
    id, ends, dates = situation
    before = of_ends(id, ends, dates)
    of = data.draw(st.sampled_from([of for of in DATES if DATES[of].due]))
    older = of_ends(id, ends, dates | {of: OLD})
    assert BADNESS[older.verdict] >= BADNESS[before.verdict]
    for check in ("gas-check", "mains-check"):
        less = of_ends(id, ends, {key: day for key, day in dates.items() if key != check})
        assert BADNESS[less.verdict] >= BADNESS[before.verdict]
        assert less.verdict != "ready"


@settings(max_examples=30)
@given(situations())
def test_the_verdict_is_never_better_than_any_of_its_reasons_and_ready_has_none(situation):
    found = of_ends(*situation)
    counts = [BADNESS[reason.counts] for reason in found.reasons]
    assert BADNESS[found.verdict] == max(counts, default=0)
    assert counts == sorted(counts, reverse=True)
    assert set(found.not_done) == {reason.about for reason in found.reasons if reason.why == "not-done"}


@given(
    st.lists(st.tuples(st.sampled_from(TASK_ENDS), st.sampled_from([None, 1, 2, 3]))),
    st.sets(st.integers(1, 3)),
)
def test_a_case_that_came_to_a_good_end_never_makes_it_worse_and_an_open_one_is_never_called_fine(
    ends, settled
):
    marks = [*all_fine("wake-up", w3_uncover=None), *(mark("w3-uncover", end, case) for end, case in ends)]
    found, unsettled = verdict("wake-up", marks, settled=settled), verdict("wake-up", marks)
    assert BADNESS[found.verdict] <= BADNESS[unsettled.verdict]
    opened = {case for end, case in ends if end == "wrong" and case is not None}
    if found.verdict == "ready":
        assert opened <= settled
        assert ends[-1][0] in ("fine", "not-fitted")
