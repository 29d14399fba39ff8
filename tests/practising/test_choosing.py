"""What can be chosen in an exercise: every step in words and figures, the ends, forbidden acts among them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.practising.chance import Chance
from diagnose.practising.choosing import _among, choices, traps_of
from diagnose.practising.traps import MOST_TRAPS, TRAPS
from diagnose.reasoning.model import HAND_OVER_MINUTES
from tests.practising.by_hand import stove
from tests.reasoning.by_hand import cause, check, do, model_of
from tests.reasoning.made_up_trees import OTHER_TREES

OTHER = sorted(OTHER_TREES)[0]
GROUPS = ["dangers", "look", "controls", "tools", "put right", "hand over"]


def pump():
    """A pump with a check of each kind, a tree that it may go on in, and a hazard with forbidden acts."""
    return model_of(
        {
            "any_of": {
                "fuse": cause(40, do(minutes=6, wait=30, price=2, at="fuse-panel"), hazard="high-current"),
                "worn": cause(20, {"refer": "workshop"}),
                "frozen": cause(20, {"see": OTHER}),
            }
        },
        {
            "turn": check(ask="Does it turn?", hands="tools", minutes=9),
            "hear": check(ask="Does it hum?", hands="controls", price=1, at="kitchen"),
            "see": check(ask="Is it wet?", wait=5),
        },
        ask_first=["battery-harmed"],
        cured_when={"ask": "Does it run?", "minutes": 3},
    )


def test_each_step_stands_in_its_group_with_its_words_and_figures():
    listed = [each for each in choices(pump(), 1, {OTHER: "The tap drips"}) if each.kind != "trap"]
    assert [each.group for each in listed] == sorted((each.group for each in listed), key=GROUPS.index)
    tree = pump().tree
    danger = tree.checks["battery-harmed"]
    told = [
        (each.kind, each.id, each.group, each.says, each.minutes, each.wait, each.price, each.at, each.hands)
        for each in listed
    ]
    help = tree.referrals["workshop"]
    assert told == [
        ("check", danger.id, "dangers", danger.ask, danger.minutes, danger.wait, 0, (), danger.hands),
        ("check", "see", "look", "Is it wet?", 1, 5, 0, (), "look"),
        ("check", "hear", "controls", "Does it hum?", 1, 0, 1, ("kitchen",), "controls"),
        ("check", "turn", "tools", "Does it turn?", 9, 0, 0, (), "tools"),
        ("remedy", "fuse", "put right", pump().hypotheses[0].says, 9, 30, 2, ("fuse-panel",), "look"),
        ("referral", "workshop", "hand over", help.to, help.minutes, help.wait, help.price, (), None),
        ("handover", OTHER, "hand over", "Go on with another tree: The tap drips", HAND_OVER_MINUTES, 0, 0,
         (), None),
        ("stop", "stop", "hand over", "Stop here: it is not safe to go on", 0, 0, 0, (), None),
    ]  # fmt: skip
    assert f"Go on with another tree: {OTHER}" in [each.says for each in choices(pump(), 1)]
    with pytest.raises(ValueError, match="no step"):
        _ = listed[-1].step


@pytest.mark.parametrize("model", [stove, pump])
def test_a_forbidden_act_stands_anywhere_among_the_steps_of_its_kind(model):
    where = {}
    for seed in range(60):
        listed = choices(model(), seed)
        assert [each.number for each in listed] == list(range(1, len(listed) + 1))
        groups = [each.group for each in listed]
        assert groups == sorted(groups, key=GROUPS.index)
        for at, each in enumerate(listed):
            if each.kind == "trap":
                assert (each.id, each.says, each.hands) == (each.trap.id, each.trap.says, each.trap.among)
                assert each.at == ()
                first, last = groups.index(each.group), len(groups) - groups[::-1].index(each.group) - 1
                where.setdefault(each.group, set()).update({at == first, at == last, first < at < last})
                there = {other.group for other in listed if other.kind != "trap"}
                assert each.group == each.trap.among or each.trap.among not in there
    assert all(seen == {True, False} for seen in where.values())


def test_the_nearest_kind_takes_an_act_whose_own_kind_is_not_there():
    trap = replace(TRAPS[0], among="tools")
    whole = [each for each in choices(pump(), 1) if each.kind != "trap"]

    def without(*groups):
        return [each for each in whole if each.group not in groups]

    left = ["tools", "controls", "look", "put right", "dangers"]
    for at, group in enumerate(left):
        listed = without(*left[:at])
        places = _among(listed, trap)
        assert {listed[place].group for place in places} == {group}
        assert len(places) == sum(each.group == group for each in listed)


def test_another_seed_offers_others_and_never_more_than_a_few_of_the_trees_own_hazards():
    drawn = {tuple(trap.id for trap in traps_of(stove().tree, Chance(seed, "traps"))) for seed in range(40)}
    assert len(drawn) > 4
    assert all(len(set(each)) == len(each) == MOST_TRAPS for each in drawn)
    order = [trap.id for trap in TRAPS]
    assert all(list(each) == sorted(each, key=order.index) for each in drawn)
    of_exercises = {tuple(each.id for each in choices(stove(), seed) if each.trap) for seed in range(40)}
    assert len(of_exercises) > 4
