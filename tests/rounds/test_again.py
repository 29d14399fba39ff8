"""A date that is over: still to be looked at, never fine, and looked at again when the card has a new one.

One reading for prompt, document, fleet and verdict. Common practice, no source.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from random import Random

import pytest

from diagnose.cases.rounds_store import round_kept
from diagnose.knowledge.card import VehicleCard
from diagnose.rounds.book import LooseBook, StoreBook
from diagnose.rounds.going import Going
from diagnose.rounds.outcome import Outcome, outcome_of
from diagnose.rounds.sitting import Vehicle
from diagnose.rounds.verdict import Judged, judged
from diagnose.rounds.verdict_statements import told
from diagnose.rounds.views import TaskShown
from diagnose.terms import Finding
from diagnose.terms.rounds import TASK_ENDS
from tests.rounds.fleets import LIBRARY, NOW, TODAY, begun, gathering, kept

MARCH = datetime(2026, 3, 1, 12, tzinfo=UTC)
OVER = {"gas-hose": "Gas hose: overdue since 1 March 2025."}
WITH_OLD_HOSE = Vehicle(overdue=OVER)
WITH_NEW_HOSE = Vehicle(holding=frozenset({"gas-hose"}))


def sitting(book: LooseBook, vehicle: Vehicle, **more: object) -> Going:
    return Going(LIBRARY.round("wake-up"), LIBRARY.common(), book, lambda: MARCH, vehicle, **more)  # type: ignore[arg-type]


def come_to(going: Going) -> Outcome:
    return outcome_of(going, LIBRARY.common())


def verdict(going: Going, hose: date) -> Judged:
    card = VehicleCard("van.yaml", "van", dates={"gas-hose": hose})
    return judged(going.round, going.past.every_mark, card, MARCH.date())


def why(found: Judged, about: str) -> list[str]:
    return [reason.why for reason in found.reasons if reason.about == about]


@pytest.mark.parametrize("marked", [False, True])
def test_what_nobody_has_looked_at_is_left_though_its_date_is_over_and_it_is_told_what_to_buy(
    marked: bool,
) -> None:
    going = sitting(LooseBook(), WITH_OLD_HOSE)
    if marked:
        going.mark("w14-gas", "not-done")
    found = come_to(going)
    assert "w14-gas" in found.left
    assert found.wrong == found.for_a_date == ()
    assert "w14-gas" in going.open_tasks() or marked
    assert [part for part, task in found.parts if task == "w14-gas"] == [
        "gas hose for the gas engineer to fit"
    ]
    assert [each.id for each, tasks in found.referrals if "w14-gas" in tasks] == ["gas-engineer"]
    assert why(verdict(going, date(2015, 3, 1)), "gas-hose") == ["over"]


def test_what_was_looked_at_is_wrong_for_its_date_and_left_until_the_card_has_a_new_one() -> None:
    book = LooseBook()
    going = sitting(book, WITH_OLD_HOSE)
    going.mark("w14-gas", "fine", "dry")
    (line,) = book.lines()
    assert (line.answer, line.note) == ("wrong", f"dry {OVER['gas-hose']} Nothing else was wrong.")
    found = come_to(going)
    assert [each.task.id for each in found.wrong] == ["w14-gas"]
    assert found.for_a_date == ("w14-gas",)
    assert "w14-gas" in found.left
    assert "w14-gas" not in going.open_tasks()
    assert "w14-gas" in going.held()["w15-hob"]

    again = sitting(book, WITH_NEW_HOSE)
    assert "w14-gas" in again.open_tasks()
    assert "w15-hob" not in again.held()
    assert come_to(again).wrong == ()
    renewed = verdict(again, date(2026, 2, 1))
    assert why(renewed, "w14-gas") == ["renewed"]
    assert "new on the card; look at it once more" in " ".join(told(renewed).reasons)
    again.mark("w14-gas", "fine")
    assert "w14-gas" not in come_to(again).left
    assert why(verdict(again, date(2026, 2, 1)), "w14-gas") == []


def test_when_it_is_shown_again_it_says_why() -> None:
    book = LooseBook()
    sitting(book, WITH_OLD_HOSE).mark("w14-gas", "fine")
    view = sitting(book, WITH_NEW_HOSE, only=frozenset({"w14-gas"})).view()
    assert isinstance(view, TaskShown)
    assert (
        view.notices[-1] == "It was wrong by its date alone, which is new on the card: look at it once more."
    )


def test_where_something_else_was_wrong_too_or_no_card_is_at_hand_a_new_date_mends_nothing() -> None:
    book = LooseBook()
    sitting(book, WITH_OLD_HOSE).mark("w14-gas", "wrong", "it is chafed")
    for vehicle in (WITH_NEW_HOSE, Vehicle()):
        assert [each.task.id for each in come_to(sitting(book, vehicle)).wrong] == ["w14-gas"]
    other = LooseBook()
    sitting(other, WITH_OLD_HOSE).mark("w14-gas", "fine")
    without_a_card = sitting(other, Vehicle())
    assert [each.task.id for each in come_to(without_a_card).wrong] == ["w14-gas"]
    assert "w14-gas" in without_a_card.held()["w15-hob"]


def test_what_was_fine_before_its_date_was_over_is_fine_no_more() -> None:
    book = LooseBook()
    sitting(book, WITH_NEW_HOSE).mark("w14-gas", "fine")
    later = sitting(book, WITH_OLD_HOSE)
    assert "w14-gas" in later.held()["w15-hob"]
    assert come_to(later).for_a_date == ("w14-gas",)


def test_what_somebody_put_right_whom_it_was_handed_to_is_looked_at_once_more() -> None:
    book = LooseBook()
    sitting(book, Vehicle()).mark("w15-hob", "wrong", case=4)
    for state, open_again in (("referred", False), ("put-right", True), ("cured", True), ("", False)):
        again = sitting(book, Vehicle(), state_of=lambda _, state=state: state)
        assert ("w15-hob" in again.open_tasks()) is open_again


@pytest.mark.parametrize("seed", range(4))
def test_the_prompt_and_the_fleet_call_the_same_tasks_left(tmp_path, seed) -> None:
    dice = Random(seed)
    round = LIBRARY.round("hand-over")
    over = {of: f"{of}: overdue." for of in ("gas-hose", "alarm", "extinguisher") if dice.random() < 0.7}
    days = {of: TODAY - timedelta(days=6000 if of in over else -60) for of in ("alarm", "extinguisher")}
    days["gas-hose"] = TODAY - timedelta(days=6000 if "gas-hose" in over else 60)
    facts = (Finding("build", "campervan"), Finding("use", "hired"))
    holding = frozenset(days) - over.keys()
    with kept(tmp_path) as store:
        number = begun(store, "van", {}, "hand-over")
        book = StoreBook(store, number, lambda: NOW)
        going = Going(
            round, LIBRARY.common(), book, lambda: NOW, Vehicle(facts, overdue=over, holding=holding)
        )
        # A task with neither walk nor referral is put right on the spot: the fleet alone counts it as left.
        for id, task in round.tasks.items():
            ends = TASK_ENDS if task.opens or task.refer else ("fine", "not-done", "not-fitted")
            going.mark(id, dice.choice(ends))
        card = VehicleCard("van.yaml", "van", facts=facts, dates=days)
        (vehicle,) = gathering("hand-over").fleet([card], store).vehicles
        assert len(round_kept(store, number).lines) == len(round.tasks)
    assert set(vehicle.left) == set(come_to(going).left) == set(going.left())
    assert vehicle.round_minutes == pytest.approx(come_to(going).minutes)
