"""Counts weighted by how the outcomes of each ending come back, and tallies added together.

Weights of one over the chance of being seen: Horvitz & Thompson 1952; the effective number of weighted cases,
(sum of weights) squared over the sum of squares: Kish 1965. Both from memory.
"""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.cases.store import open_store
from diagnose.reasoning.learning import MOST_APART, merged, returns, weighed
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import ranking
from diagnose.terms import EndedCases, Situation, Tally
from tests.reasoning.by_hand import cause, content_of, faults
from tests.reasoning.documented import shows
from tests.reasoning.made_up_trees import read

CURED, REFERRED = 0, 1
STATES = ("cured", "referred")
SHARES = {"fuse": 20, "plug": 15, "hose": 10, "filter": 8, "pump": 18, "board": 12, "sensor": 8, "valve": 4}
CURED_BY_OWNERS = (0.9, 0.85, 0.9, 0.8, 0.02, 0.05, 0.0, 0.1, 0.0)
"""How often a walk ends as cured, by cause; `not-listed` last."""
TREE = read(content_of(faults(**{id: cause(share) for id, share in SHARES.items()})), "returns")
ENGINEERS_FIND = [at for at, chance in enumerate(CURED_BY_OWNERS) if chance < 0.5]


def tally_of_fleet(rng, shares, number, told):
    """What a store holds of so many vehicles when `told` of each ending's outcomes come back."""
    causes = rng.choice(len(shares), size=number, p=shares)
    ending = np.where(rng.random(number) < np.array(CURED_BY_OWNERS)[causes], CURED, REFERRED)
    known = rng.random(number) < np.array(told)[ending]
    ids = (*SHARES, "not-listed")

    def sums(chosen):
        counts = np.bincount(causes[chosen], minlength=len(ids))
        return {id: float(n) for id, n in zip(ids, counts, strict=True) if n}

    endings = {
        state: EndedCases(
            float((ending == at).sum()), float((known & (ending == at)).sum()), sums(known & (ending == at))
        )
        for at, state in enumerate(STATES)
    }
    return Tally(sums(known), {}, endings)


def held(tally, shares):
    """For each hypothesis, whether its 90 % interval holds the true share."""
    model = build_model(TREE, tally=tally)
    lines = {line.cause: line for line in ranking(model, Situation())}
    return np.array(
        [lines[id].low <= share <= lines[id].high for id, share in zip(model.ids, shares, strict=True)]
    )


def by_kish(tally):
    """The weighed sums brought to Kish's effective number instead, as the package does not do over causes."""
    weights = [(each.weight, each.confirmed) for each in returns(tally)]
    more = sum(w * n for w, n in weights) / sum(w * w * n for w, n in weights)
    return Tally({id: n * more for id, n in weighed(tally).causes.items()})


def coverage(told, number=1000, fleets=100):
    """How often intervals hold the true share, per hypothesis: as weighed, by plain counts, and by Kish."""
    prior = build_model(TREE).alpha
    held_by = {"weighed": [], "plain": [], "kish": []}
    for seed in range(fleets):
        rng = np.random.default_rng([2024, seed])
        shares = rng.dirichlet(prior)
        tally = tally_of_fleet(rng, shares, number, told)
        held_by["weighed"].append(held(tally, shares))
        held_by["plain"].append(held(Tally(tally.causes), shares))
        held_by["kish"].append(held(by_kish(tally), shares))
    return {way: np.mean(each, axis=0) for way, each in held_by.items()}


def test_intervals_hold_true_shares_though_nine_cures_in_ten_but_two_referrals_in_ten_are_told():
    """A hundred fleets of a thousand vehicles; by chance alone 90 % varies by 3 % (one standard error)."""
    held_by = coverage((0.9, 0.2))
    as_weighed = held_by["weighed"]
    assert as_weighed.mean() >= 0.9
    assert as_weighed[ENGINEERS_FIND].mean() >= 0.87
    assert as_weighed.min() >= 0.8
    # Plain counts drift: they are sure of shares that are wrong.
    assert held_by["plain"].mean() < 0.4
    assert held_by["plain"][ENGINEERS_FIND].mean() < 0.4
    # Why no case may count for more than itself.
    assert held_by["kish"][ENGINEERS_FIND].mean() < as_weighed[ENGINEERS_FIND].mean() - 0.04


@pytest.mark.long
@pytest.mark.timeout(300)
def test_the_document_shows_how_often_intervals_hold_true_shares():
    lines = []
    for told in ((1.0, 1.0), (0.9, 0.2), (0.9, 0.05)):
        for number in (200, 1000):
            held_by = coverage(told, number)
            figures = [
                held_by[way][chosen].mean()
                for way in ("weighed", "kish", "plain")
                for chosen in (slice(None), ENGINEERS_FIND)
            ]
            parts = (f"{100 * part:.0f} of 100" for part in told)
            lines.append((number, *parts, *(f"{figure:.2f}" for figure in figures)))
    ways = (each for way in ("weighed", "effective number", "plain counts") for each in (way, "engineers'"))
    header = ("vehicles", "cures told", "referrals told", *ways)
    shows("returns", header, lines, within=0.02)


def test_shares_come_out_on_the_truth_on_the_average_and_plain_counts_drift_to_what_owners_cure():
    """Forty fleets of one truth, 2000 vehicles each: the mean is within four of its standard errors."""
    truth = np.array([*SHARES.values(), 5]) / 100
    as_weighed, plainly = [], []
    for seed in range(40):
        tally = tally_of_fleet(np.random.default_rng([7, seed]), truth, 2000, (0.9, 0.2))
        as_weighed.append(build_model(TREE, tally=tally).prior)
        plainly.append(build_model(TREE, tally=Tally(tally.causes)).prior)
    error = np.std(as_weighed, axis=0, ddof=1) / 40**0.5
    assert (np.abs(np.mean(as_weighed, axis=0) - truth) < 4 * error + 1e-3).all()
    found = np.mean(plainly, axis=0)[ENGINEERS_FIND].sum()
    assert found < truth[ENGINEERS_FIND].sum() - 0.2


def test_where_all_is_told_counts_stay_as_they_are():
    rng = np.random.default_rng(3)
    shares = np.array([*SHARES.values(), 5]) / 100
    tally = tally_of_fleet(rng, shares, 300, (1, 1))
    assert weighed(tally) == Tally(tally.causes, tally.answers)
    assert weighed(Tally(tally.causes)) == Tally(tally.causes)
    assert all(each.weight == 1 and each.unknown == 0 and each.rate == 1 for each in returns(tally))


def told(ended, confirmed, **causes):
    return EndedCases(ended, confirmed, causes, {(id, "look", "one"): n for id, n in causes.items()})


def test_a_case_stands_for_those_of_its_ending_and_never_counts_for_more_than_itself():
    """By hand: cures (99 + 1) / (49 + 1) = 2 cases each, referrals (99 + 1) / (19 + 1) = 5; so 0.4 to 1."""
    endings = {"cured": told(99, 49, fuse=40.0, pump=9.0), "referred": told(99, 19, pump=14.0, board=5.0)}
    tally = Tally({"fuse": 40.0, "pump": 23.0, "board": 5.0}, {}, endings)
    assert [(each.ending, each.weight, each.unknown) for each in returns(tally)] == [
        ("cured", pytest.approx(0.4), 50),
        ("referred", 1.0, 80),
    ]
    learned = weighed(tally)
    assert learned.causes == {
        "board": 5.0,
        "fuse": pytest.approx(16.0),
        "pump": pytest.approx(0.4 * 9 + 14),
    }
    # Answers: a cause that was seen in one ending only keeps its counts; the pump has Kish's number,
    # (.4 * 9 + 14)^2 / (.16 * 9 + 14) of its 23.
    assert learned.answers["fuse", "look", "one"] == pytest.approx(40.0)
    assert learned.answers["board", "look", "one"] == pytest.approx(5.0)
    assert learned.answers["pump", "look", "one"] == pytest.approx(17.6**2 / 15.44)


def test_an_ending_that_nobody_told_of_changes_no_weight_and_is_stated():
    endings = {"cured": told(10, 10, fuse=10.0), "stopped": told(7, 0)}
    tally = Tally({"fuse": 10.0}, {("fuse", "look", "one"): 10.0}, endings)
    assert weighed(tally) == Tally(tally.causes, tally.answers)
    stopped = returns(tally)[1]
    assert (stopped.ending, stopped.unknown, stopped.rate, stopped.weight) == ("stopped", 7, 0.0, 0.0)


def test_one_report_out_of_very_many_does_not_drown_the_rest():
    endings = {"cured": told(1000, 1000, fuse=1000.0), "referred": told(10_000, 1, pump=1.0)}
    learned = weighed(Tally({"fuse": 1000.0, "pump": 1.0}, {}, endings))
    assert learned.causes == {"fuse": pytest.approx(1000 / MOST_APART), "pump": 1.0}


def test_a_case_confirmed_before_it_ended_has_the_rate_of_all_that_ended():
    """By hand: cures stand for 1, referrals for (39 + 1) / (9 + 1) = 4, all for (48 + 1) / (18 + 1)."""
    endings = {
        "cured": told(9, 9, fuse=9.0),
        "referred": told(39, 9, pump=9.0),
        "open": told(2, 2, board=2.0),
        "left-off": told(1, 1, fuse=1.0),
    }
    tally = Tally({"fuse": 10.0, "pump": 9.0, "board": 2.0}, {}, endings)
    assert {each.ending: each.weight for each in returns(tally)} == {
        "cured": pytest.approx(1 / 4),
        "referred": 1.0,
        "open": pytest.approx(49 / 19 / 4),
        "left-off": pytest.approx(49 / 19 / 4),
    }


def test_the_ranking_shows_how_many_cases_were_confirmed_not_what_they_weigh():
    endings = {"cured": told(10, 10, fuse=10.0), "referred": told(49, 9, pump=9.0)}
    model = build_model(TREE, tally=Tally({"fuse": 10.0, "pump": 9.0}, {}, endings))
    cases = {line.cause: line.cases for line in ranking(model, Situation())}
    assert (cases["fuse"], cases["pump"], cases["board"]) == (10.0, 9.0, 0.0)
    assert model.alpha[model.index["fuse"]] == pytest.approx(4 + 10 / 5)


def test_the_store_tells_what_the_weights_need(tmp_path):
    """From walks to the ranking: ten cures told, one referral told of five, two of each left untold."""
    now = datetime(2026, 3, 1, tzinfo=UTC)
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        for number in range(17):
            case = store.open_case("returns", "d", "owner", "", now)
            store.end_case(case, "cured" if number < 12 else "referred", now)
            if number < 10 or number == 16:
                store.confirm(case, "fuse" if number < 10 else "pump", now)
        tally = store.tally("returns", now)
    # (12 + 1) / (10 + 1) and (5 + 1) / (1 + 1) cases each.
    assert [each.weight for each in returns(tally)] == [pytest.approx(13 / 11 / 3), 1.0]
    model = build_model(TREE, tally=tally)
    added = model.alpha - build_model(TREE).alpha
    assert added[model.index["fuse"]] == pytest.approx(10 * 13 / 11 / 3)
    assert added[model.index["pump"]] == pytest.approx(1.0)


def test_half_life_reaches_the_ranking(tmp_path):
    """Ages 0.5, 1.5 and 3 years, half-life 2: .8409 + .5946 + .3536 = 1.7891 of three (worked by hand).

    Sums are kept by year, so the same ages as there are whole: cases of the middles of 2025, 2024 and 2023 at
    the start of 2026 are 0.5, 1.5 and 2.5 years old: .8409 + .5946 + .4204 = 1.8559.
    """
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        for year in (2025, 2024, 2023):
            then = datetime(year, 4, 1, tzinfo=UTC)
            case = store.open_case("returns", "d", "owner", "", then)
            store.end_case(case, "cured", then)
            store.confirm(case, "pump", then)
        new_year = datetime(2026, 1, 1, tzinfo=UTC)
        decayed, kept = store.tally("returns", new_year, 2.0), store.tally("returns", new_year)
    file, model = build_model(TREE), build_model(TREE, tally=decayed)
    at = model.index["pump"]
    assert model.alpha[at] - file.alpha[at] == pytest.approx(1.8559, abs=5e-5)
    # Only cases decay, the file's strength does not.
    assert np.delete(model.alpha, at) == pytest.approx(np.delete(file.alpha, at), rel=1e-12)
    assert build_model(TREE, tally=kept).alpha[at] - file.alpha[at] == pytest.approx(3.0)
    worked = Tally({"pump": 0.5**0.25 + 0.5**0.75 + 0.5**1.5})
    assert build_model(TREE, tally=worked).alpha[at] - file.alpha[at] == pytest.approx(1.7891, abs=5e-5)


# Merging --------------------------------------------------------------------------------------------------

counts = st.floats(0.01, 1e6)
ended_cases = st.builds(
    lambda causes, answers, untold: EndedCases(
        sum(causes.values()) + untold, sum(causes.values()), causes, answers
    ),
    st.dictionaries(st.sampled_from([*SHARES, "not-listed"]), counts, min_size=1, max_size=4),
    st.dictionaries(
        st.tuples(st.sampled_from(list(SHARES)), st.just("look"), st.sampled_from(["one", "two"])), counts
    ),
    st.floats(0, 100),
)
tallies = st.dictionaries(
    st.sampled_from(["cured", "referred", "stopped", "open"]), ended_cases, min_size=1
).map(lambda endings: merged(*(Tally(each.causes, each.answers, {id: each}) for id, each in endings.items())))


@settings(max_examples=40)
@given(st.lists(tallies, min_size=1, max_size=4), st.randoms())
def test_merging_is_the_same_in_any_order_to_the_last_digit(some, chance):
    mixed = list(some)
    chance.shuffle(mixed)
    assert merged(*mixed) == merged(*some)
    assert weighed(merged(*mixed)) == weighed(merged(*some))


@settings(max_examples=40)
@given(tallies, tallies)
def test_weights_never_make_more_cases_of_those_that_came_in(one, two):
    together = merged(one, two)
    learned = weighed(together)
    assert sum(learned.causes.values()) <= together.total * (1 + 1e-12)
    # Of one cause and check too: the effective number is at most the number (Cauchy-Schwarz).
    for id in SHARES:
        seen = sum(n for (h, _, _), n in together.answers.items() if h == id)
        assert sum(n for (h, _, _), n in learned.answers.items() if h == id) <= seen * (1 + 1e-9)


def test_a_tally_whose_endings_are_unknown_is_not_lost_in_a_merger():
    """By hand: cures stand for 1, referrals for (9 + 1) / (1 + 1) = 5, the unknown for (13 + 1) / (5 + 1)."""
    known = Tally(
        {"fuse": 4.0, "board": 1.0}, {}, {"cured": told(4, 4, fuse=4.0), "referred": told(9, 1, board=1.0)}
    )
    together = merged(known, Tally({"pump": 3.0}))
    assert together.causes == {"fuse": 4.0, "board": 1.0, "pump": 3.0}
    assert weighed(together).causes == {
        "fuse": pytest.approx(4 / 5),
        "board": 1.0,
        "pump": pytest.approx(3 * 14 / 6 / 5),
    }
    assert merged() == Tally()


def test_sums_that_tell_of_more_confirmed_cases_than_ended_weigh_as_if_all_came_back():
    endings = {"cured": told(2, 5, fuse=5.0), "referred": told(5, 5, pump=5.0)}
    assert [(each.weight, each.unknown) for each in returns(Tally(endings=endings))] == [(1.0, 0), (1.0, 0)]


def of_one_kind(tally):
    """The same sums, of whose endings nothing is known."""
    return Tally(tally.causes, tally.answers)


some_tallies = st.one_of(tallies, tallies.map(of_one_kind), st.just(Tally()))


def alike(one, other):
    """Equal but for the last digits of sums that were added in another order."""
    assert one.causes == pytest.approx(other.causes, rel=1e-12)
    assert one.answers == pytest.approx(other.answers, rel=1e-12)
    assert one.endings.keys() == other.endings.keys()
    for ending, each in one.endings.items():
        again = other.endings[ending]
        assert (each.ended, each.confirmed) == pytest.approx((again.ended, again.confirmed), rel=1e-12)
        assert each.causes == pytest.approx(again.causes, rel=1e-12)
        assert each.answers == pytest.approx(again.answers, rel=1e-12)


@settings(max_examples=40)
@given(some_tallies, some_tallies)
def test_two_workshops_may_merge_either_way_round(one, other):
    assert merged(one, other) == merged(other, one)


@settings(max_examples=40)
@given(some_tallies, some_tallies, some_tallies)
def test_of_three_workshops_any_two_may_merge_first(one, two, three):
    at_once = merged(one, two, three)
    alike(merged(merged(one, two), three), at_once)
    alike(merged(one, merged(two, three)), at_once)


@settings(max_examples=40)
@given(some_tallies)
def test_a_workshop_without_cases_adds_nothing(some):
    together = merged(some, Tally())
    assert (together.causes, together.answers) == (some.causes, some.answers)
    alike(together, merged(some))
    learned, alone = weighed(together), weighed(some)
    assert (learned.causes, learned.answers) == (alone.causes, alone.answers)
