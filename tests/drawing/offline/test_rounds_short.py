"""A round on the phone for somebody with little time, and what most pays to be looked at, with its reason."""

from __future__ import annotations

import pytest

from diagnose.drawing.offline.rounds_worth_data import WorthLooking
from diagnose.reasoning.model import build_model
from diagnose.rounds.shortest import short
from diagnose.rounds.stakes import stake_of
from diagnose.rounds.worth import ranked, saved_by
from diagnose.terms import Tally
from tests.drawing.offline.round_phone import COVERS, MICE, WAKE, kept, page_with_rounds, read_on
from tests.drawing.offline.thumb import Thumb
from tests.trees.shipped import COMMON, model_of, tree_of

pytestmark = pytest.mark.long

TREES = ("hob-hisses-on", "hob-goes-out", "brakes-drag", "alarm-sounded-earlier")
"""Trees that three tasks open: of the others nothing is known here, so they only fill the time."""
FACTS = {"stored": "outdoors"}


@pytest.fixture(scope="module")
def looking():
    models = {id: model_of(id) for id in TREES}
    return WorthLooking(models, {id: stake_of(model) for id, model in models.items()})


@pytest.fixture(scope="module")
def file(tmp_path_factory, looking):
    return page_with_rounds(tmp_path_factory.mktemp("rounds"), worth=looking)


def shown(phone):
    """The tasks that the list has."""
    return set(texts(phone, "ul.symptoms span:first-child"))


def texts(phone, selector):
    """What stands in all that a selector finds, in order."""
    find = "return [...document.querySelectorAll(arguments[0])].map(each => each.textContent)"
    return phone.run(find, selector)


def test_a_short_round_has_the_prompts_own_tasks_and_all_of_it_is_one_press_away(phone, looking):
    worths = looking.of(WAKE, WAKE.tasks, FACTS, None)
    chosen = short(WAKE.tasks, WAKE.after, COMMON.places, 180, saved_by(worths))
    tasks = {WAKE.tasks[id].what for id in chosen.plan.order}
    assert {task.what for task in WAKE.tasks.values() if task.safety} < tasks
    phone.press("Waking it up")
    assert shown(phone) == {task.what for task in WAKE.tasks.values()}
    phone.press("Only little time?", f"About 3 hours: {len(tasks)} of {len(WAKE.tasks)} tasks")
    assert shown(phone) == tasks
    assert f"{len(WAKE.tasks) - len(tasks)} tasks of it are left out." in phone.text
    assert f"0 of {len(tasks)} tasks behind you." in phone.text
    phone.press(f"Next: {WAKE.tasks[chosen.plan.order[0]].what}")
    read_on(phone)
    assert f"Task 1 of {len(tasks)}" in phone.text
    phone.press("Fine", "Leave off" if phone.heading == "Waking it up" else "Back")
    phone.reload()
    phone.press("Go on with the round")
    assert shown(phone) == tasks
    assert kept(phone)[0]["short"] == 180
    # What is marked is not reckoned anew, so only the way to all of it is there.
    assert "Only little time?" not in phone.text
    phone.press("How it stands")
    assert "Not done: " in phone.text
    phone.press("All of the round")
    assert shown(phone) == {task.what for task in WAKE.tasks.values()}
    assert kept(phone)[0]["short"] is None


def test_safety_alone_is_the_shortest(phone):
    least = short(WAKE.tasks, WAKE.after, COMMON.places, 1, {})
    assert least.too_long
    phone.press("Waking it up", "Only little time?")
    says = texts(phone, "details.short button")
    assert says[0].endswith(f": {len(least.plan.order)} of {len(WAKE.tasks)} tasks")
    phone.press(says[0])
    assert shown(phone) == {WAKE.tasks[id].what for id in least.plan.order}


def test_what_most_pays_is_told_with_its_causes_and_what_it_rests_on(phone, looking, browser, tmp_path):
    first, *_ = worths = looking.of(WAKE, WAKE.tasks, FACTS, None)
    phone.press("Waking it up", "What most pays to be looked at")
    told = texts(phone, "details.worth li")
    assert [each.split(".")[0] for each in told] == [WAKE.tasks[each.task].what for each in worths[:3]]
    assert "It takes 5 minutes and is expected to save 20 minutes later." in told[0]
    assert "Most often: the flame guard's valve stays open;" in told[0]
    assert told[0].endswith("Our judgement, no cases yet.")
    # What was looked at needs no more telling.
    task = WAKE.tasks[first.task].what
    assert told[0].startswith(task)
    model = build_model(tree_of("hob-hisses-on"), tally=Tally({"guard-stuck": 3.0}))
    cases = WorthLooking({"hob-hisses-on": model}, {"hob-hisses-on": stake_of(model)}, 30.0)
    other = Thumb(browser, page_with_rounds(tmp_path, worth=cases))
    other.open().press("Waking it up", "What most pays to be looked at")
    assert "It rests on 3 cases; how often it happens, about 8 in 10 on what was seen here" in other.text


def test_ranked_is_what_the_room_says():
    """The page's few are the room's first: nothing is ranked a second time here."""
    models = {id: model_of(id) for id in TREES}
    stakes = {id: stake_of(model) for id, model in models.items()}
    looking = WorthLooking(models, stakes)
    there = dict(WAKE.tasks)
    worths = looking.of(WAKE, there, FACTS, None)
    assert worths == ranked(there, stakes, 0.0, FACTS, None)
    assert [each["task"] for each in looking.told(worths, there, FACTS)] == [each.task for each in worths[:3]]
    assert {COVERS, MICE} <= {task.what for task in there.values()}
