"""What an exercise marks and bars: starts, mains put back, dangers left out, what follows a stop."""

from __future__ import annotations

import pytest

from diagnose.practising.exercise import Exercise
from diagnose.practising.practice import Practice, best_of
from diagnose.reasoning.compiling import compile_route
from tests.practising.by_hand import choose, quiet, route, smelly, stove
from tests.reasoning.by_hand import cause, check, do, model_of
from tests.reasoning.made_up_trees import OTHER_TREES

OTHER = sorted(OTHER_TREES)[0]
REFER = {"refer": "gas-engineer"}


def started(model, fault, **answers):
    """An exercise on the model whose danger questions are answered so."""
    compiled = compile_route(model)
    for seed in range(400):
        each = Practice(Exercise(model, seed, model.index[fault]), compiled)
        if all(each.vehicle.finding(id.replace("_", "-")).answer == said for id, said in answers.items()):
            return each
    raise AssertionError("no such vehicle")


QUIET = {"smell_of_gas": "no", "co_alarm": "quiet"}


def gassy(**more):
    """One under gas with two checks that start it and one that does not; one try."""
    return model_of(
        {
            "any_of": {
                "blocked": cause(5, REFER, hazard="gas"),
                "shut": cause(20, do(minutes=4), hazard="gas"),
                "fuse": cause(70, do(minutes=6)),
            }
        },
        {
            "start-it": check(ask="Does it start?", starts=True, hazard="gas"),
            "start-again": check(ask="And now?", starts=True, hazard="gas"),
            "look": check(ask="How does it look?"),
        },
        ask_first=["smell-of-gas", "co-alarm"],
        tries=1,
        **more,
    )


def test_starts_that_are_used_up_bar_a_check_that_starts_it_and_no_other():
    each = started(gassy(), "blocked", **QUIET)
    choose(each, "smell-of-gas", "co-alarm", "start-it")
    turn = choose(each, "start-again")
    assert (turn.became, turn.bar, turn.finding) == ("barred", "tries", None)
    assert turn.before == each.situation
    assert choose(each, "look").became == "found"


def test_where_only_a_referral_is_left_that_is_why_and_not_starts_while_some_are_left():
    model = model_of(
        {"any_of": {"blocked": cause(80, REFER, hazard="gas"), "fuse": cause(15, do(minutes=6))}},
        {"flame": check(expect={"blocked": {"one": 0.6}}), "look": check(starts=True), "see": check()},
        ask_first=["smell-of-gas", "co-alarm"],
        tries=1,
    )
    each = started(model, "blocked", **QUIET)
    choose(each, "smell-of-gas", "co-alarm", "flame")
    ids = ("look", "see", "fuse", "gas-engineer")
    assert [each._bar(each.by_id(id).step) for id in ids] == ["refer", "refer", "refer", None]


def test_mains_put_back_once_bars_only_what_puts_it_back_again():
    model = model_of(
        {
            "hazard": "none",
            "any_of": {
                "tripped": cause(40, do(restores="mains"), hazard="mains"),
                "worn": cause(35, do()),
                "wet": cause(20, {"refer": "electrician"}, hazard="mains"),
            },
        },
        {
            "put-back": check(ask="Does it hold?", hands="controls", restores="mains", hazard="mains"),
            "put-back-later": check(ask="And later?", hands="controls", restores="mains", hazard="mains"),
            "look": check(ask="How does it look?"),
        },
        ask_first=["mains-harmed"],
    )
    each = started(model, "worn", mains_harmed="no")
    choose(each, "mains-harmed")
    assert [each._bar(each.by_id(id).step) for id in ("tripped", "put-back", "put-back-later")] == [None] * 3
    choose(each, "put-back")
    told = {id: each._bar(each.by_id(id).step) for id in ("tripped", "put-back-later", "look", "worn")}
    # the rest is for the electrician: what does not put mains back is not barred for that
    assert told == {"tripped": "restored", "put-back-later": "restored", "look": "refer", "worn": "refer"}


@pytest.mark.parametrize("id", ["valve-shut", "flame", "fuse-blown"])
def test_whatever_is_done_while_a_danger_is_not_asked_about_is_marked_also_where_it_cures(id):
    each = quiet("fuse-blown")
    turn = choose(each, id)
    assert turn.marks == ("dangers-left-out",)
    assert turn.before != each.situation or turn.became == "cured"


def test_going_on_in_another_tree_with_dangers_open_is_marked_and_handing_over_is_not():
    model = model_of(
        {"any_of": {"pump": cause(60, {"see": OTHER}), "fuse": cause(30, do())}},
        {"look": check()},
        ask_first=["battery-harmed"],
    )
    compiled = compile_route(model)
    for id, marks in ((OTHER, ("dangers-left-out",)), ("workshop", ()), ("stop", ())):
        each = Practice(Exercise(model, 1, 0), compiled, {OTHER: "Another one"})
        turn = choose(each, id)
        assert (turn.marks, each.over) == (marks, True)
        assert turn.became == ("stopped" if id == "stop" else "handed-over")


def test_after_a_danger_answer_calling_whom_it_names_is_stopping_and_calling_another_is_not():
    model = model_of(
        {"any_of": {"leak": cause(60, REFER, hazard="gas"), "fuse": cause(30, do())}},
        {"look": check(stop_on="one", refer="workshop", expect={"leak": {"one": 0.9}})},
        ask_first=["smell-of-gas", "co-alarm"],
    )
    for id, became, marks in (
        ("workshop", "stopped", ()),
        ("stop", "stopped", ()),
        ("gas-engineer", "went-on", ("went-on",)),
        ("fuse", "went-on", ("went-on",)),
    ):
        each = started(model, "leak", look="one", **QUIET)
        choose(each, "smell-of-gas", "co-alarm", "look")
        assert each.stop == "workshop"
        turn = choose(each, id)
        assert (turn.became, turn.marks, each.over) == (became, marks, True)
        assert turn.before == each.situation
        assert turn.spent.cost > 0


def test_a_forbidden_act_says_what_was_known_then():
    each = smelly()
    choose(each, "smell-of-gas")
    trap = next(choice for choice in each.choices if choice.kind == "trap")
    assert each.choose(trap).before == each.situation != {}


def two_places():
    """One without hazards, whose steps stand at two places."""
    return model_of(
        {
            "any_of": {
                "bulb": cause(40, do(minutes=10, at="kitchen")),
                "fuse": cause(30, do(minutes=6, at="fuse-panel")),
                "line": cause(20, do(minutes=9, at="fuse-panel")),
            }
        },
        {"volts": check(at="fuse-panel"), "glow": check(at="kitchen")},
    )


def test_every_place_is_paid_once_wherever_somebody_has_been_meanwhile():
    each = started(two_places(), "line")
    ways = {id: place.access for id, place in two_places().tree.places.items()}
    choose(each, "volts", "bulb", "glow", "fuse", "line")
    assert [turn.spent.hands_on for turn in each.turns] == [
        1 + ways["fuse-panel"], 10 + ways["kitchen"], 1, 6, 9
    ]  # fmt: skip
    assert [turn.became for turn in each.turns] == ["found", "not-cured", "found", "not-cured", "cured"]
    assert each.spent().cost == pytest.approx(sum(turn.spent.cost for turn in each.turns))
    other = started(two_places(), "line")
    choose(other, "bulb", "fuse", "glow", "volts")
    assert [turn.spent.hands_on for turn in other.turns[2:]] == [1, 1]


def test_each_remedy_is_held_against_the_best_that_could_be_chosen():
    each = started(two_places(), "line")
    choose(each, "line")
    (cured,) = each.turns
    other = started(two_places(), "bulb")
    choose(other, "line", "bulb")
    missed = other.turns[0]
    assert (missed.became, cured.became) == ("not-cured", "cured")
    assert missed.worth.regret == cured.worth.regret > 0
    assert (missed.before, other.turns[1].before.tried.keys()) == (cured.before, {"line"})
    assert missed.shares[1] > missed.shares[0] > 0


def test_an_exercise_and_its_best_route_name_other_trees_by_their_symptoms():
    titles = {OTHER: "Another one"}
    exercise = Exercise(stove(), 1, 0)
    assert best_of(exercise, route(), titles).titles == titles
    assert best_of(exercise, route()).titles == {}
    assert Practice(exercise, route()).by_id("nothing-here") is None
