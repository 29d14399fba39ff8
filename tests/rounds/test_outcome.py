"""What a round has come to: wrong, left, held back, parts, referrals; whether danger still stops it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.rounds_records import RoundLine, RoundRecord
from diagnose.knowledge.collection import Library
from diagnose.rounds.book import LooseBook
from diagnose.rounds.clearing import stopped_by_round
from diagnose.rounds.going import Going
from diagnose.rounds.outcome import Outcome, outcome_of
from diagnose.rounds.sitting import Vehicle
from diagnose.terms import Finding

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
LIBRARY = Library()
STATES = {1: "cured", 2: "referred"}


def outcome(
    *marks: RoundLine, facts: tuple[Finding, ...] = (), overdue: dict[str, str] | None = None
) -> Outcome:
    lines = [replace(line, number=number) for number, line in enumerate(marks, 1)]
    vehicle = Vehicle(facts, overdue=overdue or {})
    going = Going(
        LIBRARY.round("wake-up"),
        LIBRARY.common(),
        LooseBook(lines),
        lambda: NOON,
        vehicle,
        state_of=lambda case: STATES.get(case, ""),
    )
    return outcome_of(going, LIBRARY.common(), lambda case: STATES.get(case, ""))


def mark(task: str, end: str, **more: object) -> RoundLine:
    return replace(RoundLine(NOON, "mark", task, end), **more)  # type: ignore[arg-type]


def test_danger_that_stopped_the_vehicle_before_the_round_stops_what_it_comes_to_until_it_is_cleared() -> (
    None
):
    def of_a_stopped_vehicle(*lines: RoundLine) -> Outcome:
        book = LooseBook([replace(line, number=number) for number, line in enumerate(lines, 1)])
        vehicle = Vehicle((), stopped_by="gas-escape")
        round, common = LIBRARY.round("wake-up"), LIBRARY.common()
        return outcome_of(Going(round, common, book, lambda: NOON, vehicle), common, lambda _case: "")

    assert of_a_stopped_vehicle().stopped
    assert of_a_stopped_vehicle(RoundLine(NOON, "cleared", "", "no")).stopped


def test_before_anything_was_looked_at_everything_is_left() -> None:
    found = outcome()
    round = LIBRARY.round("wake-up")
    assert set(found.left) == set(round.tasks)
    assert found.minutes >= sum(task.minutes for task in round.tasks.values())
    assert (found.wrong, found.parts, found.referrals, found.stopped) == ((), (), (), False)


def test_each_task_is_in_one_place_and_parts_and_referrals_come_from_what_is_wrong() -> None:
    found = outcome(
        mark("w3-uncover", "fine"),
        mark("w4-tyres", "wrong", note="one is soft"),
        mark("w7-damp", "not-fitted"),
        mark("w1-mice", "not-done"),
        mark("w13-toilet", "wrong", case=2),
    )
    assert [task.id for task in found.fine] == ["w3-uncover"]
    assert [task.id for task in found.not_fitted] == ["w7-damp"]
    assert [(each.task.id, each.note, each.state) for each in found.wrong] == [
        ("w4-tyres", "one is soft", ""),
        ("w13-toilet", "", "referred"),
    ]
    assert found.left["w6-belts"] == ("w1-mice",)
    assert found.left["w1-mice"] == ()
    there = {*found.left, "w3-uncover", "w4-tyres", "w7-damp", "w13-toilet"}
    assert there == set(LIBRARY.round("wake-up").tasks)
    assert ("tyres", "w4-tyres") in found.parts
    assert [(each.id, tasks) for each, tasks in found.referrals] == [
        ("recovery", ("w4-tyres",)),
        ("workshop", ("w13-toilet",)),
    ]


def test_a_cure_leaves_the_task_to_be_looked_at_once_more() -> None:
    found = outcome(mark("w10-panel", "wrong", case=1))
    assert found.wrong == ()
    assert "w10-panel" in found.left


def test_a_date_that_is_over_counts_nothing_where_nothing_is_fitted() -> None:
    found = outcome(mark("w14-gas", "not-fitted"), overdue={"gas-hose": "The gas hose is over its date."})
    assert "w14-gas" not in {*found.left, *(each.task.id for each in found.wrong)}
    assert "w14-gas" not in {task for _, task in found.parts}


def test_what_is_not_of_this_vehicle_is_neither_left_nor_wrong() -> None:
    found = outcome(facts=(Finding("build", "caravan"),))
    assert not {"w8-fluids", "w9-engine"} & set(found.left)


def kept(number: int, *lines: RoundLine) -> RoundRecord:
    return RoundRecord(number, "wake-up", "d", "stopped", NOON, NOON, "van", "", lines)


def test_danger_told_after_a_clearance_stands_though_the_clock_was_put_back_between() -> None:
    cleared = RoundLine(NOON, "cleared", "", "yes")
    danger = RoundLine(NOON - timedelta(minutes=1), "danger", "w14-gas", "gas-escape")
    assert stopped_by_round([kept(1, cleared, danger)], []) == "gas-escape"
    later = RoundLine(NOON + timedelta(minutes=1), "cleared", "", "yes")
    assert stopped_by_round([kept(1, cleared, danger), kept(2, later)], []) is None


def test_danger_stops_the_vehicle_until_a_later_clearance_on_any_round_or_walk() -> None:
    danger = RoundLine(NOON, "danger", "w14-gas", "gas-escape")
    before, after = NOON - timedelta(minutes=1), NOON + timedelta(minutes=1)
    assert stopped_by_round([kept(1)], []) is None
    assert stopped_by_round([kept(1, danger)], []) == "gas-escape"
    for time, answer, stopped in ((before, "yes", True), (after, "no", True), (after, "yes", False)):
        said = RoundLine(time, "cleared", "", answer)
        entry = Entry(time, "cleared", "gas-escape", answer)
        case = CaseRecord(1, "hob", "d", "owner", "open", NOON, NOON, entries=(entry,))
        for result in (
            stopped_by_round([kept(1, danger, said)], []),
            stopped_by_round([kept(1, danger), kept(2, said)], []),
            stopped_by_round([kept(1, danger)], [case]),
        ):
            assert (result == "gas-escape") is stopped
    later = replace(danger, time=after, answer="mains-danger")
    assert stopped_by_round([kept(1, danger), kept(2, later)], []) == "mains-danger"
