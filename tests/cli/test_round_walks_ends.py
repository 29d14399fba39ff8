"""What becomes of a walk that a round has opened is known to the round, wherever and however it ends."""

from __future__ import annotations

import pytest

from diagnose.cases.rounds_store import round_kept
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from tests.cli.test_round_walks import TASK
from tests.terminal.conftest import LAMP

IN = ("caravan", "wrong: it stays dark", "1")
"""From the round into its walk."""


@pytest.fixture
def lamps(run, tmp_path):
    """Round 1, of which only the lamp is left; its tree hands over to another where no current comes."""
    folder = tmp_path / "own"
    (folder / "rounds").mkdir(parents=True)
    lamp = LAMP.replace("refer_to: workshop\n", "refer_to: workshop\napplies_to: {build: [caravan]}\n", 1)
    seen = lamp.replace("remedy: {refer: workshop}", "remedy: {see: lamp-flickers}")
    (folder / "lamp-dark.yaml").write_text(seen, encoding="utf-8")
    other = lamp.replace("The lamp over the table stays dark", "The lamp flickers")
    (folder / "lamp-flickers.yaml").write_text(other.replace("table lamp dead", "flickering"))
    (folder / "rounds" / "tasks.yaml").write_text(TASK, encoding="utf-8")
    shipped = Library().round("journey").tasks
    listed = "".join(f"  {id}: {{}}\n" for id in (*shipped, "x-lamp"))
    (folder / "rounds" / "journey.yaml").write_text(f"round: journey\nsays: Before we go\ntasks:\n{listed}")
    (tmp_path / "rest.yaml").write_text("".join(f"{id}: fine\n" for id in shipped), encoding="utf-8")
    assert run("round", "journey", "--vehicle", "van 7", "--trees", "own", "--marks", "rest.yaml").code == 0

    def go(*typed, command=("round", "--resume", "1")):
        ran = run(*command, "--trees", "own", typed="".join(f"{line}\n" for line in typed))
        assert (ran.code, ran.err) == (0, "")
        return ran.out

    return go


@pytest.fixture
def kept(tmp_path):
    """`kept()` are round 1 and the states of all cases by number."""

    def read():
        with open_store(str(tmp_path / "cases.sqlite")) as store:
            return round_kept(store, 1), {record.case: record.state for record in store.cases()}

    return read


def cases_of_the_lamp(record):
    return [line.case for line in record.lines if line.subject == "x-lamp" and line.noted == "mark"]


@pytest.mark.long
def test_where_another_tree_knows_better_the_task_has_its_case_and_what_is_known_comes_along(lamps, kept):
    out = lamps(*IN, "on", "0.2", "3", "leave off")
    assert "What you have found comes along." in out
    assert out.count("What kind of vehicle is it?") == out.count("Which way does the switch stand?") == 1
    assert out.index("TO BE HANDED OVER") < out.index("Back to the round.")
    record, states = kept()
    assert (cases_of_the_lamp(record), states) == ([None, 1, 2], {1: "referred", 2: "referred"})
    assert [line.note for line in record.lines if line.case == 2] == ["it stays dark"]


@pytest.mark.long
def test_once_it_is_told_what_it_was_the_task_is_looked_at_once_more(lamps, run, kept):
    lamps(*IN, "on", "0.2", "3", "leave off")
    assert "Try the lamp over the table" not in lamps("leave off").split("Wrong: ")[0]
    assert run("cases", "confirm", "2", "line-dead", "--trees", "own").code == 0
    again = lamps("fine")
    assert "It was wrong, and it has been put right: look at it once more." in again
    assert cases_of_the_lamp(kept()[0])[-1] is None


@pytest.mark.parametrize(
    "told", [("danger",), pytest.param(("on", "I can smell gas"), marks=pytest.mark.long)]
)
def test_a_stop_is_kept_though_the_input_ends_right_behind_its_screen(lamps, kept, told):
    out = lamps(*IN, *told)
    assert "STOP - DANGER" in out
    record, states = kept()
    assert (record.stage, states) == ("stopped", {1: "stopped"})
    assert record.lines[-1].noted == "danger"
    assert "Has somebody qualified looked at that since" in lamps()


@pytest.mark.long
def test_an_input_that_ends_in_the_second_tree_leaves_that_one_to_be_gone_on_with(lamps, kept):
    lamps(*IN, "on", "0.2")
    record, states = kept()
    assert cases_of_the_lamp(record)[-1] == 2
    assert states[1] == "referred"


@pytest.mark.long
def test_what_could_not_be_done_ends_with_somebody_else_and_the_round_goes_on(lamps, kept):
    out = lamps(*IN, "could not", "could not", "could not", "could not", "3", "leave off")
    assert "Back to the round." in out
    assert "To be called: A workshop for leisure vehicles." in out
    assert kept()[1][1] == "referred"


def test_gone_on_with_apart_from_the_round_its_danger_stops_the_round_too(lamps, kept):
    lamps(*IN, "leave off", "leave off")
    out = lamps("danger", "3", command=("walk", "--resume", "1"))
    assert "The round it came from is stopped too (Before a journey: van 7)." in " ".join(out.split())
    assert kept()[0].stage == "stopped"


@pytest.mark.long
def test_gone_on_with_apart_from_the_round_it_says_how_the_round_goes_on(lamps, kept):
    lamps(*IN, "on", "leave off", "leave off")
    out = lamps("0.2", "3", command=("walk", "--resume", "1"))
    assert "It came from a round (Before a journey: van 7). To go on with that:" in " ".join(out.split())
    assert "  diagnose round --resume 1 --trees own" in out
    assert cases_of_the_lamp(kept()[0])[-1] == 2


@pytest.mark.long
def test_a_cure_apart_from_the_round_brings_its_task_back(lamps, kept):
    lamps(*IN, "leave off", "leave off")
    out = lamps("off", "1", "yes", command=("walk", "--resume", "1"))
    assert "Look at that task once more:" in " ".join(out.split())
    assert "It was wrong, and its walk ended in a cure: look at it once more." in lamps("fine")
