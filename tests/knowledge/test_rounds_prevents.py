"""What a task of a round keeps away: every tree and cause that it names is there, or is told at its place."""

import pytest

from diagnose.knowledge.collection import Library
from diagnose.knowledge.rounds import load_rounds
from diagnose.terms import FlawedKnowledge
from tests.knowledge.rounds_of_two import FILES, TREES, written

CAUSES = {"water-pump": {"pump-seized", "fuse"}, "tyres-soft-old": {"puncture"}, "hob-goes-out": None}
AT = "  prevents: {water-pump: [pump-seized]}\n"


def said_of(common, folder, prevents, **more):
    files = FILES | {"tasks": FILES["tasks"] + prevents}
    try:
        rounds = load_rounds(
            common, TREES, written(folder, files), shown=lambda path: path.name, causes_of=CAUSES.get, **more
        )
    except FlawedKnowledge as refused:
        return [str(flaw) for flaw in refused.flaws]
    return rounds["wake-up"].tasks["pump"].prevents


def test_it_is_read_as_it_is_written(common, tmp_path):
    assert said_of(common, tmp_path, AT) == {"water-pump": {"pump-seized"}}


@pytest.mark.parametrize(
    ("prevents", "told"),
    [
        (
            "{water-pump: [pump-siezed]}",
            '39:27: prevents names "pump-siezed", which is no cause of tree "wat',
        ),
        ("{water-pmp: [pump-seized]}", '39:14: prevents names "water-pmp", which is no tree here'),
        ("[water-pump]", "39:13: prevents wants a mapping, not a list"),
        ("{water-pump: []}", "39:14: water-pump is empty; it wants one or more"),
    ],
)
def test_each_flaw_is_told_at_its_place_with_the_nearest_word(common, tmp_path, prevents, told):
    (flaw,) = said_of(common, tmp_path, f"  prevents: {prevents}\n")
    assert flaw.startswith(f"tasks.yaml:{told}")
    for wrong, meant in (("siezed", "pump-seized"), ("pmp", "water-pump")):
        assert wrong not in prevents or f'"{meant}"' in flaw or f" {meant}" in flaw


def test_of_a_tree_that_cannot_be_read_no_cause_is_judged(common, tmp_path):
    assert said_of(common, tmp_path, "  prevents: {hob-goes-out: [anything]}\n") == {
        "hob-goes-out": {"anything"}
    }


def test_where_it_has_to_be_quick_shipped_tasks_are_taken_at_their_word(common, tmp_path):
    assert said_of(common, tmp_path, "  prevents: {water-pump: [x]}\n", thorough=False) == {
        "water-pump": {"x"}
    }


def test_what_a_task_prevents_is_no_part_of_its_digest(common, tmp_path):
    """A round that is kept is not said to have another file for it."""
    with_it = FILES | {"tasks": FILES["tasks"] + AT}
    one = load_rounds(common, TREES, written(tmp_path / "a"))
    other = load_rounds(common, TREES, written(tmp_path / "b", with_it))
    assert one["wake-up"].digest == other["wake-up"].digest


def test_every_cause_that_a_shipped_task_names_is_there():
    """Those of the lay-up alone prevent something: on the other rounds it is looked for."""
    rounds = Library().rounds(thorough=True)
    assert all(task.prevents for task in rounds["lay-up"].tasks.values())
    assert not any(
        task.prevents for id, round in rounds.items() if id != "lay-up" for task in round.tasks.values()
    )
