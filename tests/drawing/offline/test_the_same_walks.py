"""Five hundred walks at random through all shipped trees: the page shows what the walking room shows."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest

from diagnose.knowledge.card import VehicleCard
from diagnose.terms import NOT_LISTED, Finding
from diagnose.walking.views import HandedOver
from tests.drawing.offline.phone import TakenTwice, as_plain, differences, in_the_page, page_of
from tests.trees.shipped import COMMON, EVERY_TREE, tree_of

pytestmark = pytest.mark.long

EACH = 18
TELLING = ("frost-valve-opens", "gas-gone", "heater-no-fire", "hob-goes-out", "leak-inside", "no-hot-water")
"""Trees that expect something of a fact."""
ONLY_HERE = ("What could not be done", "What would come next", "These two answers", "Answers like these")
"""How the sentences begin that the page says in place of planning anew, or in words of its own."""


@pytest.fixture(scope="module")
def taken():
    chance = random.Random(7)
    return [TakenTwice(id, chance, "uk").to_the_end() for id in EVERY_TREE for _ in range(EACH)]


@pytest.fixture(scope="module")
def shown(browser, taken, whole_page):
    """What the page shows on all those walks."""
    browser.get(whole_page.as_uri())
    return in_the_page(browser, taken)


def test_every_view_of_five_hundred_walks_is_the_room_s(taken, shown):
    assert len(taken) >= 500
    compare(taken, shown)


def compare(taken, shown):
    """Asserts that the page has shown what the room has shown, walk by walk and view by view."""
    for one, views in zip(taken, shown, strict=True):
        for n, ((room, _), page) in enumerate(zip(one.shown, views, strict=True)):
            where = f"{one.id} after {one.done[:n]}"
            both = (in_one_order(each, room.ranking) for each in (as_plain(room), page))
            assert differences(*both) == [], where
            said = [each for each in page["notices"] if not each.startswith(ONLY_HERE)]
            assert said == list(room.notices), where


def in_one_order(view, ranking):
    """Causes of one share stand in an order that rounding decides: lists of them are sorted, or left out."""
    tied = any(one.share - other.share <= 1e-9 for one, other in pairwise(ranking))
    whole = {key: each for key, each in view.items() if key != "prevention" or not tied}
    return whole | {key: sorted(view[key], key=str) for key in ("leftAlone",) if key in view}


def test_every_share_is_the_room_s_to_nine_digits(taken, shown):
    compared = 0
    for one, views in zip(taken, shown, strict=True):
        for (room, _), page in zip(one.shown, views, strict=True):
            shares = {each["cause"]: each["share"] for each in page["ranking"]}
            assert set(shares) == {each.cause for each in room.ranking}
            assert all(abs(shares[each.cause] - each.share) <= 1e-9 for each in room.ranking)
            falling = [each["share"] for each in page["ranking"]]
            assert all(one >= other - 1e-11 for one, other in pairwise(falling))
            compared += len(shares)
    assert compared > 20_000


def test_the_walks_came_by_all_that_may_happen(taken, shown):
    kinds = {type(view).__name__ for one in taken for view, _ in one.shown}
    assert len(kinds) >= 9, kinds
    done = [operation[1] for one in taken for operation in one.done]
    assert {"answer", "reading", "notSure", "back", "danger", "leaveOff", "resume"} <= set(done)
    tried = [how for one in taken for how in one.walk.situation.tried.values()]
    assert {"not-cured", "could-not"} <= set(tried)
    assert any(isinstance(view, HandedOver) for one in taken for view, _ in one.shown)
    assert any(view.ranking and view.ranking[0].cause == NOT_LISTED for one in taken for view, _ in one.shown)
    assert sum(len(one.done) for one in taken) > 4000
    said = [sentence for views in shown for view in views for sentence in view["notices"]]
    assert all(any(each.startswith(beginning) for each in said) for beginning in ONLY_HERE)


def test_facts_of_a_card_count_in_the_page_as_in_the_room(browser, tmp_path):
    facts = {
        "cylinder-gas": Finding("cylinder-gas", "butane"),
        "drained": Finding("drained", "partly"),
        "frost-valve": Finding("frost-valve", "spring"),
        "heater-fuel": Finding("heater-fuel", "gas"),
        "outside-temperature": Finding("outside-temperature", "frost", -3.5, 2.0),
    }
    assert all(each.answer in COMMON.facts[id].answer_ids() for id, each in facts.items())
    file = tmp_path / "van.html"
    file.write_text(page_of(TELLING, card=VehicleCard(facts=tuple(facts.values()))), encoding="utf-8")
    browser.get(file.as_uri())
    chance, taken = random.Random(13), []
    for id in TELLING * 5:
        used = {*tree_of(id).checks, *tree_of(id).applies_to}
        given = tuple(each for fact, each in facts.items() if fact in used)
        assert given
        taken.append(TakenTwice(id, chance, facts=given).to_the_end())
    compare(taken, in_the_page(browser, taken))
