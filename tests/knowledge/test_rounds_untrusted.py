"""Whatever stands in files of rounds, reading them ends: in rounds, or in flaws with their places."""

from __future__ import annotations

import re
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.knowledge.rounds_fields import ROUND_TABLES
from diagnose.terms import FlawedKnowledge
from tests.knowledge.rounds_of_two import FILES, loaded, written

KEYS = [line.key for table in ROUND_TABLES.values() for line in table]
WORDS = [
    "gas",
    "none",
    "tools",
    "owner",
    "a",
    "look",
    "journey",
    "{}",
    "~",
    "[a, a]",
    "yes",
    "'",
    '"',
    "&x",
    "*x",
]
WORDS += ["-1", "1e999", "\u202e", "\\x1b", "loosen", "not-ready", "{after: look}", "? x", "x" * 700]
HOSTILE = st.sampled_from([*WORDS, *KEYS])


PLACED = re.compile(
    r"[a-z-]+/[a-z-]+\.yaml:[1-9]\d*:[1-9]\d*: [^\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]+"
)


def judged(common, folder, files):
    """Either rounds come out whose order has no cycle and names only tasks, or flaws with their places."""
    written(folder, files)
    try:
        rounds = loaded(common, folder)
    except FlawedKnowledge as error:
        flaws = [str(flaw) for flaw in error.flaws]
    else:
        for round in rounds.values():
            in_order(round)
        return []
    assert flaws
    assert [flaw for flaw in flaws if not PLACED.fullmatch(flaw)] == []
    return flaws


def in_order(round):
    """The order of a round can be kept: some task has nothing before it that is left, until none is left."""
    assert set().union(*round.after.values()) <= set(round.tasks) == set(round.after)
    left = dict(round.after)
    while left:
        free = {task for task, earlier in left.items() if not earlier & left.keys()}
        assert free
        left = {task: earlier for task, earlier in left.items() if task not in free}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("rounds") / "r"


@given(data=st.data())
@settings(max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_sound_files_with_words_changed(common, folder, data):
    files = dict(FILES)
    for name in data.draw(st.lists(st.sampled_from(sorted(FILES)), min_size=1, max_size=2)):
        parts = re.split(r"([\w.-]+)", files[name])
        place = data.draw(st.integers(0, len(parts) // 2 - 1)) * 2 + 1
        parts[place] = data.draw(st.one_of(HOSTILE, st.sampled_from(parts[1::2])))
        files[name] = "".join(parts)
    judged(common, folder, files)


@given(name=st.sampled_from(sorted(FILES)), text=st.text(max_size=200))
@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_in_one_of_the_files(common, folder, name, text):
    judged(common, folder, FILES | {name: text.encode("utf-8", "replace").decode()})


TASKS = "".join(f"t{n}: {{what: W}}\n" for n in range(5_000))
TURNS = "round: wake-up\nsays: S\ntasks:\n" + "".join(f"  t{n}: {{after: t{n + 1}}}\n" for n in range(5_000))


@pytest.mark.parametrize(("name", "text"), [("tasks", TASKS), ("wake-up", TURNS)], ids=["tasks", "turns"])
def test_a_file_made_to_be_slow_is_done_within_seconds(common, tmp_path, name, text):
    began = time.process_time()
    assert judged(common, tmp_path / "r", FILES | {name: text})
    assert time.process_time() - began < 20


def test_more_tasks_than_anybody_goes_round_with_are_refused(common, tmp_path):
    flaws = judged(common, tmp_path / "r", FILES | {"tasks": "".join(f"t{n}: {{}}\n" for n in range(201))})
    assert "r/tasks.yaml:1:1: the file holds 201 tasks; 200 are the most" in flaws
