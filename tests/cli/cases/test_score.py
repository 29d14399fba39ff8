"""`diagnose cases score` as somebody runs it: on a screen of either width, as JSON, as a page."""

from __future__ import annotations

import json
import math
import os
import sys
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pexpect
import pytest

from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model
from diagnose.terminal.wrapping import display_width
from tests.cli.cases.step_stuck import STEP_STUCK
from tests.reviewing.made_up_past import Walker, fill, made_up
from tests.reviewing.test_foresight import straight


@pytest.fixture(scope="module")
def own_trees(tmp_path_factory):
    """A folder with a small tree of one's own."""
    folder = tmp_path_factory.mktemp("trees")
    (folder / "step-stuck.yaml").write_text(STEP_STUCK, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def past(own_trees):
    """Eighty invented cases of it, of which some have told what they were."""
    model = build_model(Library([own_trees]).tree("step-stuck"))
    rng = np.random.default_rng(3)
    walker = Walker(model, rng, route=straight(model))
    told = {"cured": 1.0, "referred": 0.8, "stopped": 0.5}
    return list(made_up([walker], rng, 80, told=told))


@pytest.fixture
def store(tmp_path, past):
    """Their store, as the program under test finds it."""
    place = tmp_path / "cases.sqlite"
    with open_store(str(place)) as opened:
        fill(opened, past)
    return place


@pytest.fixture
def score(run, own_trees):
    """`score(...)` runs the command with the small tree at hand."""

    def ran(*words, **environment):
        return run("cases", "score", *words, DIAGNOSE_TREES=str(own_trees), **environment)

    return ran


def test_where_no_case_is_kept_it_says_so_and_makes_no_store(score, tmp_path):
    ran = score()
    assert ran.code == 0
    assert ran.out == (
        "No case is confirmed yet, so there is nothing to score. Once you know what a\n"
        "case was: diagnose cases confirm CASE CAUSE\n"
    )
    assert not (tmp_path / "cases.sqlite").exists()


def test_the_page_tells_all_that_is_scored(score, store, past):
    ran = score()
    confirmed = sum(each.record.confirmed for each in past)
    assert (ran.code, ran.err) == (0, "")
    assert f"Scored: {confirmed} confirmed cases of one symptom." in ran.out
    for title in ("HOW GOOD THE RANKING WAS", "DID LEARNING HELP?", "MINUTES", "BY SYMPTOM"):
        assert f"\n{title}\n" in ran.out
    assert "The step will not fold in (step-stuck)" in ran.out


@pytest.mark.parametrize("columns", [80, 40])
def test_no_line_is_wider_than_the_screen_and_nothing_steers_it(score, store, columns):
    ran = score(COLUMNS=str(columns))
    assert max(map(display_width, ran.out.splitlines())) <= columns
    assert "\x1b" not in ran.out


def test_the_document_holds_every_figure(score, store, past):
    ran = score("--json")
    document = json.loads(ran.out, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
    assert list(document) == ["since", "level", "overall", "course", "symptoms", "left_out"]
    of_tree = document["symptoms"][0]
    assert list(of_tree) == [
        "symptom",
        "says",
        "walked_with_an_earlier_file",
        "endings",
        "cases",
        "worth",
        "learned",
        "by_file",
        "learning",
        "calibration",
        "minutes",
    ]
    told = document["overall"]
    assert told == {key: of_tree[key] for key in told}
    assert told["cases"] == sum(each.record.confirmed for each in past)
    assert sum(each["cases"] for each in told["calibration"]) == told["cases"]
    gain = told["by_file"]["log_loss"]["value"] - told["learned"]["log_loss"]["value"]
    assert told["learning"]["gain"]["value"] == pytest.approx(gain)
    assert math.isclose(document["course"][-1]["learned"], told["learned"]["log_loss"]["value"])
    assert set(told["minutes"]) == {"cases", "expected", "expected_by_file", "walked", "more"}
    assert sum(each["confirmed"] for each in of_tree["endings"]) == told["cases"]


def test_one_case_has_figures_and_no_interval(score, tmp_path, past):
    first = next(each for each in past if each.record.confirmed)
    with open_store(str(tmp_path / "cases.sqlite")) as opened:
        fill(opened, [first])
    told = json.loads(score("--json").out)["overall"]
    assert told["learned"]["log_loss"]["low"] is None
    assert told["learning"]["verdict"] == "too-few"
    page = score().out
    assert "1 case is too few to judge a ranking by" in page
    assert "past cases changed the ranking of no\ncase" in page


def test_since_scores_what_was_confirmed_from_that_day_on(score, store, past):
    days = sorted(each.on.date() for each in past if each.on)
    since = days[len(days) // 2]
    told = json.loads(score("--json", "--since", str(since), TZ="UTC").out)
    assert told["since"] == str(since)
    assert told["overall"]["cases"] == sum(day >= since for day in days)
    ran = score("--since", str(days[-1] + timedelta(days=1)), TZ="UTC")
    assert ran.out.startswith("No case was confirmed since ")


def test_a_tree_is_named_by_its_id_or_its_file(score, store, own_trees):
    plain = score("step-stuck", "--json").out
    assert score(str(own_trees / "step-stuck.yaml"), "--json").out == plain
    assert json.loads(plain)["overall"]["cases"] > 0
    other = score("water-pump")
    assert (other.code, other.out.startswith("No case is confirmed yet")) == (0, True)
    unknown = score("step-stucc")
    assert unknown.code == 1
    assert "step-stuck" in unknown.err


def test_what_cannot_be_scored_is_named_without_harm_to_the_screen(score, tmp_path, past):
    told = [each for each in past if each.record.confirmed][:12]
    told[0] = replace(told[0], record=replace(told[0].record, symptom="x\x1b[2Jy"))
    told[1] = replace(told[1], record=replace(told[1].record, cause="gone\u202e<b>"))
    with open_store(str(tmp_path / "cases.sqlite")) as opened:
        fill(opened, told)
    ran = score()
    assert "10 confirmed cases" in ran.out
    assert "LEFT OUT" in ran.out
    assert 'step-stuck is left out: its file has no cause "gone<b>" any more' in ran.out
    assert "\x1b" not in ran.out + ran.err
    page = score("--html").out
    assert "gone\ufffd&lt;b&gt;" in page
    assert "\x1b" not in page


def test_a_page_is_written_where_it_is_wanted(score, store, tmp_path):
    ran = score("--html", "-o", "score.html")
    assert (ran.code, ran.out) == (0, "Written: score.html\n")
    page = (tmp_path / "score.html").read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>")
    scores, _, trends = page.partition('<section id="trends"')
    assert scores.count('<svg class="plot"') == 3
    assert trends
    assert score("--html").out == page
    refused = score("--html", "-o", "no/such/score.html")
    assert (refused.code, refused.err) == (1, "cannot write no/such/score.html: No such file or directory\n")


def test_what_does_not_go_together_is_wrong_usage(score):
    assert (score("--html", "--json").code, score("-o", "x.html").code) == (2, 2)
    wrong = score("--since", "12.13.2026")
    assert wrong.code == 2
    assert "--since" in wrong.err


def test_a_bar_moves_on_a_terminal_and_nowhere_else(store, own_trees, tmp_path, score):
    assert "Scoring" not in score().err
    environment = {"DIAGNOSE_CASES": str(store), "DIAGNOSE_TREES": str(own_trees), "TERM": "xterm"}

    kept = {name: value for name, value in os.environ.items() if name != "NO_COLOR"} | environment
    program = pexpect.spawn(
        sys.executable, ["-m", "diagnose", "cases", "score"], env=kept, dimensions=(24, 80), timeout=60
    )
    program.expect("Scoring past cases")
    program.expect("BY SYMPTOM")
    program.expect(pexpect.EOF)
    program.close()
    assert program.exitstatus == 0
