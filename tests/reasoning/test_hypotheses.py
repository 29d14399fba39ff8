"""Cut sets as what may be wrong: how often, what is done about them, and what they lead one to see.

Every expected figure is worked out by hand beside it from the rules of the tree format.
"""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.reasoning.hypotheses import hypotheses
from tests.reasoning.by_hand import cause, do, faults, gate, model_of
from tests.reasoning.made_up_trees import OTHER_TREES


def in_100(model):
    return {each.id: each.in_100 for each in model.hypotheses}


# How often ------------------------------------------------------------------------------------------------


def test_single_causes_have_their_own_share_and_not_listed_that_of_the_tree():
    model = model_of(faults(a=cause(30), b=cause(10)), not_listed=8)
    assert in_100(model) == {"a": 30, "b": 10, "not-listed": 8}
    assert model.prior == pytest.approx([30 / 48, 10 / 48, 8 / 48])


def test_not_listed_is_five_in_a_hundred_unless_said():
    assert in_100(model_of(faults(a=cause(30), b=cause(10))))["not-listed"] == 5


def test_without_a_share_of_the_event_it_is_the_product_of_the_causes_chances():
    model = model_of(faults(pair=gate("all_of", a=cause(20), b=cause(30)), c=cause(40)))
    assert in_100(model) == pytest.approx({"a+b": 6, "c": 40, "not-listed": 5})


def test_the_events_share_goes_before_the_causes_own():
    model = model_of(faults(pair=gate("all_of", 25, a=cause(20), b=cause(30)), c=cause(40)))
    assert in_100(model) == pytest.approx({"a+b": 25, "c": 40, "not-listed": 5})


def test_several_cut_sets_of_one_event_share_by_the_products_of_their_chances():
    either = gate("any_of", b=cause(30), c=cause(10))
    model = model_of(faults(pair=gate("all_of", 24, a=cause(50), either=either), d=cause(40)))
    # a and b .5 x .3 = .15, a and c .5 x .1 = .05: three quarters and one quarter of 24.
    assert in_100(model) == pytest.approx({"a+b": 18, "a+c": 6, "d": 40, "not-listed": 5})


def test_causes_without_a_share_count_equal():
    either = gate("any_of", b=cause(), c=cause(), d=cause())
    model = model_of(faults(pair=gate("all_of", 24, a=cause(), either=either), e=cause(40)))
    assert in_100(model) == pytest.approx({"a+b": 8, "a+c": 8, "a+d": 8, "e": 40, "not-listed": 5})


def test_a_cause_without_a_share_counts_as_certain_beside_one_that_has_one():
    either = gate("any_of", b=cause(), c=cause(50), d=gate("all_of", e=cause(50), f=cause(50)))
    model = model_of(faults(pair=gate("all_of", 35, a=cause(), either=either), g=cause(40)))
    # 1, .5 and .5 x .5 = .25: in 35, twenty, ten and five. That one set is of three says no more.
    expected = {"a+b": 20, "a+c": 10, "a+e+f": 5, "g": 40, "not-listed": 5}
    assert in_100(model) == pytest.approx(expected, rel=1e-12)


def test_the_outermost_of_two_events_with_a_share_rules():
    inner = gate("all_of", 30, a=cause(), b=cause())
    model = model_of(faults(outer=gate("all_of", 12, inner=inner, c=cause()), d=cause(40)))
    assert in_100(model) == pytest.approx({"a+b+c": 12, "d": 40, "not-listed": 5})


def test_an_event_shared_by_two_gates_gives_each_its_cut_set():
    first = gate("all_of", a=cause(50), b=cause(20))
    second = gate("all_of", 9, a={}, c=cause(30))
    model = model_of(faults(first=first, second=second, d=cause(40)))
    assert in_100(model) == pytest.approx({"a+b": 10, "a+c": 9, "d": 40, "not-listed": 5})


def test_a_set_that_holds_another_is_no_hypothesis():
    pair = gate("all_of", 15, a=cause(20), b=cause(30))
    model = model_of(faults(pair=pair, more=gate("all_of", 10, a={}, b={}, c=cause(50))))
    assert in_100(model) == pytest.approx({"a+b": 15, "not-listed": 5})


def test_a_cause_that_also_suffices_alone_takes_its_own_share():
    model = model_of(faults(a=cause(20), pair=gate("all_of", 15, a={}, b=cause(30)), c=cause(10)))
    assert in_100(model) == pytest.approx({"a": 20, "c": 10, "not-listed": 5})


# What is done ---------------------------------------------------------------------------------------------


def of(model, id):
    return model.hypotheses[model.index[id]]


def test_a_cut_set_is_put_right_by_all_its_remedies_at_once():
    a = cause(20, do(minutes=4, wait=10, price=3, cures=0.5, at="cab", restores="mains"))
    b = cause(20, do(minutes=6, wait=20, price=4, cures=0.8, at="cab", hands="controls"))
    model = model_of(faults(pair=gate("all_of", a=a, b=b), c=cause(40)))
    pair = of(model, "a+b")
    assert (pair.ending, pair.minutes, pair.wait, pair.price) == ("do", 10, 30, 7)
    assert (pair.places, pair.hands, pair.restores_mains) == (("cab",), "controls", True)
    assert pair.cures == pytest.approx(1 - 0.5 * 0.2)
    table = model.remedies[model.remedy_index["a+b"]]
    assert table.cost == pytest.approx(10 + 30 * 0.05 + 7 / 0.5)


def test_a_referral_among_its_remedies_makes_a_cut_set_a_referral():
    pair = gate("all_of", 15, a=cause(), b=cause(remedy={"refer": "recovery"}))
    model = model_of(faults(pair=pair, c=cause(40)))
    assert (of(model, "a+b").ending, of(model, "a+b").target) == ("refer", "recovery")
    assert set(model.remedy_index) == {"c"}
    recovery = next(each for each in model.endings if each.step.of == "recovery")
    assert recovery.serves.tolist() == [1, 0, 0]


def test_a_cut_set_of_several_causes_is_never_handed_over():
    other = {"see": OTHER_TREES[0]}
    model = model_of(faults(a=cause(10, other), pair=gate("all_of", 15, b=cause(), c=cause(remedy=other))))
    assert of(model, "a").ending == "see"
    assert of(model, "b+c").ending == "none"
    assert [each.step.of for each in model.endings if each.step.kind == "handover"] == [OTHER_TREES[0]]


def test_what_is_for_a_technician_is_no_step_of_an_owner():
    qualified = do(by="technician", cures=0.8)
    pair = gate("all_of", 15, a=cause(), b=cause(remedy=qualified))
    tree = faults(pair=pair, c=cause(40, qualified), d=cause(5))
    assert set(model_of(tree).remedy_index) == {"d"}
    assert set(model_of(tree, role="technician").remedy_index) == {"a+b", "c", "d"}


def test_a_cut_set_is_told_by_all_its_causes_and_what_is_not_listed_in_words():
    model = model_of(
        faults(pair=gate("all_of", 15, a=cause(says="Dry"), b=cause(says="It leaks")), c=cause(40))
    )
    assert of(model, "a+b").says == "Dry and It leaks"
    assert of(model, "not-listed").says == "Something that is not listed here"


def test_a_step_has_the_hazards_of_every_cause_and_of_every_remedy_of_its_cut_set():
    a, b = cause(hazard="gas"), cause(remedy=do(hazard="mains"))
    first = ["smell-of-gas", "co-alarm", "mains-harmed"]
    model = model_of(faults(pair=gate("all_of", 15, a=a, b=b), c=cause(40)), ask_first=first)
    assert of(model, "a+b").hazards == {"gas"}
    assert of(model, "a+b").step_hazards == {"gas", "mains"}
    assert of(model, "c").step_hazards == of(model, "c").hazards == frozenset()


def test_two_different_referrals_in_one_cut_set_are_served_by_neither():
    electrician, engineer = cause(remedy={"refer": "electrician"}), cause(remedy={"refer": "gas-engineer"})
    model = model_of(
        faults(
            pair=gate("all_of", 15, a=electrician, b=engineer),
            twice=gate("all_of", 15, c=electrician, d=electrician),
        )
    )
    assert (of(model, "a+b").ending, of(model, "a+b").target) == ("none", "")
    assert (of(model, "c+d").ending, of(model, "c+d").target) == ("refer", "electrician")


def test_what_is_no_step_of_this_person_has_no_target_and_is_kept_with_its_figures():
    qualified = do(by="technician", minutes=7, cures=0.8, hands="tools")
    tree = faults(pair=gate("all_of", 15, a=cause(), b=cause(remedy=qualified)), c=cause(40))
    pair = of(model_of(tree), "a+b")
    assert (pair.ending, pair.target, pair.minutes, pair.hands) == ("none", "", 17, "tools")
    assert pair.cures == pytest.approx(1 - (1 - of(model_of(tree), "c").cures) * 0.2)
    assert (of(model_of(tree), "c").ending, of(model_of(tree), "c").target) == ("do", "")


def test_what_needs_what_this_person_cannot_do_is_no_step():
    tree = model_of(faults(a=cause(20, do(needs=["climb"])), b=cause(20))).tree
    found = {each.id: (each.ending, each.target) for each in hypotheses(tree, "owner", frozenset({"climb"}))}
    assert found == {"a": ("none", ""), "b": ("do", ""), "not-listed": ("none", "")}


def test_with_a_referral_or_another_tree_in_it_a_cut_set_has_no_job_to_reckon_with():
    for other in ({"refer": "recovery"}, {"see": OTHER_TREES[0]}):
        pair = gate("all_of", 15, a=cause(remedy=do(minutes=9, price=4, at="cab")), b=cause(remedy=other))
        found = of(model_of(faults(pair=pair, c=cause(40))), "a+b")
        assert (found.minutes, found.price, found.places, found.cures) == (0, 0, (), 1.0)
        assert (found.hands, found.restores_mains) == ("look", False)
    assert of(model_of(faults(pair=pair, c=cause(40))), "a+b").target == ""


# What is seen ---------------------------------------------------------------------------------------------


def rows(tree, answers, expect):
    check = {"ask": "What?", "hands": "look", "by": "owner", "minutes": 1, "expect": expect}
    model = model_of(tree, {"look": {**check, "answers": {each: each.title() for each in answers}}})
    return dict(zip(model.ids, model.rows["look"].tolist(), strict=True))


NESTED = faults(
    upper=gate("any_of", middle=gate("any_of", a=cause(20), b=cause(20)), c=cause(20)),
    d=cause(20),
)


def test_a_cause_takes_the_entry_of_its_nearest_named_ancestor_or_itself():
    expect = {"a": {"one": 0.9}, "middle": {"one": 0.7}, "upper": {"one": 0.4}, "otherwise": {"one": 0.2}}
    assert rows(NESTED, ["one", "two"], expect) == {
        "a": pytest.approx([0.9, 0.1]),
        "b": pytest.approx([0.7, 0.3]),
        "c": pytest.approx([0.4, 0.6]),
        "d": pytest.approx([0.2, 0.8]),
        "not-listed": [0.5, 0.5],
    }


def test_without_otherwise_the_rest_is_even():
    found = rows(NESTED, ["one", "two", "three"], {"middle": {"one": "probable"}})
    assert found["a"] == pytest.approx([0.85, 0.075, 0.075])
    assert found["c"] == found["d"] == found["not-listed"] == pytest.approx([1 / 3] * 3)


@pytest.mark.parametrize(
    ("entry", "expected"),
    [
        ({"two": 0.7}, [0.15, 0.7, 0.15]),
        ({"one": 0.2, "two": 0.5}, [0.2, 0.5, 0.3]),
        ({"one": 0.4, "two": 0.6}, [0.4, 0.6, 0.0]),
        ({"one": 0.55, "two": 0.33, "three": 0.22}, [0.5, 0.3, 0.2]),
        ({"one": 0.45, "two": 0.27, "three": 0.18}, [0.5, 0.3, 0.2]),
        ({"one": "expected", "three": "uncertain"}, [0.75, 0.0, 0.25]),
        ({"two": "almost impossible"}, [0.49, 0.02, 0.49]),
        ({"two": "almost certain"}, [0.01, 0.98, 0.01]),
    ],
)
def test_an_entry_is_filled_up_or_scaled(entry, expected):
    assert rows(NESTED, ["one", "two", "three"], {"d": entry})["d"] == pytest.approx(expected)


INNER = gate("all_of", a=cause(20), b=cause(20))
EITHER = gate("any_of", c=cause(20), d=cause(20))
BOTH = faults(upper=gate("any_of", outer=gate("all_of", 20, inner=INNER, either=EITHER)), e=cause(20))


@pytest.mark.parametrize(
    ("expect", "expected"),
    [
        # The lowest event of kind all_of above a, b and c is `outer`; `inner` holds only two of them.
        ({"outer": {"one": 0.9}, "inner": {"one": 0.1}}, [0.9, 0.1]),
        ({"upper": {"one": 0.8}, "inner": {"one": 0.1}}, [0.8, 0.2]),
        # Neither is named: the mean of the three causes' entries.
        ({"inner": {"one": 0.1}, "c": {"one": 0.7}, "otherwise": {"one": 0.4}}, [0.3, 0.7]),
        ({"a": {"one": 0.9}}, [(0.9 + 0.5 + 0.5) / 3, (0.1 + 0.5 + 0.5) / 3]),
        ({"otherwise": {"one": 0.4}, "e": {"one": 0.6}}, [0.4, 0.6]),
    ],
)
def test_a_cut_set_takes_the_entry_of_its_lowest_common_event_or_the_mean_of_its_causes(expect, expected):
    found = rows(BOTH, ["one", "two"], expect)
    assert list(found) == ["a+b+c", "a+b+d", "e", "not-listed"]
    assert found["a+b+c"] == pytest.approx(expected)
    assert found["not-listed"] == [0.5, 0.5]


def test_of_an_event_that_stands_in_two_places_the_place_of_its_definition_counts():
    tree = faults(
        first=gate("any_of", a=cause(20), b=cause(20)), second=gate("any_of", a={}, c=cause(20)), d=cause(20)
    )
    found = rows(tree, ["one", "two"], {"first": {"one": 0.9}, "second": {"one": 0.2}})
    assert found["a"] == found["b"] == pytest.approx([0.9, 0.1])
    assert found["c"] == pytest.approx([0.2, 0.8])


def test_not_listed_expects_anything_unless_all_causes_have_the_same_row():
    assert rows(NESTED, ["one", "two"], {"otherwise": {"one": 0.9}})["not-listed"] == pytest.approx(
        [0.9, 0.1]
    )
    upper_and_d = {"upper": {"one": 0.9}, "d": {"one": 0.9, "two": 0.1}}
    assert rows(NESTED, ["one", "two"], upper_and_d)["not-listed"] == pytest.approx([0.9, 0.1])
    but_one = {"otherwise": {"one": 0.9}, "d": {"one": 0.91}}
    assert rows(NESTED, ["one", "two"], but_one)["not-listed"] == [0.5, 0.5]


@pytest.mark.parametrize("nudge", [1e-9, 1e-7])
def test_rows_that_differ_by_little_more_than_rounding_are_not_the_same(nudge):
    but_little = {"otherwise": {"one": 0.9}, "d": {"one": 0.9 + nudge}}
    assert rows(NESTED, ["one", "two"], but_little)["not-listed"] == [0.5, 0.5]


def test_every_row_of_the_danger_questions_is_the_same_so_they_tell_nothing_apart():
    tree = faults(a=cause(20), b=cause(20, hazard="gas"))
    model = model_of(tree, ask_first=["smell-of-gas", "co-alarm"])
    assert model.rows["smell-of-gas"] == pytest.approx(np.tile([0.98, 0.02], (3, 1)))
    assert model.rows["co-alarm"] == pytest.approx(np.tile([0.90, 0.08, 0.02], (3, 1)))
