"""Sums by the database beside those of pandas over the same rows, on both kinds of store."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
import pytest

from diagnose.cases import counting
from diagnose.cases.counting_answers import by_answer
from diagnose.cases.journal import counted_answers
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.selecting import Wanted
from diagnose.cases.store import CaseStore, open_store
from tests.reviewing.made_up_past import MadeUp, fill

SEED = 61649
END = datetime(2026, 7, 1, tzinfo=UTC)
LABELS = ["van 1", "VAN 1 ", "van 2", "Bus 'Ännchen'", "van; DROP TABLE cases", "van 3", "van 4", ""]
TODAY = {("heater", "nest-once"): "nest"}


def some_past(number=600):
    """Cases with labels in any capitals, causes under older ids, several a day, and journals taken back."""
    rng = np.random.default_rng(SEED)
    for case in range(1, number + 1):
        symptom = str(rng.choice(["heater", "pump"]))
        state = str(
            rng.choice(["cured", "referred", "stopped", "open", "left-off"], p=[0.4, 0.3, 0.1, 0.1, 0.1])
        )
        opened = datetime(2023, 1, 31, tzinfo=UTC) + timedelta(hours=int(rng.integers(0, 24 * 1300)))
        if rng.random() < 0.1:
            opened = datetime(2024, 2, 29, int(rng.integers(24)), tzinfo=UTC)
        cause = str(rng.choice(["nest", "nest-once", "fuse"] if symptom == "heater" else ["fuse", "frost"]))
        confirmed = bool(rng.random() < 0.7)
        lines = tuple(some_lines(rng, opened))
        record = CaseRecord(
            case,
            symptom,
            "d",
            "owner",
            state,
            opened,
            opened,
            str(rng.choice(LABELS)),
            confirmed=confirmed,
            cause=cause if confirmed else "",
            entries=lines,
        )
        yield MadeUp(record, opened if confirmed else None)


def some_lines(rng, time):
    """A journal with the months laid up now and then, which may be taken back, stand again, or be dropped."""
    findings, backs = [], []
    for number in range(1, int(rng.integers(1, 8))):
        what = rng.random()
        if what < 0.25 and findings:
            backs.append(number)
            yield Entry(time, "back", str(rng.choice(findings)), number=number)
        elif what < 0.35 and backs:
            yield Entry(time, "back", str(rng.choice(backs)), number=number)
        elif what < 0.42:
            yield Entry(time, "dropped", str(rng.choice(["months-laid-up", "volts"])), number=number)
        else:
            findings.append(number)
            answer = str(rng.choice(["short", "season", "long", "not-sure"]))
            yield Entry(time, "finding", str(rng.choice(["months-laid-up", "volts"])), answer, number=number)


PAST = list(some_past())


def frame():
    """The same cases as a table, by other means than a query."""
    rows = [
        {
            "symptom": each.record.symptom,
            "cause": TODAY.get((each.record.symptom, each.record.cause), each.record.cause),
            "state": each.record.state,
            "confirmed": each.record.confirmed,
            "opened": each.record.opened,
            "vehicle": each.record.vehicle.strip().casefold(),
            "laid_up": counted_answers(each.record.entries).get("months-laid-up"),
        }
        for each in PAST
    ]
    return pd.DataFrame(rows)


@pytest.fixture(scope="module")
def filled(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory):
    """`filled(kind)` is a store of that kind with the past in it, made once."""
    made: dict[str, CaseStore] = {}

    def of(kind: str, address: str) -> CaseStore:
        if kind not in made:
            made[kind] = open_store(address)
            fill(made[kind], PAST)
        return made[kind]

    yield of
    for each in made.values():
        each.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def full(request: pytest.FixtureRequest, filled) -> CaseStore:
    return filled(request.param, str(request.getfixturevalue(f"{request.param}_url")))


EVER = datetime(2000, 1, 1, tzinfo=UTC)
WANTED = {
    "all": (Wanted(), lambda rows: rows),
    "a symptom": (Wanted(symptom="heater"), lambda rows: rows[rows.symptom == "heater"]),
    "a vehicle": (Wanted(vehicle="Van 1"), lambda rows: rows[rows.vehicle == "van 1"]),
    "a time": (
        Wanted(opened_from=datetime(2024, 1, 1, tzinfo=UTC), opened_before=datetime(2025, 6, 1, tzinfo=UTC)),
        lambda rows: rows[
            (rows.opened >= datetime(2024, 1, 1, tzinfo=UTC))
            & (rows.opened < datetime(2025, 6, 1, tzinfo=UTC))
        ],
    ),
    "since ever": (Wanted(opened_from=EVER), lambda rows: rows),
    "nothing": (Wanted(symptom="no-such"), lambda rows: rows[rows.symptom == "no-such"]),
}


@pytest.fixture(params=list(WANTED))
def chosen(request: pytest.FixtureRequest):
    """What is wanted, and the rows of the table that are."""
    wanted, pick = WANTED[request.param]
    return wanted, pick(frame())


def test_confirmed_cases_by_month(full, chosen):
    wanted, rows = chosen
    with full.reading() as connection:
        found = counting.by_month(connection, wanted, TODAY)
    confirmed = rows[rows.confirmed]
    theirs = confirmed.groupby(
        [confirmed.symptom, confirmed.cause, confirmed.opened.dt.year, confirmed.opened.dt.month]
    ).size()
    assert {(e.symptom, e.cause, e.year, e.month): e.cases for e in found} == theirs.to_dict()
    assert list(found) == sorted(found, key=lambda e: (e.symptom, e.cause, e.year, e.month))


def test_cases_by_ending(full, chosen):
    wanted, rows = chosen
    with full.reading() as connection:
        found = counting.by_ending(connection, wanted)
    theirs = rows.groupby("state").confirmed.agg(["size", "sum"])
    assert found == {state: (n, known) for state, n, known in theirs.itertuples()}


def test_vehicles_by_their_number_of_cases(full, chosen):
    wanted, rows = chosen
    each = rows[rows.confirmed & (rows.vehicle != "")].groupby("vehicle").size()
    with full.reading() as connection:
        assert counting.vehicles_by_number(connection, wanted) == each.value_counts().to_dict()
        least = int(each.median()) if len(each) else 1
        found = counting.vehicles_with(connection, wanted, least, 3)
    theirs = each[each >= least].sort_values(ascending=False).head(3)
    assert [one.cases for one in found] == theirs.tolist()
    assert {one.vehicle.casefold(): one.cases for one in found} == {
        label: each[label] for label in (one.vehicle.casefold() for one in found)
    }


def visits(rows):
    """Days on which a vehicle had a cause that was put right, the first case of each."""
    over = rows[rows.confirmed & (rows.vehicle != "") & rows.state.isin(["cured", "referred", "stopped"])]
    key = ["vehicle", "symptom", "cause"]
    return over.groupby([*key, over.opened.dt.date]).opened.min().rename_axis([*key, "day"]).reset_index()


@pytest.mark.parametrize("months", [1, 6, 12])
def test_causes_that_came_back(full, chosen, months):
    wanted, rows = chosen
    end = min(END, wanted.opened_before or END)
    theirs = {}
    for (_, symptom, cause), group in visits(rows).groupby(["vehicle", "symptom", "cause"]):
        first, *later = group.opened.sort_values()
        limit = first + pd.DateOffset(months=months)
        # A day that a month has not becomes its last; until its end the month is not over.
        limit = limit if limit.day == first.day else limit.normalize() + pd.DateOffset(days=1)
        watched = first <= pd.Timestamp(end) - pd.DateOffset(months=months)
        back = watched and bool(later) and later[0] <= limit
        theirs[symptom, cause] = np.add(theirs.get((symptom, cause), (0, 0, 0)), (watched, back, not watched))
    with full.reading() as connection:
        found = counting.came_back(connection, wanted, TODAY, months, end)
    assert {(e.symptom, e.cause): (e.watched, e.came_back, e.too_recent) for e in found} == {
        id: tuple(map(int, sums)) for id, sums in theirs.items()
    }


def test_causes_again_and_again(full, chosen):
    wanted, rows = chosen
    sums = visits(rows).groupby(["vehicle", "symptom", "cause"]).size()
    theirs = sums[sums >= 2]
    with full.reading() as connection:
        found = counting.again_and_again(connection, wanted, TODAY, 1_000)
        few = counting.again_and_again(connection, wanted, TODAY, 2)
    assert {(e.vehicle.casefold(), e.symptom, e.cause): e.cases for e in found} == theirs.to_dict()
    assert [e.cases for e in found] == sorted(theirs, reverse=True)
    assert few == found[:2]


def test_months_laid_up_as_the_journal_is_read_elsewhere(full, chosen):
    wanted, rows = chosen
    known = rows[rows.confirmed & rows.laid_up.notna()]
    theirs = Counter(zip(known.symptom, known.cause, known.laid_up, strict=True))
    with full.reading() as connection:
        assert by_answer(connection, wanted, TODAY, "months-laid-up") == dict(theirs)
        assert by_answer(connection, wanted, TODAY, "never-asked") == {}


def test_causes_that_were_met(full):
    rows = frame()
    met = {(each.record.symptom, each.record.cause) for each in PAST if each.record.confirmed}
    with full.reading() as connection:
        assert set(counting.causes_met(connection)) == met
        assert counting.confirmed_elsewhere(connection, None) == 0
    assert ("heater", "nest-once") in met
    assert "nest-once" not in set(rows.cause)


def test_cases_of_other_stores_are_told_and_not_counted(store: CaseStore):
    from diagnose.cases.sums import add_to_sums
    from diagnose.cases.tables import cause_sums

    with store.writing() as connection:
        add_to_sums(connection, cause_sums, {("heater", "nest", 2025, "cured"): 7}, origin="0" * 16)
        add_to_sums(connection, cause_sums, {("pump", "fuse", 2025, "cured"): 2}, origin="0" * 16)
    with store.reading() as connection:
        assert counting.confirmed_elsewhere(connection, None) == 9
        assert counting.confirmed_elsewhere(connection, "pump") == 2
        assert counting.by_month(connection, Wanted(), {}) == ()
        assert counting.causes_met(connection) == ()


@pytest.mark.parametrize("since", [None, EVER], ids=["by the sums", "by the journals"])
def test_what_stood_at_the_confirmation_counts_whatever_came_later(store: CaseStore, since):
    noon = datetime(2026, 3, 1, 12, tzinfo=UTC)

    def confirmed(cause: str, *lines: tuple[str, str, str | None]) -> int:
        case = store.open_case("heater", "d", "owner", "", noon)
        for kind, subject, answer in lines:
            store.append(case, Entry(noon, kind, subject, answer))  # type: ignore[arg-type]
        store.confirm(case, cause, noon)
        return case

    # A line that took another such line back lets the finding stand.
    first = confirmed("nest", ("finding", "months-laid-up", "long"), ("back", "1", None), ("back", "2", None))
    second = confirmed("fuse", ("finding", "months-laid-up", "season"))
    third = confirmed("frost", ("finding", "months-laid-up", "short"), ("back", "1", None))
    store.append(first, Entry(noon, "finding", "months-laid-up", "short"))
    store.append(second, Entry(noon, "back", "1"))
    store.append(third, Entry(noon, "back", "2"))
    with store.reading() as connection:
        found = by_answer(connection, Wanted(opened_from=since), {}, "months-laid-up")
    assert found == {("heater", "nest", "long"): 1, ("heater", "fuse", "season"): 1}


@pytest.mark.parametrize(
    ("end", "months", "earlier"),
    [
        ((2026, 5, 31), 3, (2026, 2, 28)),
        ((2024, 5, 31), 3, (2024, 2, 29)),
        ((2026, 1, 15), 1, (2025, 12, 15)),
        ((2024, 2, 29), 12, (2023, 2, 28)),
        ((2026, 7, 1), 24, (2024, 7, 1)),
    ],
)
def test_months_before_are_those_of_pandas(end, months, earlier):
    found = counting.months_before(datetime(*end), months)
    assert found == datetime(*earlier)
    assert found == (pd.Timestamp(datetime(*end)) - pd.DateOffset(months=months)).to_pydatetime()
