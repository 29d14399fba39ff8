"""Trends that were planted into a made-up fleet are found, and hardly anything else is."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import scipy.stats

from diagnose.cases.selecting import Wanted
from diagnose.cases.store import CaseStore, open_store
from diagnose.knowledge.collection import Library
from diagnose.reviewing import trends_statements as says
from diagnose.reviewing.preventing import minutes_to_put_right
from diagnose.reviewing.trends import trends_of
from diagnose.reviewing.trends_document import as_document
from diagnose.reviewing.trends_told import Asked, Trends
from tests.reviewing import fleet as fleet_of_the_documents
from tests.reviewing.fleet import DRAIN, NEST, WORN, past
from tests.reviewing.made_up_past import MadeUp, fill

NOW = datetime(2026, 11, 28, tzinfo=UTC)
TREES = {id: Library().tree(id) for id in ("heater-no-fire", "leisure-battery-weak", "water-pump")}
PAST = past()
DOCS = Path(__file__).resolve().parent.parent.parent / "docs"


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Iterator[CaseStore]:
    """The whole fleet."""
    with open_store(str(tmp_path_factory.mktemp("fleet") / "cases.sqlite")) as store:
        fill(store, PAST)
        yield store


def asked(**fields: object) -> Asked:
    return Asked(Wanted(**fields), NOW)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def found(fleet: CaseStore) -> Trends:
    return trends_of(fleet, asked(), TREES)


def ids(lines):
    """What stands out, as (symptom, cause)."""
    return [(each.symptom, each.cause) for each in lines if each.tested.stands_out]


def frame():
    rows = [each.record for each in PAST]
    return pd.DataFrame(
        {name: [getattr(each, name) for each in rows] for name in ("symptom", "cause", "confirmed", "opened")}
    )


# What was planted -----------------------------------------------------------------------------------------


def test_the_flue_nest_comes_back(found):
    marked = [each for each in found.returns if says.stands_out(each.tested)]
    assert [(each.counts.symptom, each.counts.cause) for each in marked] == [NEST]
    assert says.returns(found) == [
        f"A web or a nest sits in the flue or the burner (heater-no-fire): came back in "
        f"{marked[0].counts.came_back} of 8 vehicles within a year of being put right "
        f"({says.in_100(marked[0].share)})."
    ]


def test_the_worn_battery_grows_more_frequent(found):
    assert ids(found.years.causes) == [WORN]
    low = found.years.causes[0].change.factor.low
    assert low > 1
    assert "grows more frequent" in says.courses(found.years, "years")[0]


def test_the_nest_comes_in_spring(found):
    first = found.months.causes[0]
    assert (first.symptom, first.cause) == NEST
    assert first.peak in (3, 4)
    assert first.near.low > first.of_all
    assert says.season(first).startswith("A web or a nest sits in the flue or the burner (heater-no-fire): ")


def test_the_drain_comes_more_after_long_lay_ups(found):
    assert found.laid_up.steps == ("under 3", "3 to 9", "9 or more")
    assert ids(found.laid_up.causes)[0] == DRAIN
    assert found.laid_up.causes[0].change.factor.low > 1
    assert "comes more after long lay-ups" in says.courses(found.laid_up, "laid-up")[0]


def test_the_van_with_more_than_its_share_is_named(found):
    assert found.vehicles is not None
    assert found.vehicles.compared == 36
    assert found.vehicles.marked[0][0].vehicle == "van 13"
    assert found.vehicles.standing_out == len(found.vehicles.marked)
    assert says.vehicles(found)[0].startswith("van 13: ")


def test_the_flue_cover_would_have_saved_most(found):
    first = found.prevention[0]
    assert first.text.startswith("Fit the flue cover at lay-up")
    nests = sum(each.record.cause == NEST[1] for each in PAST)
    assert first.cases == nests
    # The tree refers it to a gas engineer, whose work trees/common puts at 240 minutes.
    assert first.minutes.value == nests * 240
    # Garwood's limits of a single count, by chi-square.
    assert first.minutes.low == pytest.approx(240 * scipy.stats.chi2.ppf(0.05, 2 * nests) / 2)
    assert first.minutes.high == pytest.approx(240 * scipy.stats.chi2.ppf(0.95, 2 * nests + 2) / 2)


def test_what_nobody_told_is_said(found):
    untold = sum(not each.record.confirmed for each in PAST)
    assert untold > 20
    said = " ".join(says.basis(found))
    assert f"Nobody has told what it was of {untold} of " in said
    assert "these are not counted" in said


# The sums behind it ---------------------------------------------------------------------------------------


def test_years_and_months_add_up_to_those_of_pandas(found):
    rows = frame()
    confirmed = rows[rows.confirmed]
    assert found.basis.cases == len(confirmed)
    assert list(found.years.of) == confirmed.groupby(confirmed.opened.dt.year).size().tolist()
    by_month = confirmed.groupby(confirmed.opened.dt.month).size()
    assert [each.value for each in found.months.all] == by_month.tolist()
    worn = confirmed[confirmed.cause == WORN[1]]
    assert list(found.years.causes[0].cases) == worn.groupby(worn.opened.dt.year).size().tolist()


def test_uneven_months_are_the_chi_square_test_of_scipy(found):
    days = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    cases = np.array([each.value for each in found.months.all])
    theirs = scipy.stats.chisquare(cases, cases.sum() * days / days.sum())
    assert found.months.chance == pytest.approx(theirs.pvalue, rel=1e-8)


def test_each_list_is_adjusted_as_scipy_does(found):
    for lines in (
        [each.tested for each in found.returns if each.tested],
        [each.tested for each in found.years.causes],
        [each.tested for each in found.months.causes],
        [each.tested for each in found.laid_up.causes],
    ):
        theirs = scipy.stats.false_discovery_control([each.chance for each in lines])
        assert [each.adjusted for each in lines] == pytest.approx(list(theirs))


def test_one_text_against_several_causes_adds_their_work(tmp_path):
    # Spare fuses are against both: eight minutes each for a charger's, five for a fridge's.
    trees = {id: Library().tree(id) for id in ("leisure-battery-weak", "compressor-fridge")}
    kinds = [("leisure-battery-weak", "charger-fuse")] * 3 + [("compressor-fridge", "fridge-fuse")] * 4
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        fill(store, [case(number, *kind) for number, kind in enumerate(kinds, 1)])
        (fuses,) = trends_of(store, asked(), trees).prevention
    assert fuses.text == "Keep spare fuses of each rating by the panel."
    assert [(each.cases, each.minutes) for each in fuses.causes] == [(4, 5.0), (3, 8.0)]
    assert fuses.minutes.value == 4 * 5 + 3 * 8
    # Dobson et al. 1991: S + sqrt(V / k) (limit of k - k), with V the sum of k_i w_i^2.
    stretch = ((4 * 25 + 3 * 64) / 7) ** 0.5
    low, high = scipy.stats.chi2.ppf(0.05, 14) / 2, scipy.stats.chi2.ppf(0.95, 16) / 2
    assert fuses.minutes.low == pytest.approx(44 + stretch * (low - 7))
    assert fuses.minutes.high == pytest.approx(44 + stretch * (high - 7))


@pytest.mark.parametrize(
    ("symptom", "cause", "minutes"),
    [
        ("heater-no-fire", "cylinder-empty", 15.0),
        ("heater-no-fire", "flue-nest", 240.0),  # a referral's work
        ("water-heater-no-fire", "gas-short", 5.0),  # a hand-over to another tree
    ],
)
def test_putting_a_cause_right_takes_what_its_tree_says(symptom, cause, minutes):
    tree = Library().tree(symptom)
    assert minutes_to_put_right(tree, [tree.events[cause]]) == minutes


def test_where_one_of_several_is_referred_the_referral_is_what_it_takes():
    tree = Library().tree("heater-no-fire")
    both = [tree.events["cylinder-empty"], tree.events["flue-nest"]]
    assert minutes_to_put_right(tree, both) == 240.0
    assert minutes_to_put_right(tree, [tree.events[id] for id in ("cylinder-empty", "valve-shut")]) == 19.0


# Where there is little ------------------------------------------------------------------------------------


def case(number, symptom, cause, vehicle="van 1", opened=NOW):
    """One confirmed case."""
    record = replace(
        PAST[0].record,
        case=number,
        symptom=symptom,
        state="cured",
        opened=opened,
        changed=opened,
        vehicle=vehicle,
        confirmed=True,
        cause=cause,
        entries=(),
    )
    return MadeUp(record, opened)


def test_without_a_store_there_is_nothing_to_say():
    none = trends_of(None, asked(), TREES)
    assert none.basis.cases == 0
    assert says.basis(none) == [
        "No confirmed case fits. Only confirmed cases are counted: diagnose cases confirm"
    ]
    assert as_document(none)["counted"]["first"] is None


def test_of_a_few_cases_it_is_said_that_they_are_too_few(tmp_path):
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        fill(store, [case(number, "water-pump", "tank-empty") for number in range(1, 4)])
        few = trends_of(store, asked(), TREES)
    assert says.returns(few)[0].startswith("Too little to say")
    assert says.vehicles(few) == ["Too little to say: fewer than two vehicles are known by a label."]
    assert says.courses(few.years, "years")[0].startswith("Too little to say")
    assert says.months(few.months)[0].startswith("Too few cases")
    assert says.courses(few.laid_up, "laid-up") == ["No counted case tells how long the vehicle was laid up."]
    assert not any(math.isnan(each.share.low) for each in few.returns)


def test_a_vehicle_asked_for_is_not_compared_with_others(fleet):
    one = trends_of(fleet, asked(vehicle="Van 13"), TREES)
    assert one.vehicles is None
    assert one.basis.vehicles == 1
    assert says.vehicles(one) == []
    assert as_document(one)["vehicles"] is None


def test_a_symptom_and_a_time_narrow_what_is_counted(fleet, found):
    since, before = datetime(2023, 1, 1, tzinfo=UTC), datetime(2025, 1, 1, tzinfo=UTC)
    part = trends_of(fleet, asked(symptom="water-pump", opened_from=since, opened_before=before), TREES)
    rows = frame()
    fits = rows[
        rows.confirmed & (rows.symptom == "water-pump") & (rows.opened >= since) & (rows.opened < before)
    ]
    assert part.basis.cases == len(fits)
    assert part.years.steps == ("2023", "2024")
    # Two years are no course; the watch ends with the time asked for.
    assert part.years.causes == ()
    assert all(each.counts.too_recent or each.counts.watched for each in part.returns)


def test_a_cause_under_its_older_id_is_counted_under_that_of_today(tmp_path):
    tree = TREES["water-pump"]
    events = dict(tree.events)
    events["tank-empty"] = replace(events["tank-empty"], was=("dry-tank",))
    renamed = {"water-pump": replace(tree, events=events)}
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        fill(store, [case(1, "water-pump", "dry-tank"), case(2, "water-pump", "tank-empty", "van 2")])
        found = trends_of(store, asked(), renamed)
    assert [(each.counts.cause, each.counts.too_recent) for each in found.returns] == [("tank-empty", 2)]
    assert found.prevention[0].cases == 2


def test_where_the_tree_is_not_at_hand_the_id_stands_for_the_words(tmp_path):
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        fill(store, [case(1, "gone", "some-cause")])
        found = trends_of(store, asked(), {})
    assert found.returns[0].says == "some-cause"
    assert found.prevention == ()
    assert says.prevention(found)[0].startswith("Too little to say")


# Chance alone ---------------------------------------------------------------------------------------------


def even_past(seed):
    """A fleet in which nothing is planted: 40 causes, 80 vehicles, six years, all by even chance."""
    rng = np.random.default_rng(seed)
    start = datetime(2020, 1, 1, tzinfo=UTC).timestamp()
    moments = np.sort(rng.uniform(start, start + 6 * 365.25 * 86_400, 1_200))
    return [
        case(
            number,
            "some",
            f"cause-{rng.integers(40)}",
            f"van {rng.integers(80)}",
            datetime.fromtimestamp(moment, UTC),
        )
        for number, moment in enumerate(moments, 1)
    ]


def test_in_a_fleet_without_trends_hardly_anything_stands_out(tmp_path):
    # Where nothing is true, the chance that anything at all is marked in one list is 0.05 at most (that is
    # what Benjamini & Hochberg's control comes to then); unadjusted, four lists would mark some eight each.
    marked, unadjusted = Counter(), 0
    for seed in range(6):
        with open_store(str(tmp_path / f"{seed}.sqlite")) as store:
            fill(store, even_past(seed))
            found = trends_of(store, asked(), {})
        assert found.vehicles is not None
        lists = {
            "returns": [each.tested for each in found.returns if each.tested],
            "years": [each.tested for each in found.years.causes],
            "months": [each.tested for each in found.months.causes],
        }
        for name, tested in lists.items():
            marked[name] += any(each.stands_out for each in tested)
            unadjusted += sum(each.chance <= 0.05 for each in tested)
        marked["vehicles"] += bool(found.vehicles.marked)
    assert unadjusted > 20
    assert sum(marked.values()) <= 4, marked  # of 24 lists; P(5 or more of 24 at 0.05) is 0.006
    assert scipy.stats.binom.sf(4, 24, 0.05) < 0.01


def test_the_table_among_the_documents_is_that_of_the_fleet(tmp_path, monkeypatch):
    monkeypatch.setattr("sys.argv", ["fleet", str(tmp_path / "past.csv")])
    fleet_of_the_documents.main()
    made = (tmp_path / "past.csv").read_text(encoding="utf-8")
    assert made == (DOCS / "past-of-a-fleet.csv").read_text(encoding="utf-8")
    assert made.count("\n") == len(PAST) + 1
