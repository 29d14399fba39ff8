"""What the trees and the fleet's cases say for a round: at the prompt, on paper, as JSON, and days later."""

import json
from datetime import UTC, datetime, timedelta

import pytest

from diagnose.cases.rounds_store import rounds_kept
from diagnose.cases.store import open_store
from diagnose.cli.round_short import vehicle_years
from tests.reviewing.made_up_past import fill
from tests.rounds.test_preventions_spoken import NOW, case

TANK = "prevent-bits-in-water-tank-dirt"
FACTS = "label: Van 7\nfacts: {build: caravan, fridge-sources: three-way, battery: lithium}\n"


@pytest.fixture
def store(tmp_path):
    """The address of the store that the program opens."""
    return str(tmp_path / "cases.sqlite")


def filled(store, *past):
    with open_store(store) as opened:
        fill(opened, past)


def document(run, *arguments):
    ran = run("round", "lay-up", *arguments, "--json")
    assert (ran.code, ran.err) == (0, "")
    return json.loads(ran.out)


def from_the_trees(told):
    return [task["task"] for task in told["tasks"] if task["from_the_trees"]]


def test_a_lay_up_asks_a_few_of_them_books_others_and_holds_the_rest_ready(run):
    told = document(run)
    assert from_the_trees(told) == [
        TANK,
        "prevent-bits-in-water-filter-spent",
        "prevent-leak-inside-pump-or-filter",
        "prevent-leak-inside-waste-trap",
    ]
    of = {task["task"]: task for task in told["tasks"]}
    assert of[TANK]["prevents"] == {"bits-in-water": ["tank-dirt"]}
    assert "seal-dry" in of["p15-cassette"]["prevents"]["cassette-blade"]
    assert [line.split(":")[0] for line in of["p3-list"]["reasons"]] == [
        "To book with a gas engineer who is registered for LPG in leisure vehicles",
        "To book with an auto-electrician",
        "To book with a workshop for leisure vehicles",
        "To book with a qualified electrician; for the post or its socket, the site itself",
    ]
    assert "guard-stuck" in json.dumps(told["preventions"]["to_book"]["gas-engineer"])
    assert not {each["prevention"] for each in told["preventions"]["not_asked"]} & set(of)


def test_other_rounds_are_as_their_files_have_them(run):
    ran = run("round", "wake-up", "--json")
    assert not from_the_trees(json.loads(ran.out))
    assert "preventions" not in json.loads(ran.out)
    refused = run("round", "wake-up", "--preventions")
    assert (refused.code, refused.err) == (2, "--preventions is for the lay-up, not for a wake-up\n")
    refused = run("round", "lay-up", "--preventions", "--short", "30")
    assert refused.code == 2
    assert refused.err.startswith("--preventions only shows")


@pytest.mark.long
def test_all_of_it_is_shown_on_request(run):
    ran = run("round", "lay-up", "--preventions", COLUMNS="40")
    assert (ran.code, ran.err) == (0, "")
    assert max(map(len, ran.out.splitlines())) <= 40
    order = ["Tasks of this lay-up", "wipe the tank", "To book with a gas engineer", "The rest"]
    at = [ran.out.index(words) for words in order]
    assert at == sorted(at)
    told = json.loads(run("round", "lay-up", "--preventions", "--json").out)
    saved = [each["minutes_saved"] for each in told["tasks"]]
    assert saved == sorted(saved, reverse=True)
    assert len(saved) == 4


@pytest.mark.long
def test_what_was_marked_is_still_there_on_a_day_when_the_cases_make_another_choice(run, store):
    typed = "2\n" + "fine\n" * 30
    assert run("round", "lay-up", "--by", "A.", typed=typed).code == 0
    with open_store(store) as kept:
        (record,) = rounds_kept(kept)
    marked = {line.subject for line in record.lines if line.noted == "mark"}
    assert TANK in marked
    filled(store, *(case(n, "filter-blocked", 6) for n in range(101, 141)))
    today = document(run)
    assert "prevent-water-pump-filter-blocked" in from_the_trees(today)
    assert TANK not in from_the_trees(today)
    told = json.loads(run("round", "lay-up", "--resume", "1", "--json").out)
    ends = {task["task"]: task["end"] for task in told["tasks"]}
    assert ends[TANK] == "fine"
    assert ends["prevent-water-pump-filter-blocked"] is None
    assert "no more" not in run("round", "--kept", "1").out
    assert record.stage == "ended"
    assert "Left:" not in run("round", "--kept", "1").out


@pytest.mark.long
def test_the_fleets_cases_speak_at_the_prompt_on_paper_and_in_the_document(run, store):
    filled(store, *(case(n, "pump-seized", 6) for n in range(1, 12)))
    reason = (
        "In this fleet 11 of 11 confirmed cases after three months or more of lay-up were what this keeps"
    )
    of = {task["task"]: task["reasons"] for task in document(run)["tasks"]}
    assert of["p4-drain"][0].startswith(reason)
    assert not of["p14-wash"]
    paper = " ".join(run("round", "lay-up", "--list", "--format", "txt").out.split())
    assert paper.count("In this fleet") == 1
    assert reason in paper[paper.index("(p4-drain)") :]
    shown = run("round", "lay-up", typed="3\n" + "fine\n" * 30).out
    before = " ".join(shown.split()).split(reason)[0]
    assert before.rindex("Drain all water") > before.rindex("Task ")
    wake_up = json.loads(run("round", "wake-up", "--json").out)
    spoken = [task["task"] for task in wake_up["tasks"] if task["reasons"]]
    assert spoken == ["w12-fill"]


@pytest.mark.long
def test_marks_of_paper_come_back_though_the_cases_make_another_choice_by_now(run, store, tmp_path):
    filled(store, *(case(n, "filter-blocked", 6) for n in range(101, 141)))
    assert TANK not in from_the_trees(document(run))
    (tmp_path / "found.yaml").write_text(f"{TANK}: fine\np14-wash: fine\n", encoding="utf-8")
    told = document(run, "--marks", "found.yaml")
    assert {task["task"]: task["end"] for task in told["tasks"]}[TANK] == "fine"
    (tmp_path / "found.yaml").write_text("prevent-bits-in-water-tank-dirtt: fine\n", encoding="utf-8")
    refused = run("round", "lay-up", "--marks", "found.yaml")
    assert TANK in refused.err


@pytest.mark.long
def test_a_short_round_weighs_them_and_never_leaves_safety_out_for_them(run):
    told = document(run, "--short", "60")
    safety = {task["task"] for task in told["tasks"] if task["safety"]}
    assert safety <= set(told["order"])
    assert set(from_the_trees(told)) & set(told["short"]["left_out"])


@pytest.mark.long
def test_what_is_not_fitted_to_the_vehicle_is_not_asked(run, tmp_path):
    (tmp_path / "van.yaml").write_text(FACTS, encoding="utf-8")
    told = json.loads(run("round", "lay-up", "--preventions", "--vehicle", "./van.yaml", "--json").out)
    of = json.dumps(told)
    assert "prevent-absorption-fridge" in of
    assert "prevent-compressor-fridge" not in of


def test_a_stores_first_day_counts_for_a_year_of_each_of_its_vehicles(store):
    """Three vehicles: three years on the first day and for a year on, then as long as they were known."""
    with open_store(store) as kept:
        assert vehicle_years(kept, NOW) == 0
        fill(kept, [case(n, "pump-seized", 6) for n in (1, 2, 3)])
        first = datetime(2026, 11, 1, 9, tzinfo=UTC)
        for days, years in ((0, 3), (200, 3), (731, 3 * 731 / 365.25)):
            assert vehicle_years(kept, first + timedelta(days=days)) == pytest.approx(years, abs=1e-9)
