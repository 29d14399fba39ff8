"""Learned figures: the worked posterior, the rule of what is clear, sums, comments, each case once."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library, shipped_folder
from diagnose.knowledge.loading import read_tree
from diagnose.reasoning.model import build_model
from diagnose.revising.fitting import Noted, fit
from diagnose.revising.fitting_cases import to_learn
from diagnose.revising.fitting_rounding import rounded
from diagnose.revising.fitting_text import Taken, fitted_text, noted_in, taken_into
from diagnose.terms import Settings, Tally
from tests.reasoning.by_hand import cause, check, content_of, do, faults, gate
from tests.reasoning.fleets import tree as fleet_tree
from tests.reasoning.made_up_trees import common, read
from tests.reviewing.made_up_past import fill
from tests.revising.past_cases import NOW, past_of, told

STORE = "0123456789abcdef"
TEXT = """\
symptom: It does not work
system: water
refer_to: workshop
cured_when: {ask: Does it work?}
faults:
  any_of:
    fuse:
      says: The fuse has blown
      hazard: none
      in_100: 40   # judged
      remedy: {do: Put it right, by: owner, hands: look, minutes: 8}
    pump: {says: Stuck, hazard: none, in_100: 25, remedy: {do: Turn it, by: owner, hands: look, minutes: 30}}
    wet:
      says: There is
        water in it
      hazard: none
      in_100: 30
      remedy: {refer: workshop}
checks:
  hum:
    ask: Does it hum?
    hands: look
    by: owner
    minutes: 2
    answers: {yes: It does, no: It does not}
    expect:
      fuse: {no: almost certain}
      otherwise: {yes: probable}
  drip:
    ask: Does it drip?
    hands: look
    by: owner
    minutes: 1
    answers: {yes: It does, no: It does not}
    expect: {wet: {yes: 0.7}, otherwise: {no: 0.9}}
sources: [judgement]
"""


def tree_of(text):
    tree, flaws = read_tree(text, "made-up.yaml", common(), id="made-up")
    assert tree is not None, flaws
    return tree


def tally(causes, answers=()):
    return Tally(
        {id: float(n) for id, n in causes.items()}, {key: float(n) for key, n in dict(answers).items()}
    )


def test_shares_are_the_posterior_of_the_worked_tree():
    """Three fuses and one pump by methods section 3 (own, by hand): .4583 .2500 .1667 .0833 .0417."""
    tree = read(content_of(faults(fuse=cause(40), pump=cause(25), pipe=cause(20), tank=cause(10))))
    # Four cases change nothing clearly; the same shares ten times over do.
    assert fit(tree, tally({"fuse": 3, "pump": 1}), at_least=1).shares == ()
    found = fit(tree, tally({"fuse": 180, "pump": 20}), at_least=1)
    alpha = [20 * 0.4 + 180, 20 * 0.25 + 20, 4.0, 2.0, 1.0]
    assert [each.new for each in found.shares] == pytest.approx([100 * a / 220 for a in alpha], abs=0.06)
    assert sum(each.new for each in found.shares) == pytest.approx(100)


@pytest.mark.parametrize("pumps", range(0, 61, 4))
def test_a_share_is_clearly_another_where_the_file_lies_outside_the_90_percent_range(pumps):
    """The range is that of scipy.stats.beta, a Dirichlet's marginal; near its ends the draws may differ."""
    tree = read(content_of(faults(fuse=cause(60), pump=cause(35))))
    found = fit(tree, tally({"fuse": 60 - pumps, "pump": pumps}), at_least=1)
    parts = {"fuse": (0.6, 60 - pumps), "pump": (0.35, pumps), "not-listed": (0.05, 0)}
    tails = [stats.beta.cdf(p, 20 * p + n, 80 - 20 * p - n) for p, n in parts.values()]
    if all(abs(tail - end) > 0.01 for tail in tails for end in (0.05, 0.95)):
        assert bool(found.shares) == any(not 0.05 < tail < 0.95 for tail in tails)


def test_too_few_cases_change_nothing():
    tree = tree_of(TEXT)
    many = tally({"pump": 40}, {("pump", "hum", "no"): 9})
    assert fit(tree, many, at_least=41).shares == ()
    assert fit(tree, many, at_least=40).shares != ()
    assert fit(tree, many, at_least=10).rows == ()
    assert [each.cause for each in fit(tree, many, at_least=9).rows] == ["pump"]


def test_a_row_is_the_plain_mean_and_sums_to_one():
    """(e P + n) / (e + n), methods section 4: ten cases' worth of .85 .15, and twelve answers of no."""
    (row,) = fit(tree_of(TEXT), tally({}, {("pump", "hum", "no"): 12})).rows
    assert row.new == {"yes": 0.39, "no": 0.61}
    assert row.new["yes"] == pytest.approx(8.5 / 22, abs=0.005)


@given(
    st.lists(st.floats(0.0, 100.0), min_size=1, max_size=20).filter(lambda parts: sum(parts) > 1),
    st.sampled_from([(100.0, 1), (1.0, 2), (95.0, 1)]),
)
def test_rounded_parts_sum_to_the_whole(parts, whole):
    total, digits = whole
    scaled = [part * total / sum(parts) for part in parts]
    found = rounded(scaled, total, digits)
    assert sum(found) == pytest.approx(total, abs=1e-9)
    assert all((new > 0) == (old > 0) for new, old in zip(found, scaled, strict=True))
    assert all(abs(new - old) < len(parts) * 10**-digits for new, old in zip(found, scaled, strict=True))


def learned(text=TEXT, causes=None, answers=None, noted=None, before=Taken(), store=STORE):  # noqa: B008
    tree = tree_of(text)
    sums = tally(
        causes or {"fuse": 5, "pump": 50, "not-listed": 5},
        answers or {("pump", "hum", "no"): 30, ("pump", "drip", "yes"): 12, ("wet", "drip", "no"): 20},
    )
    found = fit(tree, sums, noted=noted or Noted())
    return found, fitted_text(text, "made-up.yaml", found, before, store, datetime(2026, 3, 1, tzinfo=UTC))


def test_only_the_figures_change_each_with_its_count_beside_it():
    found, text = learned()
    assert len(found.shares) == 4
    assert "in_100: 16.2   # judged; 5 of 60 cases, to 2026\n" in text
    assert "minutes: 30}}  # 50 of 60 cases, to 2026\n" in text
    assert '      pump: {"yes": 0.21, "no": 0.79}  # no 30 of 30 cases, to 2026\n      otherwise:' in text
    assert "  # pump: yes 12 of 12 cases, to 2026; wet: no 20 of 20 cases, to 2026\n" in text
    assert "not_listed: 7.5  # 5 of 60 cases, to 2026\nfaults:" in text
    assert text.endswith(
        "sources: [judgement, "
        '"Shares and expectations learned from 60 confirmed cases of the store 01234567, '
        'up to 2026-03-01T00:00:01Z."]\n'
    )
    new = tree_of(text)
    assert sum(each.in_100 for each in new.causes()) + new.not_listed == pytest.approx(100)
    assert tree_of(text).advice == tree_of(TEXT).advice


def test_a_file_of_windows_keeps_its_line_ends_and_mark():
    _, plain = learned()
    _, text = learned("\ufeff" + TEXT.replace("\n", "\r\n"))
    assert text == "\ufeff" + plain.replace("\n", "\r\n")


def test_a_comment_never_goes_into_a_text():
    """The figure stands on a line that ends in the middle of a quoted text."""
    odd = TEXT.replace(
        "remedy: {do: Turn it, by: owner, hands: look, minutes: 30}}",
        'remedy: {do: "Turn\n      it", by: owner, hands: look, minutes: 30}}',
    )
    _, text = learned(odd)
    assert tree_of(text).events["pump"].remedy.text == "Turn it"
    assert tree_of(text).events["pump"].in_100 == 68.8
    assert "5 of 60 cases" in text
    assert "50 of 60 cases" not in text


@pytest.mark.parametrize(
    "said", ["seen in 3 of 10 cases, to 2019", "a;b  of 2 cases", "judged; see 4 of 5 cases, to 20"]
)
def test_what_an_author_wrote_beside_a_figure_stays(said):
    text = TEXT.replace("# judged", f"# {said}")
    assert "fuse" not in noted_in(text, tree_of(text)).shares
    _, once = learned(text)
    assert f"# {said}; 5 of 60 cases, to 2026\n" in once
    _, twice = learned(once, {"wet": 40}, noted=noted_in(once, tree_of(once)))
    assert f"# {said}; 5 of 100 cases, to 2026\n" in twice


def test_learning_in_two_goes_comes_to_the_same_as_in_one():
    first, second = {"fuse": 5, "pump": 50, "not-listed": 5}, {"fuse": 30, "wet": 40}
    _, text = learned(causes=first, answers={("pump", "hum", "no"): 30})
    before = taken_into(tree_of(text).sources, STORE)
    assert (before.cases, before.everywhere) == (60, 60)
    assert before.up_to == datetime(2026, 3, 1, 0, 0, 1, tzinfo=UTC)
    noted = noted_in(text, tree_of(text))
    assert noted.shares["pump"] == (50, 60)
    assert noted.rows["hum", "pump"] == {"no": 30}
    noted = Noted(noted.shares, noted.rows, 60.0)
    _, twice = learned(text, second, {("pump", "hum", "yes"): 40}, noted, before)
    both = {id: first.get(id, 0) + second.get(id, 0) for id in ("fuse", "pump", "wet", "not-listed")}
    _, once = learned(causes=both, answers={("pump", "hum", "no"): 30, ("pump", "hum", "yes"): 40})
    for id in ("fuse", "pump", "wet"):
        assert tree_of(twice).events[id].in_100 == pytest.approx(tree_of(once).events[id].in_100, abs=0.2)
    rows = [tree_of(each).checks["hum"].expect["pump"] for each in (twice, once)]
    assert rows[0] == pytest.approx(rows[1], abs=0.011)
    assert "50 of 130 cases, to 2026" in twice
    assert "yes 40, no 30 of 70 cases, to 2026" in twice
    assert twice.count("learned from 130 confirmed cases") == 1
    assert twice.count("to 2026") == once.count("to 2026")


def test_another_store_gets_a_line_of_its_own():
    _, text = learned()
    other = taken_into(tree_of(text).sources, "fedcba9876543210")
    assert (other.everywhere, other.cases, other.up_to) == (60, 0, None)
    noted = Noted(cases=60.0)
    _, text = learned(text, noted=noted, before=other, store="fedcba9876543210")
    assert len(tree_of(text).sources) == 3


def test_cases_that_went_in_are_not_taken_again(tmp_path):
    past = [told(day, "pump", [("finding", "hum", "no")]) for day in range(1, 13)]
    tree = tree_of(TEXT)
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        fill(store, past)
        first = to_learn(store, tree, Settings(), NOW, None)
        assert (first.cases, first.before, first.up_to) == (12, 0, past[-1].on)
        assert first.tally.causes == {"pump": 12.0}
        assert first.tally.answers == {("pump", "hum", "no"): 12.0}
        again = to_learn(store, tree, Settings(), NOW, first.up_to)
        assert (again.cases, again.before, again.up_to) == (0, 12, None)
        later = to_learn(store, tree, Settings(), NOW, past[4].on + timedelta(seconds=1))
        assert (later.cases, later.before) == (7, 5)


def test_what_a_case_weighs_is_what_the_ranking_gives_it(tmp_path):
    """The sums of a first fit are those of the store, so its shares are those of a walk there."""
    tree = fleet_tree()
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        fill(store, past_of(tree, 60, 4))
        own = to_learn(store, tree, Settings(), NOW, None).tally
        kept = store.tally(tree.id, NOW)
    assert build_model(tree, tally=own).alpha == pytest.approx(build_model(tree, tally=kept).alpha)
    assert build_model(tree, tally=own).alpha.sum() > 25


def test_the_second_time_only_later_cases_tell_what_comes_back(tmp_path):
    """Referrals that nobody told of before the first time have nothing to say of the second."""
    past = [told(day, "pump", [], state="cured") for day in range(1, 5)]
    past += [told(day, "wet", [], state="referred") for day in range(5, 9)]
    silent = [
        replace(each, on=None, record=replace(each.record, case=at, confirmed=False, cause=""))
        for at, each in enumerate(past[4:], start=20)
    ]
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        fill(store, past + silent)
        first = to_learn(store, tree_of(TEXT), Settings(), NOW, None).tally.endings
        assert {id: (each.ended, each.confirmed) for id, each in first.items()} == {
            "cured": (4, 4),
            "referred": (8, 4),
        }
        later = to_learn(store, tree_of(TEXT), Settings(), NOW, past[5].on).tally.endings
        assert (later["referred"].ended, later["referred"].confirmed) == (4, 2)


# Safety -----------------------------------------------------------------------------------------------------


def hazardous(hazard, **checks):
    return read(
        content_of(
            faults(
                branch=gate("any_of", loose=cause(50, {"refer": "gas-engineer"}, hazard=hazard)),
                other=cause(45),
            ),
            checks,
            ask_first=["smell-of-gas", "co-alarm"],
        )
    )


def test_under_gas_counting_makes_no_check_one_of_its_causes():
    """Naming a cause makes a check theirs, and a walk would go on asking where it has to refer (rule 3)."""
    answers = {("loose", "look", "two"): 40, ("other", "look", "two"): 40}
    tree = hazardous("gas", look=check(expect={"otherwise": {"one": 0.9}}))
    found = fit(tree, tally({}, answers))
    assert [each.cause for each in found.rows] == ["other"]
    assert found.left == (
        "what look expects of loose: under gas and mains only an author may name a cause in a check",
    )
    named = hazardous("gas", look=check(expect={"branch": {"one": 0.9}}))
    assert "loose" in {each.cause for each in fit(named, tally({}, answers)).rows}


def test_counting_gives_no_check_another_hazard():
    tree = hazardous("infection", look=check(hands="controls", expect={"otherwise": {"one": 0.9}}))
    found = fit(tree, tally({}, {("loose", "look", "two"): 40}))
    assert found.rows == ()
    assert found.left == (
        "what look expects of loose: an entry of its own would give the check other hazards",
    )


def test_what_is_always_asked_first_is_never_learned():
    tree = hazardous("gas", look=check())
    found = fit(
        tree, tally({}, {("other", "smell-of-gas", "no"): 60, ("other", "co-alarm", "none-fitted"): 60})
    )
    assert found.rows == ()


def test_a_share_of_causes_together_is_learned_where_it_stands():
    tree = read(
        content_of(
            faults(both=gate("all_of", 30, wet=cause(), frost=cause()), worn=cause(35), loose=cause(30, do()))
        )
    )
    found = fit(tree, tally({"wet+frost": 60, "worn": 10}))
    assert [each.id for each in found.shares] == ["both", "worn", "loose", "not-listed"]
    assert found.shares[0].new == pytest.approx(100 * 66 / 90, abs=0.06)


@pytest.mark.parametrize("id", ["water-pump", "heater-no-fire", "damp-musty"])
def test_a_shipped_tree_with_learned_figures_has_no_flaw_and_no_new_advice(id):
    library = Library()
    tree = library.tree(id)
    text = (shipped_folder() / f"{id}.yaml").read_text(encoding="utf-8")
    model = build_model(tree, "technician")
    causes = {each: 3.0 * (at + 1) for at, each in enumerate(model.ids)}
    answers = {
        (each, check.id, answer): 5.0 * (at % 3 + 1)
        for at, each in enumerate(model.ids)
        for check in tree.checks.values()
        for answer in check.answer_ids()[:2]
    }
    found = fit(tree, Tally(causes, answers))
    after = fitted_text(text, tree.file, found, Taken(), STORE, NOW)
    again, flaws = read_tree(after, tree.file, library.common(), id=id, known=frozenset(library.ids()))
    assert flaws == ()
    assert len(found.rows) > 10
    assert [each.name for each in again.advice] == [each.name for each in tree.advice]
    assert after.count("cases, to 2026") >= len(found.rows)
