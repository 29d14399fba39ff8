"""Rounds of one's own beside the shipped ones: what they may change, and what stays."""

from __future__ import annotations

import shutil

import pytest

from diagnose.knowledge.collection import Library, shipped_folder
from tests.knowledge.rounds_of_two import FILES, flaws_of, loaded, written

WASH = """
wash:
  what: Wash the doors
  how: Use a brush.
  at: outside
  hands: controls
  by: owner
  hazard: none
  minutes: 10
  wants: [calm]
"""


@pytest.fixture
def shipped(tmp_path):
    """The folder that counts as shipped here."""
    return written(tmp_path / "shipped")


def test_a_round_of_ones_own_wins_and_the_others_stay(common, shipped, tmp_path):
    own = written(
        tmp_path / "own",
        {"tasks": WASH, "journey": "round: journey\nsays: Mine\ntasks: {wash: {}, look: {after: [wash]}}\n"},
    )
    rounds = loaded(common, shipped, own)
    assert list(rounds["journey"].tasks) == ["wash", "look"]
    assert (rounds["journey"].says, rounds["journey"].file) == ("Mine", "own/journey.yaml")
    assert {id: round.shipped for id, round in rounds.items()} == {
        "wake-up": True,
        "journey": False,
        "hand-over": True,
        "lay-up": True,
    }


def test_a_task_may_be_replaced_but_not_one_that_is_there_for_safety(common, shipped, tmp_path):
    own = written(tmp_path / "own", {"tasks": WASH.replace("wash:", "pump:", 1)})
    rounds = loaded(common, shipped, own)
    assert rounds["wake-up"].tasks["pump"].what == "Wash the doors"
    assert {id for id, round in rounds.items() if not round.shipped} == {"wake-up", "journey"}
    softer = written(tmp_path / "softer", {"tasks": WASH.replace("wash:", "look:", 1)})
    assert flaws_of(common, shipped, softer) == [
        'softer/tasks.yaml:2:1: task "look" is there for safety in the shipped rounds and stays as it is; '
        "give yours another id"
    ]


def test_what_shipped_tasks_want_keeps_its_words(common, shipped, tmp_path):
    own = written(
        tmp_path / "own", {"wants": "warm: When it is warm\ndaylight: By daylight\ncalm: Whenever\n"}
    )
    assert flaws_of(common, shipped, own) == [
        'own/wants.yaml:3:1: "calm" is what shipped tasks want and stays as it is; give yours another id'
    ]


def test_what_the_shipped_round_has_for_safety_stays_in_it(common, shipped, tmp_path):
    own = written(tmp_path / "own", {"journey": "round: journey\nsays: Mine\ntasks: {pump: {}}\n"})
    assert flaws_of(common, shipped, own) == [
        "own/journey.yaml:3:1: tasks lacks look: what the shipped round has for safety stays in it"
    ]


def test_the_shipped_order_holds_even_by_way_of_a_task_that_was_left_out(common, shipped, tmp_path):
    own = written(tmp_path / "own", {"wake-up": "round: wake-up\nsays: Mine\ntasks: {pump: {}, look: {}}\n"})
    assert loaded(common, shipped, own)["wake-up"].after == {"pump": {"look"}, "look": set()}
    turned = written(
        tmp_path / "turned",
        {"wake-up": "round: wake-up\nsays: Mine\ntasks: {pump: {}, look: {after: [pump]}}\n"},
    )
    assert flaws_of(common, shipped, turned) == [
        'turned/wake-up.yaml:3:34: after goes round in a circle: "pump" after "look" after "pump"; '
        "what the shipped round does first comes first here too"
    ]


def test_the_last_folder_wins(common, shipped, tmp_path):
    first = written(tmp_path / "first", {"lay-up": FILES["lay-up"].replace("Before", "After")})
    second = written(tmp_path / "second", {"lay-up": FILES["lay-up"].replace("Before", "Towards")})
    assert loaded(common, shipped, first, second)["lay-up"].says == "Towards the winter"


def test_flaws_of_ones_own_files_are_told_and_nothing_else(common, shipped, tmp_path):
    own = written(tmp_path / "own", {"tasks": "wash: {what: Wash}\n", "lay-up": "round: lay-up\n"})
    told = flaws_of(common, shipped, own)
    assert {line.split(":")[0] for line in told} == {"own/tasks.yaml", "own/lay-up.yaml"}
    assert "own/lay-up.yaml:1:1: round lacks tasks: its tasks in order" in told
    (own / "tasks.yaml").write_text("wash: [\n")  # what cannot be read at all hides no task of a round
    (own / "lay-up.yaml").write_text("round: lay-up\nsays: Mine\ntasks: {wash: {}, light: {}}\n")
    assert {line.split(":")[0] for line in flaws_of(common, shipped, own)} == {"own/tasks.yaml"}


def test_a_library_finds_the_rounds_of_its_own_folders_and_a_copy_counts_as_shipped(tmp_path):
    shutil.copytree(shipped_folder() / "rounds", tmp_path / "own" / "rounds")
    (tmp_path / "bare").mkdir()
    library = Library((tmp_path / "own", tmp_path / "bare"))
    assert all(round.shipped for round in library.rounds().values())
    assert {id: round.digest for id, round in library.rounds().items()} == {
        id: round.digest for id, round in Library().rounds().items()
    }
    path = tmp_path / "own" / "rounds" / "journey.yaml"
    path.write_text(path.read_text().replace("w8-fluids: {}", "w8-fluids: {after: [w4-tyres]}"))
    assert not Library((tmp_path / "own",)).round("journey").shipped
