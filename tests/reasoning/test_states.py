"""States of a walk: what each step leaves behind in them, worked out by hand on one small tree."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.reasoning.states import gathered, joined, state_of, stop_in, trail_steps, trails_fit
from diagnose.terms import COULD_NOT, NOT_CURED, NOT_SURE, Finding, Situation
from tests.reasoning.by_hand import cause, check, do, faults, gate, model_of

PLACES = {"cab": {"says": "Cab", "access": 3}, "roof": {"says": "Roof", "access": 7}}
CAB, ROOF = 1, 2
CHECKS = {
    "look": check(at="cab", expect={"a": {"one": 0.9}, "b": {"one": 0.2}}),
    "start": check(starts=True, restores="mains", stop_on="two", refer="electrician"),
}


def small():
    """Two causes with remedies, the second on the roof; one check in the cab, one that starts it."""
    remedy = do(at="roof", cures=0.75, restores="mains")
    return model_of(faults(a=cause(30), b=cause(10, remedy)), CHECKS, not_listed=10, places=PLACES)


def found(**answers):
    return {id: Finding(id, answer) for id, answer in answers.items()}


def fields(states):
    return [
        states.asked.tolist(),
        states.done.tolist(),
        states.reached.tolist(),
        states.starts.tolist(),
        states.restored.tolist(),
    ]


def test_nothing_done_is_the_prior_and_noughts():
    state = state_of(small(), Situation())
    assert state.weight.tolist() == [pytest.approx([0.6, 0.2, 0.2])]
    assert fields(state) == [[0], [0], [0], [0], [False]]
    assert state.trail.tolist() == [0]
    assert len(state) == 1


def test_findings_and_failed_remedies_leave_what_was_asked_tried_reached_started_and_restored():
    model = small()
    assert fields(state_of(model, Situation(found(look="one")))) == [[1], [0], [CAB], [0], [False]]
    assert fields(state_of(model, Situation(found(start=NOT_SURE)))) == [[2], [0], [0], [1], [True]]
    both = Situation(found(start="one", look="one"), {"b": NOT_CURED})
    assert fields(state_of(model, both)) == [[3], [2], [CAB | ROOF], [2], [True]]
    assert fields(state_of(model, Situation(tried={"b": COULD_NOT}))) == [[0], [2], [0], [0], [False]]
    assert fields(state_of(model, Situation(tried={"a": NOT_CURED}))) == [[0], [1], [0], [1], [False]]
    assert fields(state_of(model, Situation(tried={"a": NOT_CURED, "b": NOT_CURED}))) == [
        [0],
        [3],
        [ROOF],
        [2],
        [True],
    ]


def test_what_the_tree_does_not_know_comes_first_and_is_passed_over():
    situation = Situation(
        {**found(gone="yes"), **found(look="one", start="one")}, {"gone": NOT_CURED, "b": NOT_CURED}
    )
    assert fields(state_of(small(), situation)) == [[3], [2], [CAB | ROOF], [2], [True]]


def test_checks_at_two_places_have_been_at_both():
    checks = {"look": check(at="cab"), "climb": check(at="roof")}
    model = model_of(faults(a=cause(30)), checks, places=PLACES)
    assert fields(state_of(model, Situation(found(climb="one"))))[2] == [ROOF]
    assert fields(state_of(model, Situation(found(look="one", climb="one"))))[2] == [CAB | ROOF]


def test_a_trail_of_sixty_bits_is_held_to_the_last_digit():
    """As a number with a point it would be rounded, beyond 2^53, and two ways be taken for one."""
    model = model_of(faults(a=cause(30)), {f"look-{n}": check() for n in range(30)})
    state = state_of(model, Situation()).after_check(model, 29, 0)
    assert int(state.after_check(model, 0, 0).trail[0]) == 4**29 + 1


def test_a_journal_may_know_of_more_starts_but_never_of_fewer():
    model, situation = small(), Situation(found(start="one"), {"b": NOT_CURED})
    assert [state_of(model, situation, starts).starts[0] for starts in (0, 1, 2, 5)] == [2, 2, 2, 5]


def test_what_somebody_else_tried_counts_though_it_is_no_remedy_of_this_person():
    other = do(by="technician", at="roof", restores="mains")
    model = model_of(faults(a=cause(30), b=cause(10, other)), CHECKS, places=PLACES)
    assert fields(state_of(model, Situation(tried={"b": NOT_CURED}))) == [[0], [0], [ROOF], [1], [True]]


def test_a_step_at_a_time_comes_to_the_same_as_all_at_once():
    model = small()
    state = state_of(model, Situation())
    stepped = state.after_check(model, 0, 0).after_check(model, 1, None).after_remedy(model, 1)
    once = state_of(model, Situation(found(look="one", start=NOT_SURE), {"b": NOT_CURED}))
    assert fields(stepped) == fields(once)
    # 0.6 x 0.9, 0.2 x 0.2 x (1 - 0.75), 0.2 x 0.5.
    assert stepped.weight[0] == pytest.approx([0.54, 0.01, 0.1])
    assert stepped.normalised().weight[0] == pytest.approx(once.weight[0])
    assert state.weight[0] == pytest.approx([0.6, 0.2, 0.2])
    left_out = state.without_remedy(0).without_remedy(1)
    assert fields(left_out) == [[0], [3], [0], [0], [False]]
    assert left_out.weight.tolist() == state.weight.tolist()


def test_doing_twice_what_is_a_bit_leaves_the_bit():
    model = small()
    state = state_of(model, Situation()).after_check(model, 1, 0).after_check(model, 1, 0)
    assert fields(state) == [[2], [0], [0], [2], [True]]
    state = state_of(model, Situation()).after_remedy(model, 1).after_remedy(model, 1)
    assert fields(state) == [[0], [2], [ROOF], [2], [True]]
    assert fields(state.without_remedy(1)) == fields(state)


def test_every_way_has_a_trail_of_its_own_in_mixed_radix():
    model = small()
    # A check: not asked, either answer, not sure; a remedy: not tried, failed.
    assert trail_steps(model) == ((1, 4), (16, 32))
    start = state_of(model, Situation())
    trails = set()
    for look in (0, 1, None, -1):
        for other in (0, 1, None, -1):
            for remedies in ((), (0,), (1,), (0, 1)):
                state = start if look == -1 else start.after_check(model, 0, look)
                state = state if other == -1 else state.after_check(model, 1, other)
                for remedy in remedies:
                    state = state.after_remedy(model, remedy)
                trails.add(int(state.trail[0]))
    assert trails == set(range(64))
    assert trails_fit(model)


@pytest.mark.parametrize(("checks", "fits"), [(30, True), (31, False)])
def test_trails_fit_while_they_take_no_more_than_62_bits(checks, fits):
    """Two bits for each of the checks and one for the one remedy."""
    model = model_of(faults(a=cause(30)), {f"look-{n}": check() for n in range(checks)})
    assert len(model.remedies) == 1
    assert trails_fit(model) is fits
    if not fits:
        assert trail_steps(model) == ((0,) * checks, (0,))


def some():
    model = small()
    start = state_of(model, Situation())
    done = start.after_check(model, 0, 1).after_check(model, 1, None).after_remedy(model, 1)
    return start, done, start.after_remedy(model, 0)


def told(states):
    return [*fields(states), states.trail.tolist(), states.weight.tolist()]


def test_batches_are_joined_gathered_and_taken_apart_in_their_order():
    start, done, third = some()
    both = joined([start, done])
    assert told(both) == [one + two for one, two in zip(told(start), told(done), strict=True)]
    assert len(both) == 2
    assert told(both.take(np.array([1]))) == told(done)
    assert told(both.take(np.array([True, False]))) == told(start)
    assert told(joined([both, third]).take(np.array([2, 0]))) == told(joined([third, start]))
    assert told(gathered([(third, 0), (both, 1), (both, 0)])) == told(joined([third, done, start]))


def test_each_state_is_scaled_by_itself_and_one_that_nothing_allows_is_what_is_not_listed():
    start, done, _ = some()
    batch = joined([start, done, start])
    batch.weight[2] = 0.0
    revived = batch.revived()
    assert revived.weight[:2].tolist() == batch.weight[:2].tolist()
    assert revived.weight[2].tolist() == [0, 0, 1]
    assert batch.weight[2].tolist() == [0, 0, 0]
    assert revived.normalised().weight.sum(axis=1) == pytest.approx([1, 1, 1])
    scaled = batch.normalised()
    assert scaled.weight[1] == pytest.approx(done.weight[0] / done.weight[0].sum())
    assert scaled.weight[2].tolist() == [0, 0, 1]
    assert fields(scaled) == fields(batch)
    assert start.revived() is start


# Stops ----------------------------------------------------------------------------------------------------


def guarded():
    """Two checks in file order that can stop, and one asked first that stands behind them in the file."""
    checks = {
        "look": check(stop_on="two", refer="electrician"),
        "hear": check(stop_on="two", refer="gas-engineer"),
        "last": check(stop_on="two", refer="recovery"),
    }
    return model_of(faults(a=cause(30)), checks, ask_first=["last"])


@pytest.mark.parametrize(
    ("answers", "referral"),
    [
        ({}, None),
        ({"look": "one", "hear": "one", "last": "one"}, None),
        ({"look": "two"}, "electrician"),
        ({"hear": "two"}, "gas-engineer"),
        ({"hear": "two", "look": "two"}, "electrician"),
        ({"look": "two", "last": "two"}, "recovery"),
        ({"look": NOT_SURE, "hear": NOT_SURE}, None),
        ({"look": "two", "last": NOT_SURE}, "recovery"),
        ({"look": NOT_SURE, "hear": "two", "last": "one"}, "gas-engineer"),
    ],
)
def test_the_stop_is_that_of_the_first_stop_answer_and_not_sure_stops_where_it_was_asked_first(
    answers, referral
):
    assert stop_in(guarded(), Situation(found(**answers))) == referral


def test_a_cut_set_at_two_places_has_been_at_both():
    pair = gate("all_of", 20, a=cause(30, do(at="cab")), b=cause(10, do(at="roof")))
    model = model_of(faults(pair=pair, c=cause(40)), places=PLACES)
    assert fields(state_of(model, Situation(tried={"a+b": NOT_CURED})))[2] == [CAB | ROOF]
