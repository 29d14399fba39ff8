"""How walks along the shipped trees begin and end.

They begin with what a good tradesman would ask, in that order, and they end as they should: what an owner can
cure is mostly cured, the rest is handed over to the right person.
"""

from __future__ import annotations

import random
from collections import Counter

import pytest

from tests.trees.shipped import TREES, model_of, route_of, tree_of

every_tree = pytest.mark.parametrize("id", TREES)

# What a tradesman would ask, in that order: along the likeliest answers, for an owner

OPENINGS = {
    "engine-no-crank": """
        battery-harmed       no
        battery-kind         lead
        frost-seen           mild
        kept-how             stood
        isolator-and-clamps  firm
        left-switched        none
        dash-on-start        fades
        lay-up-drain""",
    "heater-no-fire": """
        smell-of-gas         no
        co-alarm             quiet
        battery-harmed       no
        flue-cover           bare
        flue-outside         clear
        hob-flame            steady
        panel-shows          locked
        first-two-minutes""",
    "hob-goes-out": """
        smell-of-gas         no
        co-alarm             quiet
        hisses-after         no
        what-changed         first-use
        hold-twenty          late
        air-in-line""",
    "hook-up-trips": """
        mains-harmed         no
        polarity-lamp        right
        just-before          plugged
        tried-before         untried
        plug-seen            clean
        electrician""",
    "water-pump": """
        mains-harmed         no
        battery-harmed       no
        pump-sound           steady
        tank-level           water
        drains-seen          shut
        filter-seen          clean
        which-taps           all
        bubbles-seen         bubbles
        suction-air""",
    "wet-after-washing": """
        smell-of-gas         no
        co-alarm             quiet
        mains-harmed         no
        water-near-electrics no
        fridge-vents-jetted  no
        where-wet            window
        latches-found        shut
        window-rubber        slots
        window-slots-blocked""",
}


@every_tree
def test_a_walk_opens_as_a_good_tradesman_would(id):
    route = route_of(id)
    node = route.nodes[route.start]
    for line in OPENINGS[id].strip().splitlines():
        step, *answer = line.split()
        assert node.of == step, f"{node.of} is asked where {step} was expected"
        if answer:
            node = route.nodes[node.edges[answer[0]].to]


# How walks end, by seeded draws of a true cause and its answers

DRAWS = 150


def end_of_walk(id, truth, chance):
    """The kind and id of the end of one walk of an owner, where `truth` is what is wrong."""
    model, route = model_of(id), route_of(id)
    row, node = model.index[truth], route.nodes[route.start]
    while node.edges:
        if node.kind == "remedy":
            cured = node.of == truth and chance.random() < tree_of(id).events[truth].remedy.cures
            answer = "cured" if cured else "not-cured"
        else:
            table = model.checks[model.check_index[node.of]]
            answers = table.check.answer_ids()
            unsure = chance.random() < table.check.not_sure
            answer = "not-sure" if unsure else chance.choices(answers, table.rows[row].tolist())[0]
        node = route.nodes[node.edges[answer].to]
    return node.kind, node.of


def ends(id, truth):
    chance = random.Random(f"{id} {truth}")
    return Counter(end_of_walk(id, truth, chance) for _ in range(DRAWS))


def causes_of(wanted):
    return [(id, cause.id) for id in TREES for cause in tree_of(id).causes() if wanted(cause)]


def an_owner_can(cause):
    return cause.remedy.kind == "do" and cause.remedy.by == "owner"


# Some ends are better than a cure: a flue that was covered while the heater ran has to stop the walk.
STOPPED_FIRST = {("heater-no-fire", "flue-cover-on"): ("stop", "co-suspected")}


@pytest.mark.parametrize(("id", "cause"), causes_of(an_owner_can))
def test_what_an_owner_can_cure_is_mostly_cured(id, cause):
    found = ends(id, cause)
    wanted = STOPPED_FIRST.get((id, cause), ("cured", "cured"))
    assert found.most_common(1)[0][0] == wanted, found
    assert found[wanted] >= 0.4 * DRAWS, found


@pytest.mark.parametrize(("id", "cause"), causes_of(lambda cause: not an_owner_can(cause)))
def test_what_an_owner_cannot_cure_is_handed_over(id, cause):
    found = ends(id, cause)
    tree = tree_of(id)
    remedy = tree.events[cause].remedy
    right = {tree.refer_to, remedy.text} if remedy.kind == "refer" else {tree.refer_to}
    handed = sum(count for (kind, of), count in found.items() if kind in ("referral", "stop") and of in right)
    assert not any(kind == "cured" for kind, _ in found)
    assert handed >= 0.75 * DRAWS, found
