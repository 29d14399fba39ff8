"""`diagnose trees report`: the figures of a tree on a screen, as JSON and as a page."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from diagnose.cases.store import open_store
from diagnose.terminal.wrapping import display_width
from tests.cli.test_trees_replay import lamp_case
from tests.reviewing.made_up_past import fill
from tests.terminal.conftest import LAMP

FILE = "trees/lamp-dark.yaml"
TOGETHER = """\
    wet-joint:
      says: A joint is worn and it is damp
      in_100: 20
      all_of:
        joint-worn: {says: The joint is worn, in_100: 30, remedy: {refer: workshop}}
        damp-air: {says: It is damp inside, in_100: 50, remedy: {refer: workshop}}
"""


@pytest.fixture
def lamp(tmp_path: Path) -> Path:
    """A lamp of one's own."""
    (tmp_path / "trees").mkdir()
    path = tmp_path / FILE
    path.write_text(LAMP)
    return path


def figures_of(run, *options):
    ran = run("trees", "report", FILE, "--json", *options)
    assert (ran.code, ran.err) == (0, "")
    (tree,) = json.loads(ran.out)["trees"]
    return tree


def test_the_figures_are_those_of_trees_check(run, lamp):
    found = figures_of(run)
    (checked,) = json.loads(run("trees", "check", FILE, "--json").out)["trees"]
    for key in ("expected_minutes", "expected_hands_on", "expected_wait", "expected_price", "least_minutes"):
        assert found["routes"]["owner"][key] == pytest.approx(checked[key], abs=1e-9), key
    assert found["routes"]["owner"]["least_minutes"] <= found["routes"]["owner"]["expected_minutes"]


def test_costs_and_ends_of_the_causes_average_to_those_of_the_route(run, lamp):
    found = figures_of(run, "--truths", "3")
    causes, route = found["causes"], found["routes"]["owner"]
    assert sum(each["share"] for each in causes) == pytest.approx(1)
    assert [each["share"] for each in causes] == sorted((each["share"] for each in causes), reverse=True)
    for key, of in (("minutes", "expected_minutes"), ("cured", "cured"), ("stopped", "stopped")):
        mean = sum(each["share"] * each[key] for each in causes)
        assert mean == pytest.approx(route[of], abs=1e-9), key
    right = sum(each["share"] * (each["cured"] + each["served"]) for each in causes)
    assert right == pytest.approx(route["right"], abs=1e-9)
    low, high = found["spread"]
    wider_low, wider_high = found["spread_half"]
    assert wider_low <= low <= route["expected_minutes"] <= high <= wider_high
    assert 0 <= found["lost"]["mean"] <= found["lost"]["most"]


def test_a_tree_of_ones_own_says_on_screen_and_page_that_nobody_checked_it(run, lamp):
    own = [run("trees", "report", FILE, "--truths", "0", *more).out for more in ([], ["--html"])]
    shipped = [
        run("trees", "report", "hob-hisses-on", "--truths", "0", *more).out for more in ([], ["--html"])
    ]
    said = ["nobody of this project has checked it" in " ".join(text.split()) for text in (*own, *shipped)]
    assert said == [True, True, False, False]


def test_no_truth_no_loss_and_what_is_asked_first_has_no_worth(run):
    ran = run("trees", "report", "hob-hisses-on", "--truths", "0", "--json")
    (found,) = json.loads(ran.out)["trees"]
    assert found["lost"] is None
    worth = {each["id"]: each["saves"] for each in found["checks"]}
    assert worth["smell-of-gas"] is None
    assert worth["co-alarm"] is None


@pytest.mark.parametrize("columns", [40, 80])
def test_a_screen_says_all_parts_within_its_width(run, lamp, columns):
    ran = run("trees", "report", FILE, "--truths", "2", COLUMNS=str(columns))
    assert (ran.code, ran.err) == (0, "")
    assert max(map(display_width, ran.out.splitlines())) <= columns
    text = " ".join(ran.out.split())
    for part in ("WHAT IT REACHES", "WHAT A WALK COSTS", "IF THE SHARES ARE WRONG", "THE CAUSES",
                 "WHAT EACH CHECK IS WORTH", "WHAT THE CASES SAY"):  # fmt: skip
        assert part in text
    assert "CAUSES THAT COUNT ONLY TOGETHER" not in text
    assert "No case counts in these figures: they are those of the file." in text
    assert "switch-click" in text


def test_cases_change_the_figures_and_are_told(run, lamp, tmp_path):
    store = str(tmp_path / "cases.sqlite")
    with open_store(store) as kept:
        fill(kept, [lamp_case(number, "line-dead", []) for number in range(1, 21)])
    by_file, learned = figures_of(run, "--truths", "0"), figures_of(run, "--truths", "0", "--cases", store)

    def share(found):
        return next(each["share"] for each in found["causes"] if each["id"] == "line-dead")

    assert by_file["cases"] == 0
    assert learned["cases"] > 0
    assert share(learned) > share(by_file)
    text = " ".join(run("trees", "report", FILE, "--truths", "0", "--cases", store).out.split())
    assert "20 confirmed cases had 1 different cause" in text
    assert "Never confirmed so far: The switch at the lamp is off; The bulb has gone." in text


def test_causes_that_count_only_together_have_their_importance(run, lamp):
    text = lamp.read_text()
    head, rest = text.split("checks:", 1)
    lamp.write_text(f"{head}{TOGETHER}checks:{rest}")
    found = figures_of(run, "--truths", "0")
    together = {each["id"]: each for each in found["together"]}
    assert set(together) == {"joint-worn", "damp-air"}
    hypothesis = next(each for each in found["causes"] if each["id"] == "joint-worn+damp-air")
    for each in together.values():
        assert each["share"] == pytest.approx(hypothesis["share"])
        assert each["independent"]["fussell_vesely"] > 0
    # Birnbaum of one of two that are needed together goes with the chance of the other (0.5 and 0.3).
    ratio = (
        together["joint-worn"]["independent"]["birnbaum"] / together["damp-air"]["independent"]["birnbaum"]
    )
    assert ratio == pytest.approx(0.5 / 0.3)
    assert "FUSSELL-VESELY" in run("trees", "report", FILE, "--truths", "0", COLUMNS="80").out


def test_the_page_holds_every_text_as_text_and_its_plots_are_whole(run, lamp, tmp_path):
    lamp.write_text(lamp.read_text().replace("says: The bulb", 'says: <b>The</b> "bulb'))
    ran = run("trees", "report", FILE, "hob-hisses-on", "--truths", "1", "--html", "-o", "page.html")
    assert (ran.code, ran.out) == (0, "Written: page.html\n")
    page = (tmp_path / "page.html").read_text()
    assert "<b>The" not in page
    assert "&lt;b&gt;The&lt;/b&gt;" in page
    plots = [piece.split("</svg>")[0] for piece in page.split("<svg")[1:]]
    for plot in plots:
        drawn = ET.fromstring(f"<svg{plot}</svg>")
        assert any(element.tag == "circle" for element in drawn.iter())
    assert len(plots) == 10, "minutes, spread, shares, costs and what checks save, of each tree"


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--json", "--html"], "--json and --html do not go together"),
        (["-o", "x.html"], "-o goes with --html"),
        (["--truths", "-1"], "-1"),
    ],
)
def test_options_that_do_not_go_together_are_refused(run, lamp, options, told):
    ran = run("trees", "report", FILE, *options)
    assert ran.code == 2
    assert told in ran.err + ran.out


def test_an_unknown_tree_and_a_closed_folder_are_told_in_one_line(run, lamp):
    ran = run("trees", "report", "hob-hises-on")
    assert ran.code != 0
    assert "hob-hisses-on" in ran.err
    ran = run("trees", "report", FILE, "--truths", "0", "--html", "-o", "nowhere/page.html")
    assert ran.code == 1
    assert ran.err.count("\n") == 1
