"""`diagnose round NAME --fleet FOLDER`: one page, document or PDF for all vehicles; nothing is recorded."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from io import BytesIO

import pytest
from pypdf import PdfReader

from diagnose.cases.store import open_store
from tests.rounds.fleets import begun, write_card

TODAY = date.today()
HELD = f"gas-check: {TODAY}, mains-check: {TODAY}"
SOON = str(TODAY + timedelta(days=12))


@pytest.fixture
def yard(tmp_path):
    """Three vehicles: one is done but for nobody's check, one has begun, one stands."""
    folder = tmp_path / "yard"
    write_card(folder, "van 1", "build: campervan, use: hired", "alarm: 2060-01")
    write_card(folder, "van 2", "build: campervan, use: hired", HELD)
    write_card(folder, "van 3", "build: campervan, use: hired", f"{HELD}, gas-hose: 2010-01")
    return folder


def test_the_page_tells_of_each_vehicle_and_begins_nothing(run, yard, tmp_path):
    told = run("round", "hand-over", "--fleet", "yard")
    assert (told.code, told.err) == (0, "")
    assert "Hand-over: 3 vehicles" in told.out
    assert "Gas engineer: 2 vehicles, about 80 minutes there" in told.out
    assert "This does not certify that the vehicle is safe." in told.out
    assert sorted(path.name for path in tmp_path.iterdir()) == ["yard"]


def test_marks_in_the_store_count(run, yard, tmp_path):
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        begun(store, "van 2", {"w4-tyres": "fine"}, "hand-over", at=datetime.now(UTC))
    told = run("round", "hand-over", "--fleet", "yard", "--json", "--cases", "cases.sqlite")
    document = json.loads(told.out)
    done = {each["vehicle"]: each["tasks"] - len(each["left"]) for each in document["vehicles"]}
    assert done == {"van 1": 0, "van 2": 1, "van 3": 0}
    assert document["minutes_left"] == pytest.approx(
        sum(each["minutes_left"] for each in document["vehicles"])
    )
    assert document["forecast"] is None
    assert [visit["referral"] for visit in document["visits"]] == ["gas-engineer", "electrician"]


@pytest.mark.long
def test_a_day_to_be_out_by_comes_with_an_interval_and_the_same_each_time(run, yard):
    asked = ("round", "hand-over", "--fleet", "yard", "--out-by", SOON, "--people", "2", "--json")
    document = json.loads(run(*asked).out)
    told = document["forecast"]
    assert (told["by"], told["days"], told["assumptions"]["people"]) == (SOON, 12, 2)
    assert 0 <= told["low"] < told["expected_out"] < told["high"] <= 3
    assert sum(each["chance"] for each in document["vehicles"]) == pytest.approx(told["expected_out"])
    assert json.loads(run(*asked).out) == document


@pytest.mark.long
def test_the_page_to_be_printed_is_a_pdf(run, yard, tmp_path):
    assert run("round", "hand-over", "--fleet", "yard", "-o", "yard.pdf").code == 0
    (page,) = PdfReader(BytesIO((tmp_path / "yard.pdf").read_bytes())).pages
    assert "Whom to call" in page.extract_text()


def test_every_flaw_of_every_card_is_told_and_nothing_else(run, yard):
    write_card(yard, "van 4", label="Van 1")
    write_card(yard, "van 5", facts="bild: campervan")
    refused = run("round", "hand-over", "--fleet", "yard")
    assert (refused.code, refused.out) == (1, "")
    assert refused.err.splitlines() == [
        'yard/van-4.yaml:1:8: "Van 1" has two cards; the other is yard/van-1.yaml',
        'yard/van-5.yaml:2:9: facts names "bild", which is no fact (did you mean "build"?)',
    ]


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("hand-over", "--fleet", "nowhere"), 'there is no folder "nowhere"'),
        (("--fleet", "yard"), "which round? Write: diagnose round wake-up --fleet FOLDER"),
        (("hand-ovr", "--fleet", "yard"), 'there is no round "hand-ovr"'),
        (("hand-over", "--people", "2"), "go with --fleet"),
        (("hand-over", "--fleet", "yard", "--people", "2"), "are for --out-by"),
        (("hand-over", "--fleet", "yard", "--vehicle", "x"), "--fleet shows all vehicles at once"),
        (("hand-over", "--fleet", "yard", "--out-by", "today"), "is not within the two years to come"),
        (("hand-over", "--fleet", "yard", "--out-by", SOON, "--visit", "gas-enginer=x"), '"gas-engineer"?'),
        (("hand-over", "--fleet", "yard", "--out-by", SOON, "--visit", "workshop=soon"), "wants a day"),
        (("hand-over", "--fleet", "yard", "--out-by", SOON, "--visit", "workshop=2020-01-01"), "not within"),
        (("hand-over", "--fleet", "yard", "-o", "yard.html"), "write -o yard.pdf"),
        (("hand-over", "--fleet", "yard", "--out-by", SOON, "--minutes-a-day", "nan"), "takes a number"),
        (("hand-over", "--fleet", "yard", "--out-by", SOON, *2 * ("--visit", f"workshop={SOON}")), "twice"),
    ],
)
def test_what_cannot_be_is_told_in_one_line(run, yard, options, says):
    refused = run("round", *options)
    assert (refused.code, refused.out) == (2, "")
    assert says in refused.err
    assert len(refused.err.splitlines()) == 1


def test_with_json_a_refusal_is_json_too(run, yard):
    refused = run("round", "hand-over", "--fleet", "yard", "--json", "-o", "yard.pdf")
    assert refused.code == 2
    (error,) = json.loads(refused.out)["errors"]
    assert error["message"] == "--json prints its document; -o is for the page to be printed"
