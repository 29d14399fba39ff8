"""`diagnose trees fit`: the change is shown with what follows, waits for a yes, is written whole or not."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.cases.store import open_store
from diagnose.terminal.wrapping import display_width
from tests.cli.test_trees_replay import lamp_case
from tests.reviewing.made_up_past import fill
from tests.terminal.conftest import LAMP

FILE = "trees/lamp-dark.yaml"


@pytest.fixture
def lamp(tmp_path: Path) -> Path:
    """A lamp of one's own that is a bulb nearly always, by forty cases."""
    (tmp_path / "trees").mkdir()
    path = tmp_path / FILE
    path.write_text(LAMP)
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        fill(
            store,
            [
                lamp_case(
                    number,
                    "bulb-gone" if number > 4 else "line-dead",
                    [("finding", "switch-click", "on" if number % 3 else "off")],
                )
                for number in range(1, 41)
            ],
        )
    return path


def test_with_yes_the_change_is_shown_and_written(run, lamp):
    ran = run("trees", "fit", FILE, "--yes", COLUMNS="80")
    assert (ran.code, ran.err) == (0, "")
    # 20 cases' worth of 35 in 100 and 36 of 40 cases: 43 of 60.
    assert "-      in_100: 35\n+      in_100: 71.7  # 36 of 40 cases, to 2026\n" in ran.out
    assert 'bulb-gone: {"on": 0.7' in ran.out
    text = " ".join(ran.out.split())
    assert "Learned from 40 confirmed cases: 4 shares, 1 row of expectations." in text
    assert "they weigh by up to 13 cases too much (never as many as the file's strength, 20)" in text
    assert "Safety rules proved for owner and technician: 1, 2, 3, 4, 5, 6, 7." in text
    assert text.endswith("trees/lamp-dark.yaml is written.")
    assert "in_100: 71.7" in lamp.read_text()
    assert run("trees", "check", FILE).code == 0
    assert max(map(display_width, run("trees", "fit", FILE, COLUMNS="40").out.splitlines())) <= 40


def test_no_case_goes_in_twice(run, lamp):
    run("trees", "fit", FILE, "--yes")
    written = lamp.read_text()
    ran = run("trees", "fit", FILE, "--yes", COLUMNS="80")
    assert ran.out == (
        "There is no confirmed case that has not gone into the file before, so there is\nnothing to learn.\n"
        "40 confirmed cases went into the file before and are not taken again.\n"
    )
    assert lamp.read_text() == written


def test_without_a_yes_nothing_is_written(run, lamp):
    ran = run("trees", "fit", FILE)
    assert ran.code == 2
    assert ran.err == "nobody can be asked here; with --yes the change is written\n"
    assert "+      in_100: 71.7" in ran.out
    assert lamp.read_text() == LAMP


def test_too_few_cases_are_told(run, lamp):
    ran = run("trees", "fit", FILE, "--at-least", "50", "--yes", COLUMNS="80")
    assert ran.out == "There are 40 confirmed cases, fewer than 50: too few to change a file.\n"
    assert lamp.read_text() == LAMP


def test_a_figure_that_fits_stays(run, lamp):
    lamp.with_name("other.yaml").write_text(LAMP)
    ran = run("trees", "fit", "trees/other.yaml", "--yes")
    assert ran.out == "There is no confirmed case, so there is nothing to learn.\n"


def test_a_route_that_would_break_a_rule_is_refused_and_the_file_untouched(run, lamp, monkeypatch):
    from diagnose.revising import consequences
    from diagnose.terms import DiagnoseError

    def unsafe(model, folder=None):
        raise DiagnoseError("rule 1 is broken on start > hum")

    monkeypatch.setattr(consequences, "route_for", unsafe)
    ran = run("trees", "fit", FILE, "--yes")
    assert (ran.code, ran.out, ran.err) == (1, "", "rule 1 is broken on start > hum\n")
    assert lamp.read_text() == LAMP


def test_a_shipped_tree_is_not_changed_in_place(run, lamp):
    ran = run("trees", "fit", "water-pump", "--yes")
    assert ran.code == 1
    assert "name a folder of your own trees with --trees" in ran.err


def test_a_broken_tree_tells_its_flaws(run, lamp):
    lamp.write_text(LAMP.replace("in_100: 40", "in_100: 400"))
    ran = run("trees", "fit", FILE, "--yes")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.startswith("trees/lamp-dark.yaml:12:15:")


def test_the_least_number_is_the_one_of_the_rule():
    """It stands in the command a second time, so that asking for help loads no arrays."""
    from diagnose.cli.trees.fit import command
    from diagnose.revising.fitting import AT_LEAST

    assert {each.name: each.default for each in command.params}["at_least"] == AT_LEAST
