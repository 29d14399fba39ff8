"""A round gone through: what is shown next, what is taken back, what comes again, two people at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from diagnose.cases.rounds_records import RoundLine
from diagnose.rounds.book import LooseBook
from diagnose.rounds.going import Going, NothingToTakeBack
from diagnose.rounds.sitting import Vehicle
from diagnose.rounds.views import AllSeen, FactAsked, TaskShown
from diagnose.terms import Finding
from tests.rounds.gone_through import KNOWN, LIBRARY, NOON, Clock, going, walked_to_the_end


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
