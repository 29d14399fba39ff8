"""Which cases a review scores, tree by tree, and from when on what other stores knew counts."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from diagnose.cases.counting import confirmed_elsewhere
from diagnose.cases.duplicates import counted_twice
from diagnose.cases.store import open_store
from diagnose.cases.sums import add_to_sums
from diagnose.cases.tables import answer_sums, cause_sums, merged, unconfirmed_sums
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.reviewing.scoring import Wanted, review
from diagnose.terms import Settings
from diagnose.walking.past import read_past
from tests.reviewing.made_up_past import fill
from tests.reviewing.plainly import EVERYBODY, in_order, shares_of


def test_since_scores_later_cases_alone_yet_learns_from_all(tree, past_of, scored):
    past = past_of(40, 9, told=EVERYBODY)
    cases = in_order(past)
    since = cases[25].on
    told = scored(past, since=since)
    assert told.overall.cases == 15
    truths = [each.record.cause for each in cases]
    shares = [shares_of(tree, past, each) for each in cases[25:]]
    ids = [*("+".join(each) for each in tree.cut_sets), "not-listed"]
    losses = [-np.log(share[ids.index(of)]) for share, of in zip(shares, truths[25:], strict=True)]
    assert told.overall.learned.log_loss.value == pytest.approx(np.mean(losses))
    assert told.since == since
    assert scored(past, since=cases[-1].on + timedelta(seconds=1)).overall is None


def test_an_empty_store_has_nothing_to_score(scored):
    told = scored([])
    assert (told.overall, told.trees, told.course, told.left_out) == (None, (), (), ())


def test_what_cannot_be_scored_is_named(past_of, scored):
    past = past_of(14, 10, told=EVERYBODY)
    records = [each.record for each in past]
    records[0:2] = [replace(each, symptom="unknown") for each in records[0:2]]
    records[2:5] = [replace(each, cause="gone") for each in records[2:5]]
    records[5] = replace(records[5], tree_digest="older")
    records[6] = replace(records[6], tree_digest="")
    told = scored([replace(each, record=record) for each, record in zip(past, records, strict=True)])
    assert told.overall.cases == 9
    assert [(each.symptom, each.cause, each.cases, each.reason) for each in told.left_out] == [
        ("fleet", "gone", 3, "no-place"),
        ("unknown", "", 2, "no-tree"),
    ]
    assert "there is no symptom" in told.left_out[1].told
    assert told.trees[0].earlier_file == 1


def test_each_tree_is_scored_by_itself_and_counts_for_its_cases(past_of, scored):
    """Two trees alike; of one, half the outcomes are known, and each of those counts about twice."""
    past = past_of(120, 11, told={"cured": 0.5, "referred": 0.5, "stopped": 0.5})
    twins = [
        replace(each, record=replace(each.record, symptom="twin", case=each.record.case + 1000))
        for each in past_of(60, 12, told=EVERYBODY)
    ]
    told = scored([*past, *twins])
    one, two = scored(past).overall, scored(twins).overall
    assert {each.symptom: each.figures.cases for each in told.trees} == {"fleet": one.cases, "twin": 60}
    over = [len(past), len(twins)]
    mixed = np.average([one.learned.log_loss.value, two.learned.log_loss.value], weights=over)
    assert told.overall.learned.log_loss.value == pytest.approx(mixed)
    of_twin = scored([*past, *twins], symptoms=("twin",))
    assert [each.symptom for each in of_twin.trees] == ["twin"]
    assert of_twin.overall.learned.log_loss.value == pytest.approx(two.learned.log_loss.value)


def test_what_other_stores_know_counts_from_its_arrival_on(tree, model, past_of, scored):
    past = past_of(20, 13, told=EVERYBODY)
    cases = in_order(past)
    arrived = cases[8].on - timedelta(seconds=1)

    def merge(store):
        with store.writing() as connection:
            row = {"origin": "a" * 16, "number": 1, "digest": "", "received": arrived}
            connection.execute(merged.insert(), row)
            sums = {("fleet", "pump", 2024, "cured"): 200, ("fleet", "gone", 2024, "cured"): 3}
            add_to_sums(connection, cause_sums, sums, "a" * 16)
            add_to_sums(
                connection, answer_sums, {("fleet", "pump", "hum", "no", 2024, "cured"): 90}, "a" * 16
            )
            add_to_sums(connection, unconfirmed_sums, {("fleet", 2024, "cured"): 5}, "a" * 16)

    plain, other = scored(past).overall, scored(past, before=merge).overall
    assert plain.learned != other.learned
    assert plain.by_file == other.by_file
    early = [each for each in past if each.on < arrived]
    assert scored(early, before=merge).overall == scored(early).overall
    # Those before its arrival are as they were in the whole run, too.
    late = scored(past, before=merge, since=arrived).overall
    parts = [(each.cases, each.learned.log_loss.value) for each in (scored(early).overall, late)]
    assert other.learned.log_loss.value * 20 == pytest.approx(sum(n * mean for n, mean in parts))


def test_a_ranking_after_a_merge_is_that_of_the_store(tree, model, past_of, tmp_path, without_minutes):
    """The last case is opened and told after the merge; the store's own sums by then say the same of it."""
    past = past_of(20, 13)
    now = max(each.on for each in past if each.on) + timedelta(days=1000)
    last = replace(
        past[0],
        on=now,
        record=replace(
            past[0].record, case=999, state="open", opened=now, confirmed=True, cause="pump", referral=""
        ),
    )
    with open_store(str(tmp_path / "merged.sqlite")) as store:
        fill(store, past)
        with store.writing() as connection:
            origin = "b" * 16
            row = {"origin": origin, "number": 1, "digest": "", "received": now - timedelta(days=1)}
            connection.execute(merged.insert(), row)
            add_to_sums(connection, cause_sums, {("fleet", "pump", 2020, "referred"): 30}, origin)
            add_to_sums(
                connection, answer_sums, {("fleet", "pump", "hum", "yes", 2020, "referred"): 25}, origin
            )
            add_to_sums(connection, unconfirmed_sums, {("fleet", 2020, "referred"): 70}, origin)
        tallies = {half_life: store.tally("fleet", now, half_life) for half_life in (None, 2.0)}
        fill(store, [last])
        for half_life, tally in tallies.items():
            settings = Settings(half_life=half_life)
            made = build_model(tree, settings=settings, tally=tally)
            wanted = posterior(made, read_past(tree, last.record.entries).situation)
            told = review(store, Wanted(lambda _: tree, settings, since=now)).overall
            assert told.cases == 1
            assert told.learned.log_loss.value == pytest.approx(-np.log(wanted[model.index["pump"]]))


def test_the_first_case_of_a_tree_that_others_knew_before(tree, model, past_of, tmp_path, without_minutes):
    only = past_of(5, 13, told=EVERYBODY)[0]
    with open_store(str(tmp_path / "first.sqlite")) as store:
        with store.writing() as connection:
            row = {"origin": "c" * 16, "number": 1, "digest": "", "received": only.record.opened}
            connection.execute(merged.insert(), row)
            add_to_sums(connection, cause_sums, {("fleet", "empty", 2020, "cured"): 30}, "c" * 16)
        tally = store.tally("fleet", only.on)
        fill(store, [only])
        told = review(store, Wanted(lambda _: tree)).overall
    situation = read_past(tree, only.record.entries).situation
    wanted = posterior(build_model(tree, tally=tally), situation)[model.index[only.record.cause]]
    assert told.learned.log_loss.value == pytest.approx(-np.log(wanted))
    assert told.learned.log_loss.value != pytest.approx(told.by_file.log_loss.value)


@pytest.mark.parametrize("half_life", [None, 2.0])
def test_a_case_by_code_and_in_a_merged_export_counts_once(
    tree, model, past_of, tmp_path, without_minutes, half_life
):
    """What is learned comes to the store's own sums, where such a case counts once (docs/store.md)."""
    past = in_order(past_of(40, 13))
    now = max(each.on for each in past if each.on) + timedelta(days=1000)
    origin = "d" * 16
    by_code = [
        replace(each, record=replace(each.record, source=origin[:4], source_case=str(each.record.case)))
        for each in past
    ]
    last = replace(
        past[0],
        on=now,
        record=replace(
            past[0].record, case=999, state="open", opened=now, confirmed=True, cause="pump", referral=""
        ),
    )
    year = past[0].record.opened.year
    with open_store(str(tmp_path / "by-code.sqlite")) as store:
        fill(store, by_code)
        with store.writing() as connection:
            # Half of them came before the export; what it says of them is the same, unknown or another cause.
            row = {"origin": origin, "number": 1, "digest": "", "received": past[20].on}
            connection.execute(merged.insert(), row)
            causes = {("fleet", cause, year, "cured"): 9 for cause in ("pump", "empty")}
            add_to_sums(connection, cause_sums, causes, origin)
            add_to_sums(connection, unconfirmed_sums, {("fleet", year, "referred"): 5}, origin)
        tally = store.tally("fleet", now, half_life)
        with store.reading() as connection:
            twice = list(counted_twice(connection))
            elsewhere = confirmed_elsewhere(connection, "fleet")
        fill(store, [last])
        settings = Settings(half_life=half_life)
        told = review(store, Wanted(lambda _: tree, settings, since=now)).overall
    assert {bool(each.cause) for each in twice} == {True, False}
    assert elsewhere == 18 - sum(bool(each.cause) for each in twice)
    situation = read_past(tree, last.record.entries).situation
    wanted = posterior(build_model(tree, settings=settings, tally=tally), situation)[model.index["pump"]]
    assert told.learned.log_loss.value == pytest.approx(-np.log(wanted))
