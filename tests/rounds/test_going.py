"""A round gone through: what is shown next, what holds back what, what is taken back, two people at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.cases.rounds_records import RoundLine
from diagnose.knowledge.collection import Library
from diagnose.rounds.book import LooseBook
from diagnose.rounds.going import Going, NothingToTakeBack
from diagnose.rounds.sitting import Vehicle
from diagnose.rounds.views import AllSeen, ClearedAsked, FactAsked, RoundStopped, TaskShown
from diagnose.terms import Finding
from diagnose.terms.rounds import TASK_ENDS

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
LIBRARY = Library()
FACTS = {
    "build": "motorhome",
    "months-laid-up": "season",
    "drained": "all",
    "fridge-sources": "three-way",
    "heater-fuel": "gas",
    "water-heater": "gas",
    "stored": "outdoors",
    "battery": "agm",
}
KNOWN = tuple(Finding(fact, answer) for fact, answer in FACTS.items())


class Clock:
    """A clock that goes on by a minute at each look."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


def going(book: LooseBook | None = None, *, name: str = "wake-up", **more: object) -> Going:
    more.setdefault("vehicle", Vehicle(KNOWN))
    there = book if book is not None else LooseBook()
    return Going(LIBRARY.round(name), LIBRARY.common(), there, Clock(), **more)  # type: ignore[arg-type]


def walked_to_the_end(round: Going, end: Callable[[str], str]) -> list[str]:
    """The tasks in the order in which they were shown, each marked as `end` says."""
    shown = []
    view = round.view()
    while isinstance(view, TaskShown):
        shown.append(view.task.id)
        view = round.mark(view.task.id, end(view.task.id))  # type: ignore[arg-type]
    assert isinstance(view, AllSeen)
    return shown


@pytest.mark.parametrize("name", ["wake-up", "journey", "hand-over", "lay-up"])
def test_every_task_is_shown_once_and_never_before_what_comes_before_it(name: str) -> None:
    round = going(
        name=name, vehicle=Vehicle((*KNOWN, Finding("use", "hired"), Finding("gas-allowed", "both")))
    )
    shown = walked_to_the_end(round, lambda _: "fine")
    assert len(set(shown)) == len(shown)
    assert set(shown) == set(round.there())
    for id, earlier in round.round.after.items():
        assert all(shown.index(each) < shown.index(id) for each in earlier & set(shown) if id in shown)
    assert round.left() == {}


@settings(max_examples=10, deadline=None)
@given(st.data())
def test_whatever_is_answered_each_task_has_an_end_or_a_reason(data: st.DataObject) -> None:
    round = going(name=data.draw(st.sampled_from(["journey", "hand-over"])))
    shown = walked_to_the_end(round, lambda _: data.draw(st.sampled_from(TASK_ENDS)))
    held = round.held()
    assert set(shown) | held.keys() == set(round.there())
    for why in held.values():
        assert all(round.marks()[each].end in ("wrong", "not-done") for each in why)


def test_a_gas_task_that_is_wrong_keeps_the_hob_from_being_lit_and_mice_keep_nobody_from_the_belts() -> None:
    round = going()
    shown = walked_to_the_end(round, lambda id: "wrong" if id in ("w14-gas", "w1-mice") else "fine")
    assert {"w6-belts", "p19-alarms", "w2-battery"} <= set(shown)
    assert not {"w15-hob", "w16-fridge", "w17-heat", "w11-hook-up", "w8-fluids"} & set(shown)
    assert "w1-mice" in round.held()["w15-hob"]
    other = going()
    shown = walked_to_the_end(other, lambda id: "wrong" if id == "w14-gas" else "fine")
    assert other.held()["w15-hob"] == ("w14-gas",)
    assert "w12-fill" in shown
    third = going()
    shown = walked_to_the_end(third, lambda id: "wrong" if id == "w2-battery" else "fine")
    # The pump would be switched on with that battery: filling waits as the panel does, for the same sake.
    assert not {"w10-panel", "w12-fill", "p5-disinfect", "w13-toilet"} & set(shown)
    assert third.held()["w12-fill"] == third.held()["w10-panel"] == ("w2-battery",)


def test_what_was_put_off_is_offered_again_at_the_next_sitting_and_holds_back_the_rest_meanwhile() -> None:
    book = LooseBook()
    shown = walked_to_the_end(going(book), lambda id: "not-done" if id == "w12-fill" else "fine")
    assert not {"p5-disinfect", "w13-toilet"} & set(shown)
    again = walked_to_the_end(going(book), lambda _: "fine")
    assert again[0] == "w12-fill"
    assert set(again) == {"w12-fill", "p5-disinfect", "w13-toilet", "w17-heat"}


def test_a_round_is_left_off_while_something_is_left_and_ended_when_nothing_is() -> None:
    book = LooseBook()
    round = going(book)
    round.mark("w3-uncover", "fine")
    round.leave_off()
    assert book.stage == "left-off"
    walked_to_the_end(round, lambda _: "fine")
    round.leave_off()
    assert book.stage == "ended"


def test_facts_are_asked_once_and_only_where_a_task_hangs_on_them() -> None:
    round = going(vehicle=Vehicle())
    asked: list[str] = []
    view = round.view()
    while not isinstance(view, AllSeen):
        if isinstance(view, FactAsked):
            asked.append(view.fact)
            view = round.answer_fact(view.fact, "caravan" if view.fact == "build" else view.choices[0].id)
        else:
            assert isinstance(view, TaskShown)
            view = round.mark(view.task.id, "fine")
    assert asked == ["build"] or (len(asked) == len(set(asked)) and "build" in asked)
    # Every answer of `battery` fits, so nothing hangs on it.
    assert "battery" not in asked
    assert not {"w8-fluids", "w9-engine"} & round.marks().keys()


def test_where_a_fact_is_not_known_the_task_is_kept_and_that_is_said() -> None:
    round = going(vehicle=Vehicle(tuple(fact for fact in KNOWN if fact.check != "build")))
    view = round.view()
    while not (isinstance(view, TaskShown) and view.task.id == "w8-fluids"):
        if isinstance(view, FactAsked):
            view = round.answer_fact(view.fact, "not-sure")
        else:
            assert isinstance(view, TaskShown)
            view = round.mark(view.task.id, "fine")
    assert view.notices == (
        "It is kept, since this is not known of the vehicle: What kind of vehicle is it?",
    )


def test_back_takes_back_the_latest_answer_of_this_sitting_and_of_oneself() -> None:
    book = LooseBook()
    ann, bob = going(book, who="A."), going(book, who="B.")
    first = ann.view()
    assert isinstance(first, TaskShown)
    ann.mark(first.task.id, "wrong")
    bob.mark("w5-brakes", "fine")
    assert first.task.id in ann.marks()
    view = ann.back()
    assert isinstance(view, TaskShown)
    assert view.task.id == first.task.id
    assert "w5-brakes" in ann.marks()
    with pytest.raises(NothingToTakeBack):
        ann.back()
    assert not going(book).view().can_go_back


def test_two_people_on_one_round_are_shown_what_the_other_has_not_done() -> None:
    book = LooseBook()
    ann, bob = going(book, who="A."), going(book, who="B.")
    done: list[str] = []
    for turn in range(40):
        view = (ann, bob)[turn % 2].view()
        if isinstance(view, AllSeen):
            break
        assert isinstance(view, TaskShown)
        assert view.task.id not in done
        done.append(view.task.id)
        (ann, bob)[turn % 2].mark(view.task.id, "fine")
    assert sorted(done) == sorted(ann.there())
    assert {mark.by for mark in ann.marks().values()} == {"A.", "B."}


def test_danger_stops_it_at_every_task_for_everybody_until_somebody_qualified_has_cleared_it() -> None:
    for task in ("w1-mice", "w14-gas", "w11-hook-up"):
        book = LooseBook()
        ann, bob = going(book), going(book)
        stop = ann.danger(task)
        assert {"gas-escape", "co-suspected", "mains-danger"} <= {each.id for each in stop.referrals}
        assert "112" in stop.first
        assert isinstance(ann.view(), RoundStopped)
        assert isinstance(bob.view(), RoundStopped)
        ann.leave_off()
        assert book.stage == "open"
        later = going(book)
        assert isinstance(later.view(), ClearedAsked)
        assert isinstance(later.cleared("no"), RoundStopped)
        assert isinstance(going(book).view(), ClearedAsked)
        assert isinstance(going(book).cleared("yes"), TaskShown)


def test_a_vehicle_that_a_walk_has_stopped_is_asked_about_first() -> None:
    round = going(vehicle=Vehicle(KNOWN, stopped_by="gas-escape"))
    view = round.view()
    assert isinstance(view, ClearedAsked)
    assert view.referral.id == "gas-escape"
    assert isinstance(round.cleared("yes"), TaskShown)


def test_a_task_whose_date_is_over_cannot_be_fine() -> None:
    book = LooseBook()
    round = going(book, vehicle=Vehicle(KNOWN, overdue={"gas-hose": "The gas hose is over its date."}))
    round.mark("w14-gas", "fine")
    mark = round.marks()["w14-gas"]
    assert (mark.end, mark.note) == ("wrong", "The gas hose is over its date. Nothing else was wrong.")
    round.mark("w14-gas", "not-fitted")
    assert round.marks()["w14-gas"].end == "not-fitted"
    assert [line.answer for line in book.lines()] == ["wrong", "not-fitted"]


def test_what_a_walk_has_cured_is_looked_at_once_more() -> None:
    states = {7: "cured", 8: "referred"}
    lines = (
        RoundLine(NOON, "mark", "w10-panel", "wrong", case=7, number=1),
        RoundLine(NOON, "mark", "w3-uncover", "wrong", case=8, number=2),
    )
    round = going(LooseBook(lines), state_of=states.__getitem__)
    assert "w10-panel" in round.open_tasks()
    assert "w3-uncover" not in round.open_tasks()
    round.mark("w10-panel", "fine")
    assert "w10-panel" not in round.open_tasks()


def test_cautions_are_shown_before_the_first_task_that_carries_them_and_again_at_the_next_sitting() -> None:
    book, seen = LooseBook(), []
    round = going(book)
    view = round.view()
    while isinstance(view, TaskShown):
        hazards = [LIBRARY.common().hazards[hazard].caution for hazard in view.task.hazards]
        assert {each.id for each in view.cautions} == {each for each in hazards if each} - set(seen)
        seen += [caution.id for caution in view.cautions]
        view = round.mark(view.task.id, "fine" if len(seen) < 3 else "not-done")
    again = going(book).view()
    assert isinstance(again, TaskShown)
    assert again.cautions or not again.task.hazards - {"none"}


def test_cautions_that_nobody_has_answered_to_are_shown_again() -> None:
    round = going()
    before = round.view()
    assert isinstance(before, TaskShown)
    assert [each.id for each in before.cautions] == ["gas"]
    # Something else is marked meanwhile, as when a walk is opened: the same task has the same cautions still.
    round.mark("w1-mice", "wrong", case=1)
    again = round.view()
    assert isinstance(again, TaskShown)
    assert (again.task.id, again.cautions) == (before.task.id, before.cautions)


def test_a_mark_of_a_task_that_was_renamed_or_is_gone() -> None:
    round = LIBRARY.round("wake-up")
    renamed = replace(round.tasks["w1-mice"], was=("w1-rodents",))
    other = replace(round, tasks={**round.tasks, "w1-mice": renamed})
    lines = (
        RoundLine(NOON, "mark", "w1-rodents", "wrong", number=1),
        RoundLine(NOON, "mark", "w99-gone", "wrong", number=2),
    )
    past = Going(other, LIBRARY.common(), LooseBook(lines), Clock(), Vehicle(KNOWN)).past
    assert past.marks["w1-mice"].end == "wrong"
    assert past.dropped == ("w99-gone",)
    assert [mark.task for mark in past.every_mark] == ["w1-mice", "w99-gone"]


def test_a_wait_that_has_still_to_run_is_told() -> None:
    book = LooseBook()
    clock = Clock()
    round = Going(LIBRARY.round("wake-up"), LIBRARY.common(), book, clock, Vehicle(KNOWN))
    round.mark("w1-mice", "fine")
    view = round.view()
    while not (isinstance(view, TaskShown) and view.still > 0):
        assert isinstance(view, TaskShown)
        view = round.mark(view.task.id, "fine")
    assert "w1-mice" in round.round.after[view.task.id]
    assert view.still < round.round.tasks["w1-mice"].wait


def test_what_is_for_safety_waits_for_no_mere_sequence_and_the_last_page_for_nothing() -> None:
    """The order of the lay-up and of a hand-over; that safety does not wait is common practice, no source."""
    round = going(name="lay-up", vehicle=Vehicle((*KNOWN, Finding("gas-allowed", "both"))))
    shown = walked_to_the_end(round, lambda id: "not-done" if id == "p18-fuel" else "fine")
    assert {"p11-park", "p1-charge", "p7-covers", "p3-list"} <= set(shown)
    other = going(name="hand-over", vehicle=Vehicle((*KNOWN, Finding("use", "hired"))))
    shown = walked_to_the_end(other, lambda id: "not-done" if id == "p19-alarms" else "fine")
    assert other.held() == {"w15-hob": ("p19-alarms",)}
    assert shown[-1] == "h3-limits"


@pytest.mark.parametrize(("gate", "waits"), [("p8-gas-off", "p7-covers"), ("p11-park", "p1-charge")])
@pytest.mark.parametrize("end", ["wrong", "not-done"])
def test_what_is_for_safety_holds_back_what_comes_after_it(gate: str, waits: str, end: str) -> None:
    round = going(name="lay-up", vehicle=Vehicle((*KNOWN, Finding("gas-allowed", "both"))))
    shown = walked_to_the_end(round, lambda id: end if id == gate else "fine")
    assert waits not in shown
    assert gate in round.held()[waits]


def test_nothing_runs_on_a_battery_that_is_wrong() -> None:
    """The pump of the filling needs the panel, and the panel a battery that is whole."""
    round = going()
    shown = walked_to_the_end(round, lambda id: "wrong" if id == "w2-battery" else "fine")
    assert not {"w9-engine", "w10-panel", "w12-fill", "p5-disinfect", "w17-heat"} & set(shown)
    assert round.held()["w12-fill"] == ("w2-battery",)


def test_an_earlier_stop_of_the_vehicle_stands_until_it_is_cleared_here() -> None:
    round = going(vehicle=Vehicle(KNOWN, stopped_by="gas-escape"))
    assert round.stopped_by() == "gas-escape"
    round.cleared("no")
    assert round.stopped_by() == "gas-escape"
    other = going(vehicle=Vehicle(KNOWN, stopped_by="gas-escape"))
    other.cleared("yes")
    assert other.stopped_by() is None


@pytest.mark.parametrize("days", [1, 2])
def test_a_round_taken_up_days_later_shows_again_what_was_looked_at_too_long_ago(days):
    book = LooseBook()
    first = going(book, name="journey")
    walked_to_the_end(first, lambda _: "fine")
    assert first.left() == {}
    later = going(book, name="journey")
    later.clock.now = NOON + timedelta(days=days)
    assert set(later.left()) == set(later.open_tasks()) == (set() if days == 1 else set(later.there()))
    if days == 2:
        shown = later.view()
        assert shown.notices == ("It was looked at on 1 March 2026, too long ago to go by.",)
        later.mark(shown.task.id, "fine")
        assert shown.task.id not in later.left()


def test_what_no_vehicle_lacks_is_offered_again_however_it_was_called():
    book = LooseBook()
    walked_to_the_end(going(book), lambda _: "not-fitted")
    assert set(going(book).open_tasks()) == {"w4-tyres", "w5-brakes", "w6-belts"}
