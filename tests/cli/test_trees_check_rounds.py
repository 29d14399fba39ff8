"""`trees check` and the rounds: told behind the trees, alone, or of a folder of one's own."""

from __future__ import annotations

import json

import pytest

from diagnose.knowledge.collection import Library

KEYS = ["id", "tasks", "safety", "minutes", "wait", "shipped", "errors"]
LAY_UP = """round: lay-up
says: Ours
tasks: {p18-fuel: {}, p12-tyres: {}, p11-park: {}, p8-gas-off: {}, p7-covers: {}}
"""


@pytest.fixture
def own(tmp_path):
    """A folder of rounds beside no tree."""
    folder = tmp_path / "own" / "rounds"
    folder.mkdir(parents=True)
    (folder / "lay-up.yaml").write_text(LAY_UP)
    return folder


def test_the_name_of_a_round_has_the_rounds_checked_and_no_tree(run):
    ran = run("trees", "check", "wake-up", "--json")
    assert (ran.code, ran.err) == (0, "")
    document = json.loads(ran.out)
    assert document["trees"] == []
    assert [list(round) for round in document["rounds"]] == [KEYS] * 4
    told = {round["id"]: round for round in document["rounds"]}
    tasks = Library().round("journey").tasks.values()
    assert told["journey"]["tasks"] == len(tasks) == 8
    assert told["journey"]["minutes"] == sum(task.minutes for task in tasks)
    assert told["wake-up"]["wait"] == 30 + 120 + 360
    assert all(round["shipped"] and round["errors"] == [] for round in told.values())
    assert "rounds/wake-up: no flaws (tasks: 19, " in run("trees", "check", "lay-up").out


def test_a_tree_alone_says_nothing_of_rounds(run, tmp_path):
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "lamp.yaml").write_text("symptom: S\n")
    for word in ("own", "own/lamp.yaml"):
        ran = run("trees", "check", word, "--json")
        assert (ran.code, list(json.loads(ran.out))) == (1, ["trees"])


@pytest.mark.parametrize("word", ["own", "own/rounds", "own/rounds/lay-up.yaml"])
def test_a_folder_of_ones_own_is_checked_by_any_of_its_names(run, own, word):
    ran = run("trees", "check", word, "--json")
    assert ran.code == 0
    told = {round["id"]: (round["tasks"], round["shipped"]) for round in json.loads(ran.out)["rounds"]}
    assert told == {
        "wake-up": (19, True),
        "journey": (8, True),
        "hand-over": (10, True),
        "lay-up": (5, False),
    }


def test_a_folder_of_trees_and_rounds_stands_for_both(run, own):
    (own.parent / "lamp.yaml").write_text("symptom: S\n")
    document = json.loads(run("trees", "check", "own", "--json").out)
    assert [tree["id"] for tree in document["trees"]] == ["lamp"]
    assert len(document["rounds"]) == 4


def test_every_flaw_is_told_with_its_file_and_fails_the_run(run, own):
    (own / "lay-up.yaml").write_text(LAY_UP.replace("p18-fuel", "p18-feul"))
    (own / "tasks.yaml").write_text("m1-awning: {}\n")
    ran = run("trees", "check", "own")
    assert ran.code == 1
    assert ran.out.splitlines() == [
        "rounds/lay-up: 1 flaw",
        f"rounds/tasks: {ran.err.count('own/rounds/tasks')} flaws",
    ]
    assert (
        'own/rounds/lay-up.yaml:3:9: "p18-feul" is no task of tasks.yaml (did you mean "p18-fuel"?)\n'
        in ran.err
    )
    document = json.loads(run("trees", "check", "own", "--json").out)
    broken = {round["id"]: round for round in document["rounds"]}
    assert set(broken) == {"lay-up", "tasks"}
    assert broken["lay-up"]["tasks"] is None
    assert set(broken["lay-up"]["errors"][0]) == {"file", "line", "column", "message"}
