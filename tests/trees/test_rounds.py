"""The shipped rounds: plain texts, nobody led into danger, and the order that the trade keeps.

What is checked here is common practice, with no source, unless a source stands beside it.
"""

from __future__ import annotations

import re

import pytest

from diagnose.knowledge.rounds_order import between
from diagnose.knowledge.wording import first_word
from tests.trees.plain import GRADE, grade
from tests.trees.shipped import COMMON, EVERY_TREE, LIBRARY, tree_of

ROUNDS = LIBRARY.rounds()
TASKS = {id: task for round in ROUNDS.values() for id, task in round.tasks.items()}
QUALIFIED = {"gas": "gas-engineer", "mains": "electrician"}
# Written down here anew, so that a gap in the list of the common files does not hide one in the texts.
OPENING = re.compile(
    r"\b(un-?screw|un-?bolt|undo|undone|loosen|slacken|dismantl|take \w+ apart|disconnect|detach|drill|pierc"
    r"|pok(e|ing)|prob(e|ing)|bridg|jumper|short (it )?out|wedge|defeat|overrid|bypass|covers? off)",
    re.IGNORECASE,
)
AT_MAINS = re.compile(r"\b(measur|meters?\b|multimeter|test lamp|rewir|splic|screwdriver)", re.IGNORECASE)
TOLD_OF_ONLY = {
    ("p19-alarms", "gas"),  # reads a date and presses a test button
    ("h1-checks", "gas"),  # reads two papers
    ("h1-checks", "mains"),
    ("h2-show", "mains"),  # shows where things are
}
"""Texts that speak of a hazard which nobody comes near in that task."""


def texts(task):
    """Everything that somebody reads of a task."""
    return [task.what, task.how, task.must_not_use, *task.parts_to_buy]


@pytest.mark.parametrize("id", TASKS)
def test_what_an_owner_reads_is_plain_and_fits_a_narrow_screen(id):
    task = TASKS[id]
    assert len(task.what) <= 80
    assert len(task.how) <= 400
    assert len(task.must_not_use) <= 80
    sentences = [text for text in (task.what, task.how, task.must_not_use) if len(text.split()) >= 4]
    assert {text: grade(text) for text in sentences if grade(text) > GRADE} == {}
    assert [word for text in texts(task) for word in text.split() if len(word) > 24] == []


@pytest.mark.parametrize("id", [id for id in TASKS if TASKS[id].hazards & QUALIFIED.keys()])
def test_under_gas_and_mains_a_task_only_looks_or_uses_controls_and_is_left_to_the_qualified(id):
    task = TASKS[id]
    assert task.hands in ("look", "controls")
    assert task.refer in {QUALIFIED[hazard] for hazard in task.hazards & QUALIFIED.keys()}
    assert task.must_not_use
    assert [text for text in texts(task) if OPENING.search(text)] == []
    if "mains" in task.hazards:
        assert [text for text in texts(task) if AT_MAINS.search(text)] == []


def test_the_words_looked_for_are_found_where_they_stand():
    assert OPENING.search("Then un-screw it")
    assert OPENING.search("Take the covers off")
    assert AT_MAINS.search("Hold a meter to it")


@pytest.mark.parametrize("id", TASKS)
def test_a_task_carries_every_hazard_that_its_text_speaks_of(id):
    task = TASKS[id]
    unsaid = {
        (id, hazard.id)
        for hazard in COMMON.hazards.values()
        for text in (task.what, task.how)
        if hazard.id not in task.hazards and hazard.speaks and first_word(text, hazard.speaks)
    }
    assert unsaid <= TOLD_OF_ONLY


@pytest.mark.parametrize("id", TASKS)
def test_nobody_is_told_that_something_is_safe(id):
    for text in texts(TASKS[id]):
        assert not re.search(r"\bsafe(ly|ty)?\b(?! for (rubber|water heaters)| cable)", text), text


def test_no_tool_is_taken_but_at_a_battery():
    assert {id: task.hazards for id, task in TASKS.items() if task.hands == "tools"} == {
        "p1-charge": {"high-current"}
    }


def test_what_makes_a_vehicle_not_ready():
    """Tyres, brakes, belts and alarms at least; lamps and coupling, and a vehicle that could roll, too."""
    assert {id for id, task in TASKS.items() if task.if_wrong == "not-ready"} == {
        "w4-tyres", "w5-brakes", "w6-belts", "p19-alarms", "p12-tyres", "p11-park", "j4-lamps",
    }  # fmt: skip


def test_what_could_hurt_somebody_belongs_to_even_the_shortest_round():
    short = {id for id, task in TASKS.items() if task.safety}
    assert short >= {
        "p19-alarms",
        "w3-uncover",
        "w4-tyres",
        "w5-brakes",
        "w6-belts",
        "w11-hook-up",
        "w14-gas",
    }
    assert short >= {"w15-hob", "j2-gas", "j4-lamps", "p8-gas-off", "p11-park", "h1-checks", "h3-limits"}
    assert short >= {id for id, task in TASKS.items() if task.if_wrong == "not-ready"}


FIRST = {
    "lay-up": "p18 p11, p8 p7, p14 p3, p1 p3, p7 p3",
    "wake-up": "w1 p19, w1 w2, w1 w6, w1 w8, w1 w9, w1 w10, w1 w11, w1 w12, w2 w9, w8 w9, w2 w10, w10 w12, "
    "w12 p5, w12 w13, p19 w14, w3 w14, w14 w15, w11 w16, w15 w16, p5 w17, w15 w17, w3 w15, w3 w16, w3 w17",
    "journey": "w4 j5, w8 j5, j3 j5, j4 j5, w4 j1, w6 j1, j2 j1, j3 j1, j4 j1, j5 j1",
    "hand-over": "p19 w15, w3 w15, h1 w15, w4 h3, w15 h3, h1 h3, h2 h3",
}
"""Mice before any switch, alarms and free flues before any flame, the gas before the hob, and so on.

Nobody drives to the scale before the rest was looked at; no hob is lit on a hose or a gas check that is over.
"""


@pytest.mark.parametrize("id", FIRST)
def test_the_order_of_the_trade_is_kept(id):
    round = ROUNDS[id]
    by_number = {task.split("-")[0]: task for task in round.tasks}
    earlier = between(round.after, round.after)
    for pair in FIRST[id].split(", "):
        first, then = (by_number[number] for number in pair.split())
        assert first in earlier[then], pair


def test_the_order_of_the_file_is_itself_one_that_may_be_kept():
    for round in ROUNDS.values():
        done: set[str] = set()
        for task in round.tasks:
            assert round.after[task] <= done
            done.add(task)


@pytest.mark.parametrize(
    ("id", "said"),
    [
        ("w1-mice", ["half an hour", "gloves", "Never sweep or vacuum"]),
        ("w9-engine", ["Outdoors only", "fumes kill"]),
        ("w11-hook-up", ["Uncoil all", "Put it back once", "unplug, tell the site"]),
        ("w12-fill", ["never held shut", "no spray", "Do not drink"]),
        (
            "p5-disinfect",
            ["heaters, or bypass the heater", "never as strong as household bleach", "by the label"],
        ),
        ("w14-gas", ["sniff", "Smell or hiss: shut it from outside, all out, say danger"]),
        ("w15-hob", ["Open a window", "Blow no flame out", "say danger"]),
        ("w17-heat", ["never lit empty", "the alarm quiet"]),
        ("w5-brakes", ["do not let it roll", "never driven to try"]),
        ("w4-tyres", ["both walls", "In the UK, as of 2026", "Never lie under"]),
        ("p7-covers", ["with the gas shut", "Leave the drop vents in the floor free"]),
        ("p11-park", ["chocks before and behind the wheels first", "If it could roll, leave the brake on"]),
        ("p14-wash", ["never on the roof", "no jet at"]),
        ("j2-gas", ["crash and hose cut-off", "where the country allows it", "always shut"]),
        ("j5-papers", ["UK, 2026, from memory, the authority decides"]),
    ],
)
def test_the_caution_of_the_trade_stands_in_the_task(id, said):
    assert [part for part in said if part not in TASKS[id].how] == []


def test_what_tasks_open_dates_and_parts_are_those_of_trees_and_cards():
    named = {part for id in EVERY_TREE for part in parts_of(tree_of(id))}
    assert {task.part for task in TASKS.values() if task.part} <= named
    opened = {tree for task in TASKS.values() for tree in task.opens}
    assert opened <= set(EVERY_TREE)
    assert set(EVERY_TREE) - opened == set()
    dates = {date for task in TASKS.values() for date in task.dates}
    assert dates >= {"gas-hose", "tyres", "alarm", "extinguisher", "gas-check", "mains-check"}
    assert dates >= {"licence", "medical", "photo-card", "road-test"}


def parts_of(tree):
    """The parts that a tree's checks and remedies name."""
    checks = {check.part for check in tree.checks.values()}
    return (checks | {event.remedy.part for event in tree.events.values() if event.remedy}) - {None, ""}


def test_every_want_is_one_that_some_task_has():
    wanted = {want for round in ROUNDS.values() for want in round.wants}
    assert wanted == {want for task in TASKS.values() for want in task.wants}
