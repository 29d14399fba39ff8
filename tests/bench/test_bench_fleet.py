"""A fleet on its round: 200 vehicles, each as far as it is, with walks that are open and a day to be out by.

The figure: under 10 s. Four times the vehicles take at most four times the work and a quarter more, while
each against every other would be 16; and they take no more memory than their own values.
"""

from __future__ import annotations

import tracemalloc
from random import Random
from time import process_time

from diagnose.knowledge.card_words import CardWords
from diagnose.rounds.fleet_cards import load_cards
from diagnose.rounds.fleet_chance import Assumptions, forecast, work_of
from tests.rounds.fleets import LIBRARY, begun, case_of, day, gathering, kept, write_card

FEW, MANY = 50, 200
TEN_SECONDS = 100.0
"""In fixed loops."""
MOST = 1.25 * MANY / FEW
MEBIBYTES = 15.0
"""For the few."""
TREES = ("water-pump", "hob-goes-out", "lights-dim", "leisure-battery-weak")
DATES = ("gas-hose: 2015-01", "alarm: 2030-01")
KINDS = ("build: campervan", "build: motorhome, heater-fuel: gas", "build: caravan, months-laid-up: long")


def filled(tmp_path, number):
    """A folder of cards and a store in which two of three vehicles have begun, each in its own order."""
    dice = Random(7)
    tmp_path.mkdir()
    store, round = kept(tmp_path), LIBRARY.round("wake-up")
    for n in range(number):
        name = f"van {n}"
        write_card(tmp_path / "yard", name, dice.choice(KINDS), dice.choice(DATES))
        if n % 3:
            marks: dict[str, str] = {}
            for _ in range(dice.randrange(len(round.tasks))):
                open_ones = [id for id in round.tasks if id not in marks and round.after[id] <= marks.keys()]
                marks[dice.choice(open_ones)] = dice.choice(("fine", "fine", "wrong"))
            begun(store, name, marks)
        if n % 5 == 0:
            case_of(store, name, dice.choice(TREES))
    return tmp_path / "yard", store


def shown(yard, store):
    """Everything that the command does before it prints."""
    using = gathering()
    fleet = using.fleet(load_cards(yard, CardWords(LIBRARY), using.today), store)
    works = [work_of(each, using.round.tasks, using.walks, lambda task: 0.1) for each in fleet.vehicles]
    return fleet, forecast(fleet, works, day(60), Assumptions())


def test_bench_a_fleet_of_two_hundred(tmp_path, benchmark, judge_work, capsys):
    places = {number: filled(tmp_path / str(number), number) for number in (FEW, MANY)}

    def spent(number):
        start = process_time()
        fleet, told = shown(*places[number])
        assert len(fleet.vehicles) == len(told.chances) == number
        return process_time() - start

    spent(FEW)
    few, many = benchmark.pedantic(lambda: (spent(FEW), spent(MANY)), rounds=1, iterations=1)
    tracemalloc.start()
    shown(*places[FEW])
    most = tracemalloc.get_traced_memory()[1] / 2**20
    tracemalloc.stop()
    for _, store in places.values():
        store.close()
    with capsys.disabled():
        print(f"\n{FEW} vehicles {few:.2f} s, {MANY} vehicles {many:.2f} s; {FEW}: {most:.0f} MiB")
    judge_work(f"{MANY} vehicles on their round", many, TEN_SECONDS)
    assert many / few <= MOST, (few, many)
    assert most <= MEBIBYTES
