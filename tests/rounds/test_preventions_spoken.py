"""What a fleet's cases say for a task: beside SciPy and statsmodels, and nothing of few cases."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from scipy import stats
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import proportion_confint

from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.reasoning.inference import above_a_share
from diagnose.rounds.preventions_spoken import FEWEST, LEVEL, USUAL, cases_after_a_lay_up, spoken_for
from diagnose.terms.rounds import Round
from tests.reviewing.made_up_past import MadeUp, fill
from tests.rounds.made import task

NOW = datetime(2026, 11, 1, 9, tzinfo=UTC)
LIBRARY = Library()
LAY_UP = LIBRARY.round("lay-up")


def round_of(*tasks, id="lay-up"):
    return Round(id, "f", "d", "s", {each.id: each for each in tasks})


def keeps(id, **prevents):
    return replace(task(id, "cab", 1), prevents={tree: frozenset(some) for tree, some in prevents.items()})


@pytest.mark.parametrize(("hits", "of"), [(0, 9), (1, 1), (3, 31), (7, 31), (31, 31), (40, 700)])
def test_the_tail_is_the_binomial_one(hits, of):
    for usual in (0.05, 0.3):
        assert above_a_share(hits, of, usual) == pytest.approx(stats.binom.sf(hits - 1, of, usual), rel=1e-9)


def test_seven_of_thirty_one_are_told_with_the_interval_and_the_cause_of_most_of_them():
    cases = {("pump", "seized"): 5, ("pump", "split"): 2, ("lamp", "worn"): 24}
    (told,) = spoken_for(
        round_of(keeps("drain", pump=["seized", "split"]), keeps("x", pump=["no"])), cases
    ).values()
    assert (told.task, told.cases, told.of, told.most) == ("drain", 7, 31, ("pump", "seized"))
    low, high = proportion_confint(7, 31, alpha=0.1, method="wilson")
    assert (told.share.low, told.share.high) == pytest.approx((low, high), abs=1e-9)
    assert told.says({}) == (
        "In this fleet 7 of 31 confirmed cases after three months or more of lay-up were what this keeps "
        f"away ({100 * low:.0f} to {100 * high:.0f} % of such cases, 90 % interval)."
    )


def test_what_stands_out_is_adjusted_for_all_tasks_that_were_asked():
    numbers = [12, 9, 8, 7, 3, 2, 1, 0]
    tasks = [keeps(f"t{n}", s=[f"c{n}"]) for n in range(len(numbers))]
    cases = {("s", f"c{n}"): number for n, number in enumerate(numbers)} | {("other", "x"): 40}
    of = sum(cases.values())
    chances = [stats.binom.sf(number - 1, of, USUAL) for number in numbers]
    adjusted = multipletests(chances, method="fdr_bh")[1]
    assert list(spoken_for(round_of(*tasks), cases)) == [f"t{n}" for n in range(8) if adjusted[n] <= LEVEL]
    assert 0 < sum(adjusted <= LEVEL) < sum(chance <= LEVEL for chance in chances)


def test_of_few_cases_nothing_is_said_though_all_of_them_were_it():
    asked = round_of(keeps("t", s=["c"]))
    assert spoken_for(asked, {("s", "c"): FEWEST - 1}) == {}
    assert list(spoken_for(asked, {("s", "c"): FEWEST})) == ["t"]
    assert spoken_for(asked, {}) == {}


def test_a_case_of_several_causes_counts_once_and_a_round_that_looks_counts_its_trees():
    cases = {("s", "a+b"): 12}
    assert spoken_for(round_of(keeps("t", s=["a", "b"])), cases)["t"].cases == 12
    looking = replace(task("t", "cab", 1), opens=("s",))
    assert spoken_for(round_of(looking, id="wake-up"), cases)["t"].says({}).count("looks for") == 1


def case(number, cause, months, *, confirmed=True):
    band = "short" if months < 3 else "season" if months < 9 else "long"
    record = CaseRecord(
        number, "water-pump", "0" * 64, "owner", "cured", NOW, NOW + timedelta(hours=1), f"van {number}", "",
        cause, confirmed, cause if confirmed else "",
        entries=(Entry(NOW, "finding", "months-laid-up", band, months, 0.5, True, 1),),
    )  # fmt: skip
    return MadeUp(record, NOW if confirmed else None)


def test_the_cases_are_those_confirmed_of_vehicles_that_had_stood_for_three_months(tmp_path):
    """Eleven pumps of fourteen; one more stood for a month only, and of one nobody told the outcome."""
    past = [case(n, "pump-seized", 6) for n in range(1, 12)]
    past += [case(12, "pump-fuse", 14), case(13, "tank-empty", 4), case(14, "pump-fuse", 3)]
    past += [case(15, "pump-seized", 1), case(16, "pump-seized", 6, confirmed=False)]
    tree = LIBRARY.tree("water-pump")
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        fill(store, past)
        cases = cases_after_a_lay_up(store, lambda: {"water-pump": tree})
    assert cases == {
        ("water-pump", "pump-seized"): 11, ("water-pump", "pump-fuse"): 2, ("water-pump", "tank-empty"): 1,
    }  # fmt: skip
    told = spoken_for(LAY_UP, cases)["p4-drain"]
    assert (told.cases, told.of) == (11, 14)
    assert '"The pump is stuck after standing' in told.says({"water-pump": tree})


def test_trees_are_not_even_read_for_few_cases(tmp_path):
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        fill(store, [case(n, "pump-seized", 6) for n in range(1, FEWEST)])
        assert sum(cases_after_a_lay_up(store, lambda: pytest.fail("read")).values()) == FEWEST - 1
