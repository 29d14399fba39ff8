"""`diagnose cases trends` as somebody runs it."""

from __future__ import annotations

import json
import math

import pytest

from diagnose.cases.store import open_store
from tests.reviewing.fleet import past
from tests.reviewing.made_up_past import fill


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A store that holds the fleet."""
    place = str(tmp_path_factory.mktemp("fleet") / "cases.sqlite")
    with open_store(place) as store:
        fill(store, past())
    return place


def test_the_page_says_what_comes_back(run, place):
    ran = run("cases", "trends", "--cases", place)
    assert ran.code == 0
    assert "came back in" in ran.out
    assert "van 13: " in ran.out
    assert ran.err == ""


def test_the_document_holds_every_figure(run, place):
    ran = run("cases", "trends", "--cases", place, "--json")
    document = json.loads(ran.out, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
    assert list(document) == [
        "symptom",
        "vehicle",
        "since",
        "until",
        "within_months",
        "counted",
        "returns",
        "vehicles",
        "again",
        "years",
        "months",
        "laid_up",
        "prevention",
    ]
    assert document["counted"]["cases"] == sum(each.record.confirmed for each in past())
    first = document["returns"][0]
    assert (first["cause"], first["stands_out"]) == ("flue-nest", True)
    assert first["share"]["value"] == first["came_back"] / first["vehicles"]
    assert math.fsum(each["value"] for each in document["months"]["cases"]) == document["counted"]["cases"]


def test_one_symptom_one_vehicle_and_some_days(run, place):
    ran = run(
        *("cases", "trends", "--cases", place, "--json", "--symptom", "Heater-No-Fire"),
        *("--vehicle", "VAN 1", "--since", "2022-01-01", "--until", "2024-12-31", "--within", "24"),
        TZ="UTC",
    )
    document = json.loads(ran.out)
    assert document["symptom"] == "heater-no-fire"
    assert (document["since"], document["until"], document["within_months"]) == (
        "2022-01-01",
        "2024-12-31",
        24,
    )
    fits = [
        each.record
        for each in past()
        if each.record.confirmed
        and each.record.symptom == "heater-no-fire"
        and each.record.vehicle == "van 1"
        and 2022 <= each.record.opened.year <= 2024
    ]
    assert document["counted"]["cases"] == len(fits) > 0
    assert document["vehicles"] is None


def test_the_page_is_that_of_the_scores_on_the_same_cases(run, place, tmp_path):
    options = ("--cases", place, "--since", "2026-09-01", "--html", "-o")
    told = run("cases", "trends", "--symptom", "water-pump", *options, "trends.html")
    assert (told.code, told.out) == (0, "Written: trends.html\n")
    assert run("cases", "score", "water-pump", *options, "score.html").code == 0
    page = (tmp_path / "trends.html").read_text(encoding="utf-8")
    assert page == (tmp_path / "score.html").read_text(encoding="utf-8")
    assert '<section id="scores"' in page
    assert '<section id="trends"' in page


def test_of_one_vehicle_the_page_has_the_trends_alone(run, place):
    page = run("cases", "trends", "--cases", place, "--vehicle", "van 13", "--html").out
    assert '<section id="trends"' in page
    assert '<section id="scores"' not in page


def test_where_nothing_is_kept_nothing_is_made(run, tmp_path):
    ran = run("cases", "trends")
    assert (ran.code, ran.out) == (
        0,
        "No confirmed case fits. Only confirmed cases are counted: diagnose cases confirm\n",
    )
    assert not (tmp_path / "cases.sqlite").exists()


def test_an_unknown_symptom_is_told_with_the_nearest(run, place):
    ran = run("cases", "trends", "--cases", place, "--symptom", "heater-no-fyre")
    assert ran.code == 1
    assert "heater-no-fire" in ran.err


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--since", "2026-02-01", "--until", "2026-01-01"], "--since 2026-02-01 is later than"),
        (["--since", "01.02.2026"], "2026-02-01"),
        (["--within", "0"], "0"),
        (["--json", "--html"], "--json and --html do not go together"),
        (["-o", "trends.html"], "-o goes with --html"),
    ],
)
def test_wrong_usage_is_told(run, place, options, told):
    ran = run("cases", "trends", "--cases", place, *options)
    assert ran.code == 2
    assert told in ran.err + ran.out
