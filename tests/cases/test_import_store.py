"""Many cases into a store at once: whole or not at all, each number once, the sums as if each came alone."""

from __future__ import annotations

import random
import signal
import threading
import time
from collections import Counter
from contextlib import closing
from datetime import UTC, datetime, timedelta

import pandas
import pytest
from sqlalchemy import select

from diagnose.cases.bulk import Differing, compare_cases, write_cases
from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from diagnose.cases.tables import SUMS, answer_sums, cause_sums, unconfirmed_sums
from tests.cases.import_histories import HEADER, NOW, history, row, write

CAUSES = ["bulb-gone", "switched-off", "old-wire+damp-socket", "not-listed", ""]
STATES = ["cured", "referred", "stopped", "left-off"]


def fleet(number, seed=1):
    """So many rows as a fleet has them; about a quarter of them have no cause."""
    dice = random.Random(seed)
    return [
        row(
            case=f"J{n}",
            date=str(datetime(2020 + dice.randrange(6), dice.randrange(1, 13), dice.randrange(1, 29)).date()),
            symptom=dice.choice(["lamp-dark", "lamp-dark", "fan-still"]),
            cause=dice.choice(CAUSES),
            vehicle=f"van {dice.randrange(7)}",
            state=dice.choice(STATES),
            switch_click=dice.choice(["", "up", "down", "not-sure"]),
            volts_at_lamp="",
        )
        for n in range(number)
    ]


def bring_in(store, path, source="fleet", now=NOW):
    report, spool = history(path).read()
    assert not report.flaws, report.flaws[:3]
    try:
        return write_cases(store, source, spool, now)
    finally:
        spool.close()


def sums(store):
    """All three tables as they stand, without what is nought."""
    with store.reading() as connection:
        return [
            {tuple(line[:-1]): line[-1] for line in connection.execute(select(table)) if line[-1]}
            for table in SUMS
        ]


def test_a_case_comes_in_as_the_file_has_it(store, tmp_path):
    path = write(tmp_path / "a.csv", [row(state="referred"), row(case="18", cause="")])
    written = bring_in(store, path)
    assert (written.added, written.confirmed, written.already, written.differ) == (2, 1, 0, 0)
    one, other = sorted(store.cases(), key=lambda record: record.case)
    assert (one.source, one.source_case, one.symptom, one.cause) == ("fleet", "17", "lamp-dark", "bulb-gone")
    assert (one.state, one.role, one.vehicle, one.confirmed) == ("referred", "technician", "van 1", True)
    assert one.opened == datetime(2025, 6, 1, 12, tzinfo=UTC)
    assert one.entries == (
        Entry(one.opened, "finding", "switch-click", "down", None, None, False, 1),
        Entry(one.opened, "finding", "volts-at-lamp", "alive", 12.4, 0.1, False, 2),
    )
    assert (other.state, other.confirmed, other.cause, other.asked_outcome) == ("cured", False, "", True)
    assert store.awaiting_outcome() is None


def test_the_sums_are_those_of_cases_that_were_walked_and_confirmed_one_by_one(url, fresh_url, tmp_path):
    rows = fleet(40)
    with open_store(url) as store, open_store(fresh_url(url)) as other:
        bring_in(store, write(tmp_path / "a.csv", rows))
        for cells in rows:
            named = dict(zip(HEADER, cells, strict=True))
            opened = datetime.fromisoformat(named["date"]).replace(hour=12, tzinfo=UTC)
            case = other.open_case(named["symptom"], "d", "technician", named["vehicle"], opened)
            if named["switch-click"]:
                other.append(case, Entry(opened, "finding", "switch-click", named["switch-click"]))
            other.end_case(case, named["state"], opened)
            if named["cause"]:
                other.confirm(case, named["cause"], NOW)
        assert sums(store) == sums(other)
        for symptom in ("lamp-dark", "fan-still"):
            assert store.tally(symptom, NOW, 3.0) == other.tally(symptom, NOW, 3.0)


def test_the_sums_are_those_of_a_group_by_over_the_same_rows(store, tmp_path):
    # pandas (groupby.size) counts the same rows by itself.
    path = write(tmp_path / "a.csv", fleet(400, seed=2))
    bring_in(store, path)
    frame = pandas.read_csv(path, dtype=str, keep_default_na=False)
    frame["year"] = pandas.to_datetime(frame["date"]).dt.year
    known, unknown = (
        frame[frame["cause"] != ""],
        frame[(frame["cause"] == "") & (frame["state"] != "left-off")],
    )
    answered = known[known["switch-click"].isin(["up", "down"])]

    def counted(rows, columns):
        return {tuple(key): int(n) for key, n in rows.groupby(columns).size().items()}

    with store.reading() as connection:
        causes = {tuple(line[:4]): line.total for line in connection.execute(select(cause_sums))}
        answers = {
            (line.symptom, line.cause, line.answer, line.year, line.ending): line.total
            for line in connection.execute(select(answer_sums))
        }
        nobody = {tuple(line[:3]): line.total for line in connection.execute(select(unconfirmed_sums))}
    assert causes == counted(known, ["symptom", "cause", "year", "state"])
    assert answers == counted(answered, ["symptom", "cause", "switch-click", "year", "state"])
    assert nobody == counted(unknown, ["symptom", "year", "state"])


def test_the_same_file_twice_adds_nothing_and_new_rows_below_come_in(store, tmp_path):
    rows = fleet(30)
    bring_in(store, write(tmp_path / "a.csv", rows))
    before = sums(store)
    again = bring_in(store, tmp_path / "a.csv")
    assert (again.added, again.already, again.differ) == (0, 30, 0)
    assert sums(store) == before
    more = bring_in(store, write(tmp_path / "a.csv", [*rows, row(case="new")]))
    assert (more.added, more.already) == (1, 30)
    other = bring_in(store, tmp_path / "a.csv", source="another fleet")
    assert (other.added, other.already) == (31, 0)
    assert len(store.cases()) == 62


def test_other_content_under_a_kept_number_is_told_and_changes_nothing(store, tmp_path):
    bring_in(
        store, write(tmp_path / "a.csv", [row(), row(case="18", cause=""), row(case="19"), row(case="20")])
    )
    before, kept = sums(store), store.cases()
    changed = [row(cause="switched-off", date="2025-06-02"), row(case="18"), row(case="19", vehicle="van 2"),
               row(case="20", switch_click="up"), row(case="21")]  # fmt: skip
    written = bring_in(store, write(tmp_path / "a.csv", changed))
    assert (written.added, written.already, written.differ) == (1, 0, 4)
    ids = {record.source_case: record.case for record in store.cases()}
    assert written.differing == [
        Differing("17", ids["17"], ("date", "cause")),
        Differing("18", ids["18"], ("cause",), "bulb-gone"),
        Differing("19", ids["19"], ("vehicle",)),
        Differing("20", ids["20"], ("answers",)),
    ]
    assert set(kept) < set(store.cases())
    assert sum(before[0].values()) + 1 == sum(sums(store)[0].values())


def test_a_kept_case_without_a_cause_in_the_file_is_the_same_once_somebody_confirmed_it(store, tmp_path):
    path = write(tmp_path / "a.csv", [row(cause="")])
    bring_in(store, path)
    store.confirm(store.cases()[0].case, "bulb-gone", NOW)
    again = bring_in(store, path)
    assert (again.already, again.differ) == (1, 0)


def test_trying_out_tells_the_same_and_writes_nothing(store, tmp_path):
    bring_in(store, write(tmp_path / "a.csv", fleet(10)))
    before = sums(store)
    report, spool = history(write(tmp_path / "a.csv", [*fleet(12), row(case="J3x")])).read()
    assert not report.flaws
    written = compare_cases(store, "fleet", spool)
    spool.close()
    assert (written.added, written.already) == (3, 10)
    assert sums(store) == before
    assert len(store.cases()) == 10


def test_cases_of_ones_own_go_on_getting_fresh_numbers(store, tmp_path):
    first = store.open_case("lamp-dark", "d", "owner", "", NOW)
    bring_in(store, write(tmp_path / "a.csv", fleet(25)))
    later = store.open_case("lamp-dark", "d", "owner", "", NOW)
    bring_in(store, write(tmp_path / "b.csv", fleet(5)), source="b")
    numbers = [record.case for record in store.cases()]
    assert len(set(numbers)) == 32
    assert later > first
    assert store.case(later).source == ""


def test_an_imported_case_can_be_confirmed_otherwise_and_its_sums_move(store, tmp_path):
    bring_in(store, write(tmp_path / "a.csv", [row()]))
    case = store.cases()[0].case
    store.confirm(case, "switched-off", NOW)
    tally = store.tally("lamp-dark", NOW)
    assert tally.causes == {"switched-off": 1.0}
    assert tally.answers["switched-off", "switch-click", "down"] == 1.0


def test_an_error_in_the_middle_leaves_nothing(store, tmp_path):
    report, spool = history(write(tmp_path / "a.csv", fleet(20))).read()

    def breaking():
        yield from spool
        raise RuntimeError("the plug was pulled")

    with pytest.raises(RuntimeError, match="the plug was pulled"):
        write_cases(store, "fleet", breaking(), NOW)
    spool.close()
    assert report.good == 20
    assert store.cases() == ()
    assert sums(store) == [{}, {}, {}]


SLOWLY = """
import sys, time
from datetime import UTC, datetime
from pathlib import Path
from diagnose.cases.bulk import write_cases
from diagnose.cases.store import open_store
from tests.cases.import_histories import history
url, path, source, pause = sys.argv[1:5]
report, spool = history(Path(path)).read()
def batches():
    for batch in spool:
        half = len(batch) // 2
        yield batch[:half]
        print("half", flush=True)
        time.sleep(float(pause))
        yield batch[half:]
with open_store(url) as store:
    print(write_cases(store, source, batches(), datetime.now(UTC)).added)
"""


def test_a_program_that_is_killed_in_the_middle_leaves_nothing(url, run, tmp_path):
    path = write(tmp_path / "a.csv", fleet(200))
    with open_store(url) as store:
        process = run(SLOWLY, url, str(path), "fleet", "60")
        assert process.stdout.readline() == "half\n"
        process.send_signal(signal.SIGKILL)
        process.wait(10)
        process.stdout.close()
        process.stderr.close()
        assert store.cases() == ()
        assert sums(store) == [{}, {}, {}]
        assert bring_in(store, path).added == 200


def test_two_imports_at_once_count_nothing_twice(url, tmp_path):
    path = write(tmp_path / "a.csv", fleet(200))
    begun, added = threading.Event(), []

    def first_half_first(spool):
        (batch,) = spool
        yield batch[:100]
        begun.set()
        time.sleep(0.3)  # the other one is waiting by now
        yield batch[100:]

    def slowly():
        _, spool = history(path).read()
        with closing(spool), open_store(url) as store:
            added.append(write_cases(store, "fleet", first_half_first(spool), NOW).added)

    with open_store(url) as store:
        first = threading.Thread(target=slowly)
        first.start()
        assert begun.wait(30)
        second = bring_in(store, path)
        first.join(30)
        assert (added, second.added, second.already) == ([200], 0, 200)
        assert len(store.cases()) == 200
        expected = Counter(cells[3] for cells in fleet(200) if cells[3])
        total = Counter()
        for key, number in sums(store)[0].items():
            total[key[1]] += number
        assert total == expected


def test_an_import_and_a_confirmation_at_once_both_count(store, tmp_path):
    own = store.open_case("lamp-dark", "d", "owner", "", NOW - timedelta(days=400))
    store.end_case(own, "cured", NOW)
    store.confirm(own, "bulb-gone", NOW)
    bring_in(store, write(tmp_path / "a.csv", [row()]))
    assert store.tally("lamp-dark", NOW).causes == {"bulb-gone": 2.0}


def test_a_number_with_marks_of_the_servers_own_format_comes_back_as_it_was(store, tmp_path):
    odd = ["a\\b", "\\N", "a'b", 'a"b', "tab-less; x", "%s", "{1}", "NULL", "日本", "é"]
    bring_in(store, write(tmp_path / "a.csv", [row(case=number, vehicle=number) for number in odd]))
    assert sorted(record.source_case for record in store.cases()) == sorted(odd)
    assert sorted(record.vehicle for record in store.cases()) == sorted(odd)
