"""Past cases over two trees: each by a model made anew from all other cases, its route by recursion."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from diagnose.cases.journal import counted_answers
from diagnose.cases.store import open_store
from diagnose.cases.sums import OVER, add_to_sums, weight
from diagnose.cases.tables import cause_sums, merged
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.revising import replaying_book, replaying_side
from diagnose.revising.replaying import NotTwoVersions, Wanted, nothing_replayed, replay
from diagnose.terms import EndedCases, Settings, Tally
from diagnose.walking.past import read_past
from tests.cases.conftest import postgresql_url, server  # noqa: F401 - fixtures
from tests.reasoning.by_hand import cause, check, content_of, faults, gate
from tests.reasoning.fleets import tree as fleet_tree
from tests.reasoning.made_up_trees import read
from tests.reviewing.made_up_past import fill
from tests.revising.past_cases import NOW, past_of, told


def with_endings(past):
    """The same cases, of which those that were cured are told of more often than the others."""
    return [
        replace(each, record=replace(each.record, state="cured"))
        if each.record.case % 2 and each.on is not None
        else each
        for each in past
    ]


# Each case left out -----------------------------------------------------------------------------------------


def tally_without(past, left, settings):
    """The sums of all cases but one, by plain loops."""
    causes, answers, ended, confirmed = defaultdict(Counter), defaultdict(Counter), Counter(), Counter()
    for each in past:
        record = each.record
        count = weight(record.opened.year, NOW, settings.half_life)
        if each is left or (each.on is None and record.state not in OVER):
            continue
        ended[record.state] += count
        if each.on is not None:
            confirmed[record.state] += count
            causes[record.state][record.cause] += count
            for id, answer in counted_answers(record.entries).items():
                answers[record.state][record.cause, id, answer] += count
    endings = {id: EndedCases(ended[id], confirmed[id], causes[id], answers[id]) for id in ended}
    return Tally(sum(causes.values(), Counter()), sum(answers.values(), Counter()), endings)


def shares_without(tree, past, case, settings):
    model = build_model(tree, "technician", settings, tally_without(past, case, settings))
    return posterior(model, read_past(tree, case.record.entries).situation), model.index[case.record.cause]


@pytest.mark.parametrize("half_life", [None, 1.5])
def test_each_case_is_judged_by_a_model_made_anew_from_all_others(replayed, half_life):
    tree, settings = fleet_tree(), Settings(half_life=half_life)
    other = replace(tree, strength=60.0)
    past = with_endings(past_of(tree, 90, 3))
    confirmed = [each for each in past if each.on is not None]
    assert 25 < len(confirmed) < 90
    found = replayed(past, tree, other, settings)
    for score, ranks, of in ((found.loss.old, found.rank.old, tree), (found.loss.new, found.rank.new, other)):
        said = [shares_without(of, past, each, settings) for each in confirmed]
        assert score.value == pytest.approx(np.mean([-np.log(s[t]) for s, t in said]), rel=1e-10)
        places = [list(np.argsort(-s, kind="stable")).index(t) + 1 for s, t in said]
        assert ranks.value == pytest.approx(np.mean(places))


def test_a_case_alone_is_judged_by_the_file():
    tree = fleet_tree()
    one = told(1, "pump", [("finding", "hum", "yes")])
    side, _ = replaying_side.sides(tree, tree, Settings(), frozenset(), None)
    side.learn(tally_without([one], None, Settings()), [])
    said = side.said(one.record, ("cured", 1.0))
    model = build_model(tree, "technician")
    situation = read_past(tree, one.record.entries).situation
    assert said.share == pytest.approx(posterior(model, situation)[model.index["pump"]], rel=1e-12)


def test_equal_cases_are_worked_out_once_and_count_each(replayed, monkeypatch):
    tree = fleet_tree()
    past = past_of(tree, 30, 5)
    twice = [
        *past,
        *(replace(each, record=replace(each.record, case=each.record.case + 100)) for each in past),
    ]
    once = replayed(twice, tree, replace(tree, strength=90.0))
    assert once.different <= once.cases // 2
    monkeypatch.setattr(replaying_book, "_key", lambda record, group: str(record.case).encode())
    each = replayed(twice, tree, replace(tree, strength=90.0))
    assert each.different == each.cases == once.cases
    assert (each.loss, each.rank, each.minutes) == (once.loss, once.rank, once.minutes)


def test_the_same_tree_twice_makes_no_difference(replayed):
    tree = fleet_tree()
    found = replayed(past_of(tree, 40), tree, tree)
    for each in (found.loss, found.rank, found.minutes):
        assert (each.better, each.worse, each.differing, each.verdict) == (0, 0, 0, "alike")
    assert found.worse == ()


# Two versions -----------------------------------------------------------------------------------------------


def before():
    return read(
        content_of(
            faults(worn=cause(40), loose=cause(30), gone=cause(25)),
            {"look": check(expect={"worn": {"one": 0.8}}), "smell": check(expect={"loose": {"one": 0.7}})},
        )
    )


def after():
    return read(
        content_of(
            faults(rusty=cause(40, was=["worn"]), branch=gate("any_of", loose=cause(30), frost=cause(25))),
            {
                "glance": check(was=["look"], expect={"rusty": {"one": 0.8}, "frost": {"two": 0.9}}),
                "hear": check(expect={"loose": {"one": 0.7}}),
            },
        )
    )


def test_ids_are_led_both_ways_and_what_has_no_place_is_told(replayed):
    past = [
        told(1, "worn", [("finding", "look", "one")]),
        told(2, "rusty", [("finding", "glance", "one")]),
        told(3, "frost", [("finding", "glance", "two"), ("finding", "hear", "one")]),
        told(4, "gone", [("finding", "smell", "one"), ("finding", "look", "not-sure")]),
        told(5, "never", [("finding", "look", "one")]),
        told(6, "not-listed", []),
    ]
    found = replayed(past, before(), after())
    assert (found.cases, found.left_out, found.not_listed) == (5, (("never", 1),), 1)
    assert found.new_causes == ("frost",)
    assert (found.old.unlisted, found.new.unlisted) == ((("frost", 1),), (("gone", 1),))
    assert (found.old.not_asked, found.old.cases_not_asked) == ((("hear", 1),), 1)
    assert (found.new.not_asked, found.new.cases_not_asked) == ((("smell", 1),), 1)
    first, second = replaying_side.sides(before(), after(), Settings(), frozenset(), None)
    for side, own in ((first, "worn"), (second, "rusty")):
        both = [side.said(each.record, ("cured", 1.0)) for each in past[:2]]
        assert side.tree.events[own].gate is None
        assert both[0].share == both[1].share > 0.5
        assert both[0].rank == both[1].rank == 1


def test_a_cause_that_one_tree_does_not_know_is_learned_as_not_listed_there():
    cases = [told(day, "frost", [("finding", "glance", "two")]) for day in range(1, 9)]
    old, new = replaying_side.sides(before(), after(), Settings(), frozenset(), None)
    tally = tally_without(cases, None, Settings())
    old.learn(tally, ["frost"])
    new.learn(tally, [])
    # Seven others of eight: twenty of the file, five in a hundred of them not listed, and seven.
    alpha = 20 * 5 / 100 + 7
    learned = build_model(before(), "technician", tally=Tally({"not-listed": 7.0}))
    assert learned.prior[-1] == pytest.approx(alpha / 27)
    assert np.exp(old._shares.log_prior(("cured", 1.0), 3))[-1] == pytest.approx(alpha / 27)
    assert new.said(cases[0].record, ("cured", 1.0)).rank == 1


def test_trees_without_a_common_cause_are_no_two_versions():
    other = read(content_of(faults(wet=cause(95))))
    with pytest.raises(NotTwoVersions, match="no cause in common; replay compares two versions of one tree"):
        nothing_replayed(Wanted(before(), other))
    assert nothing_replayed(Wanted(before(), after())).cases == 0


def test_cases_that_got_worse_are_named_the_most_first(replayed):
    good, bad = before(), replace(before(), strength=20.0)
    checks = dict(bad.checks)
    checks["look"] = replace(checks["look"], expect={"worn": {"one": 0.1, "two": 0.9}})
    bad = replace(bad, checks=checks)
    past = [told(day, "worn" if day < 5 else "loose", [("finding", "look", "one")]) for day in range(1, 8)]
    found = replayed(past, good, bad)
    assert {each.case for each in found.worse} >= {1, 2, 3, 4}
    losses = [max((w.new_loss - w.old_loss) / 0.1, w.new_minutes - w.old_minutes) for w in found.worse]
    assert losses == sorted(losses, reverse=True)
    assert found.loss.worse >= 4


def test_cases_of_other_workshops_are_learned_from_and_told(replayed):
    def merge(store):
        with store.writing() as connection:
            received = datetime(2026, 5, 1, tzinfo=UTC)
            connection.execute(
                merged.insert(), {"origin": "elsewhere", "number": 1, "digest": "", "received": received}
            )
            add_to_sums(connection, cause_sums, {("made-up", "gone", 2025, "cured"): 40}, "elsewhere")

    alone = replayed([told(1, "worn", [])], before(), after())
    found = replayed([told(1, "worn", [])], before(), after(), before=merge)
    assert (alone.merged, found.merged, found.cases) == (0, 40, 1)
    assert found.loss.old.value > alone.loss.old.value


def test_a_shared_store_tells_the_same(replayed, postgresql_url):  # noqa: F811
    """Real PostgreSQL beside real SQLite."""
    tree, other = fleet_tree(), replace(fleet_tree(), strength=60.0)
    past = past_of(tree, 40, 6)
    own = replayed(past, tree, other)
    with open_store(postgresql_url) as store:
        fill(store, past)
        assert replay(store, Wanted(tree, other), NOW) == own


def test_two_files_of_other_names_take_the_cases_of_both(replayed):
    """A copy under another name has no cases of its own: those of the tree that it was copied from count."""
    past = [told(1, "worn", [("finding", "look", "one")]), told(2, "loose", [])]
    moved = [replace(past[1], record=replace(past[1].record, symptom="made-up-new"))]
    found = replayed([past[0], *moved], before(), replace(before(), id="made-up-new"))
    assert (found.cases, found.merged) == (2, 0)


def test_a_name_that_could_mean_two_things_means_neither(replayed):
    joined = read(content_of(faults(both=cause(60, was=["worn", "loose"]), gone=cause(35))))
    found = replayed([told(1, "both", []), told(2, "worn", []), told(3, "gone", [])], before(), joined)
    assert found.old.unlisted == (("both", 1),)
    assert found.new.unlisted == ()


def test_of_equal_shares_the_earlier_stands_in_front():
    tree = read(content_of(faults(one=cause(40), two=cause(40), three=cause(15))))
    side, _ = replaying_side.sides(tree, tree, Settings(), frozenset(), None)
    ranks = [side.said(told(1, id, []).record, ("cured", 1.0)).rank for id in ("one", "two", "three")]
    assert ranks == [1, 2, 3]


def test_cases_of_owner_and_technician_are_not_alike(replayed):
    past = [told(1, "worn", []), told(2, "worn", [], role="technician"), told(3, "worn", [])]
    assert replayed(past, before(), after()).different == 2
