"""A fleet read from its cards and the store: what is left, what each vehicle waits for, what is bought."""

from datetime import timedelta
from random import Random

import pytest

from diagnose.cases.rounds_records import RoundLine
from diagnose.cases.rounds_store import note, round_kept
from diagnose.reasoning.figures import figures
from diagnose.reasoning.model import build_model
from diagnose.rounds.book import LooseBook
from diagnose.rounds.going import Going
from diagnose.rounds.ordering import planned
from diagnose.rounds.outcome import outcome_of
from diagnose.rounds.sitting import Vehicle
from diagnose.terms import Finding
from diagnose.walking.shelf import route_for
from tests.rounds.fleets import (
    CHECKED,
    LIBRARY,
    NOW,
    TODAY,
    begun,
    case_of,
    fleet_in,
    gathering,
    kept,
    write_card,
)

ALL = LIBRARY.round("hand-over").tasks
EVERY_FACT = "build: campervan, use: hired"


@pytest.fixture
def store(tmp_path):
    with kept(tmp_path) as made:
        yield made


@pytest.fixture
def yard(tmp_path):
    return tmp_path / "yard"


def one(yard, store, round="hand-over"):
    (vehicle,) = fleet_in(yard, store, round).vehicles
    return vehicle


def test_minutes_are_the_sum_of_the_planners_to_the_last_digit(yard, store):
    done = {"w4-tyres": "fine", "w6-belts": "fine", "p19-alarms": "not-done", "w11-hook-up": "not-fitted"}
    for number in range(6):
        write_card(yard, f"van {number}", EVERY_FACT)
    begun(store, "van 3", done, "hand-over")
    fleet = fleet_in(yard, store, "hand-over")
    round, places = LIBRARY.round("hand-over"), LIBRARY.common().places
    whole = planned(round.tasks, round.after, places).minutes
    rest = planned(round.tasks, round.after, places, {"w4-tyres", "w6-belts", "w11-hook-up"}).minutes
    assert fleet.minutes == pytest.approx(5 * whole + rest, abs=1e-9)
    assert fleet.vehicles[0].name == "van 3"
    assert (fleet.vehicles[0].tasks, len(fleet.vehicles[0].left)) == (len(ALL), len(ALL) - 3)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(2))
def test_what_is_left_and_its_minutes_are_those_of_the_one_round(yard, store, seed):
    dice = Random(seed)
    round = LIBRARY.round("wake-up")
    write_card(yard, "van 1", "build: campervan, fridge-sources: compressor")
    marks = {
        id: dice.choice(("fine", "not-done", "not-fitted", "wrong")) for id in dice.sample([*round.tasks], 9)
    }
    marks = {id: end for id, end in marks.items() if end != "wrong" or round.tasks[id].opens}
    number = begun(store, "van 1", marks)
    facts = (Finding("build", "campervan"), Finding("fridge-sources", "compressor"))
    book = LooseBook(round_kept(store, number).lines)
    going = Going(round, LIBRARY.common(), book, lambda: NOW, Vehicle(facts))
    outcome = outcome_of(going, LIBRARY.common())
    vehicle = one(yard, store, "wake-up")
    assert (set(vehicle.left), vehicle.round_minutes) == (set(outcome.left), outcome.minutes)


def test_a_vehicle_on_which_all_is_fine_and_checked_has_nothing_left(yard, store):
    write_card(yard, "van 1", EVERY_FACT, f"{CHECKED}, gas-hose: 2025-01, tyres: 2022-01, alarm: 2030-01")
    begun(store, "VAN 1", dict.fromkeys(ALL, "fine"), "hand-over")
    vehicle = one(yard, store)
    assert (vehicle.verdict, vehicle.minutes, vehicle.out) == ("ready", 0, True)
    assert fleet_in(yard, store, "hand-over").visits == ()


def test_gas_and_mains_without_a_check_are_limited_and_call_for_one_visit_each(yard, store):
    for name, dates in (("van 10", "alarm: 2030-01"), ("van 9", "gas-check: 2024-01, mains-check: 2026-01")):
        write_card(yard, name, EVERY_FACT, dates)
        begun(store, name, dict.fromkeys(ALL, "fine"), "hand-over")
    fleet = fleet_in(yard, store, "hand-over")
    assert {each.verdict for each in fleet.vehicles} <= {"limited", "not-ready"}
    gas, mains = fleet.visits
    assert [(name, errand.of, errand.why) for name, (errand,) in gas.vehicles] == [
        ("van 9", "gas-check", "date over"),
        ("van 10", "gas-check", "no date on the card"),
    ]
    assert (gas.referral, gas.minutes) == ("gas-engineer", 120)
    assert [name for name, _ in mains.vehicles] == ["van 10"]


def test_a_walk_that_is_not_over_counts_with_the_planners_minutes(yard, store):
    write_card(yard, "van 1", EVERY_FACT)
    case = case_of(store, "van 1", "hob-hisses-on")
    begun(store, "van 1", dict.fromkeys(ALL, "fine") | {"w15-hob": ("wrong", case)}, "hand-over")
    vehicle = one(yard, store)
    # From outside the fleet: what the compiled and proved route of that tree lets expect from its start.
    model = build_model(LIBRARY.tree("hob-hisses-on"), "technician", other_trees=frozenset(LIBRARY.ids()))
    expected = figures(route_for(model), model).expected.cost
    assert vehicle.minutes == vehicle.walk_minutes == pytest.approx(expected, rel=1e-9)
    (walk,) = vehicle.walks
    assert (walk.case, walk.task, vehicle.left) == (case, "w15-hob", ())
    assert 0 < walk.ahead.own_minutes < walk.ahead.minutes
    assert 0.5 < sum(walk.ahead.passes.values()) <= 1


def test_something_wrong_whose_walk_nobody_began_counts_as_the_whole_walk(yard, store):
    write_card(yard, "van 1", EVERY_FACT)
    begun(store, "van 1", dict.fromkeys(ALL, "fine") | {"w15-hob": "wrong"}, "hand-over")
    (walk,) = one(yard, store).walks
    assert (walk.tree, walk.case) == ("hob-hisses-on", None)
    assert walk.ahead == gathering().walks.from_start("hob-hisses-on")


@pytest.mark.long
def test_two_tasks_of_one_tree_make_one_walk_and_its_open_case_is_gone_on_with(yard, store):
    write_card(yard, "van 1", EVERY_FACT)
    begun(store, "van 1", {"w2-battery": "wrong", "w10-panel": "wrong", "p5-disinfect": "wrong"})
    case = case_of(store, "van 1", "bits-in-water")
    walks = [(walk.tree, walk.case) for walk in one(yard, store, "wake-up").walks]
    assert walks == [("leisure-battery-weak", None), ("habitation-dead", None), ("bits-in-water", case)]


def test_a_case_that_was_handed_over_waits_for_a_visit_and_then_for_another_look(yard, store):
    write_card(yard, "van 1", EVERY_FACT)
    case = case_of(store, "van 1", "hob-goes-out", "referred", "gas-engineer")
    begun(store, "van 1", dict.fromkeys(ALL, "fine") | {"w15-hob": ("wrong", case)}, "hand-over")
    (errand,) = one(yard, store).errands
    assert (errand.referral, errand.case, errand.why) == ("gas-engineer", case, "handed over")
    assert one(yard, store).verdict != "ready"
    store.confirm(case, "not-listed", NOW)
    vehicle = one(yard, store)
    assert (vehicle.errands, vehicle.left) == ((), ("w15-hob",))
    assert vehicle.verdict != "ready"


def test_cases_apart_from_the_round_are_told_the_latest_of_each_symptom(yard, store):
    write_card(yard, "van 1", EVERY_FACT)
    case_of(store, "van 1", "water-pump", "referred", "workshop", NOW - timedelta(days=30))
    case_of(store, "van 1", "water-pump", "cured", at=NOW - timedelta(days=2))
    case_of(store, "van 1", "heater-no-fire", "referred", "gas-engineer", NOW - timedelta(days=400))
    latest = case_of(store, "van 1", "lights-dim", "referred", "auto-electrician", NOW - timedelta(days=3))
    assert [errand.case for errand in one(yard, store).errands] == [latest]


def test_danger_keeps_a_vehicle_not_ready_until_somebody_cleared_it(yard, store):
    write_card(yard, "van 1", EVERY_FACT)
    number = begun(store, "van 1", dict.fromkeys(ALL, "fine"), "hand-over")
    note(store, number, [RoundLine(NOW, "danger", "w15-hob", "gas-escape")])
    vehicle = one(yard, store)
    assert (vehicle.verdict, vehicle.stopped, vehicle.out) == ("not-ready", True, False)
    assert [(errand.referral, errand.why) for errand in vehicle.errands] == [("gas-escape", "not cleared")]
    # The stop holds on another round too, and the visit is the gas engineer's.
    fleet = fleet_in(yard, store, "wake-up")
    assert (fleet.vehicles[0].stopped, fleet.visits[0].referral) == (True, "gas-engineer")
    note(store, number, [RoundLine(NOW + timedelta(minutes=1), "cleared", "", "yes")])
    assert not one(yard, store).stopped


def test_a_walk_that_was_stopped_keeps_it_not_ready_however_long_ago(yard, store):
    write_card(yard, "van 1", EVERY_FACT)
    case_of(store, "van 1", "hob-goes-out", "stopped", "gas-escape", NOW - timedelta(days=900))
    vehicle = one(yard, store)
    assert (vehicle.stopped, vehicle.verdict) == (True, "not-ready")


def test_a_round_of_long_ago_counts_no_more(yard, store):
    write_card(yard, "van 1", EVERY_FACT)
    begun(store, "van 1", dict.fromkeys(ALL, "fine"), "hand-over", NOW - timedelta(days=8))
    vehicle = one(yard, store)
    assert (vehicle.begun, len(vehicle.left)) == (None, len(ALL))


def test_what_is_bought_is_sure_where_its_date_is_over_and_perhaps_where_all_may_be_it(yard, store):
    write_card(yard, "van 1", EVERY_FACT, f"{CHECKED}, alarm: 2020-01")
    write_card(yard, "van 2", EVERY_FACT)
    begun(store, "van 2", {"p19-alarms": "wrong"}, "hand-over")
    bought = {each.says: (each.sure, each.perhaps) for each in fleet_in(yard, store, "hand-over").to_buy}
    assert bought["carbon-monoxide alarm"] == (("van 1",), ("van 2",))
    assert bought["gas alarm"] == ((), ("van 2",))


def test_a_date_that_was_the_only_fault_leaves_the_task_to_be_done_again(yard, store):
    write_card(yard, "van 1", EVERY_FACT, f"{CHECKED}, extinguisher: 2020-01")
    begun(store, "van 1", dict.fromkeys(ALL, "fine"), "hand-over")
    vehicle = one(yard, store)
    assert (vehicle.left, vehicle.walks, vehicle.errands) == (("w6-belts",), (), ())


def test_what_is_wrong_besides_its_date_opens_its_walk_as_well(yard, store):
    write_card(yard, "van 1", EVERY_FACT, f"{CHECKED}, extinguisher: 2020-01")
    begun(store, "van 1", dict.fromkeys(ALL, "fine") | {"w6-belts": "wrong"}, "hand-over")
    vehicle = one(yard, store)
    assert (vehicle.left, [walk.task for walk in vehicle.walks]) == ((), ["w6-belts"])


def test_the_drivers_papers_are_nobody_elses_business(yard):
    write_card(yard, "van 1", dates=f"{CHECKED}, licence: 2020-01, road-test: 2020-01")
    fleet = fleet_in(yard)
    assert list(fleet.overdue) == ["road-test"]
    assert fleet.overdue["road-test"][0][1].day < TODAY


def test_rounds_of_vehicles_without_a_card_are_named(yard, store):
    write_card(yard, "van 1", EVERY_FACT)
    for label in ("van 1", "van 2", ""):
        begun(store, label, {}, "hand-over")
    assert fleet_in(yard, store, "hand-over").without_card == ("van 2",)


def test_nothing_is_recorded(yard, store):
    write_card(yard, "van 1", EVERY_FACT)
    number = begun(store, "van 1", {"w4-tyres": "wrong"}, "hand-over")
    with store.reading() as connection:
        before = connection.exec_driver_sql("SELECT * FROM rounds").all()
    fleet_in(yard, store, "hand-over")
    with store.reading() as connection:
        assert connection.exec_driver_sql("SELECT * FROM rounds").all() == before
    assert number == before[0][0]
