"""`diagnose card dates`: what is due on a screen, as JSON, and as a file for a calendar."""

from __future__ import annotations

import json
from datetime import date

import icalendar
import pytest

CARD = """\
label: the blue van
country: uk
dates:
  gas-hose: 2022-01-09
  gas-check: 2024-03-03
  alarm: 2026-12
  medical: 2027-05-01
  leisure-battery: 2020-05
"""


@pytest.fixture
def card(tmp_path):
    file = tmp_path / "van.yaml"
    file.write_text(CARD, encoding="utf-8")
    return file


def test_what_is_due_stands_first_then_what_comes_then_what_is_unknown(run, card):
    ran = run("card", "dates", "van.yaml", "--on", "2026-11-29")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith(
        "The dates of the blue van, on 29 November 2026\n\nDue\n  - Gas check: overdue since"
    )
    told = [line for line in ran.out.splitlines() if line.startswith("  - ")]
    assert told[1:4] == [
        "  - Carbon-monoxide alarm: due in 32 days, on 31 December 2026.",
        "  - Gas hose: due in 41 days, on 9 January 2027.",
        "  - Driver's medical: due in 153 days, on 1 May 2027.",
    ]
    assert "  - Leisure battery: 6 years old; nothing is due." in told
    assert ran.out.rstrip().endswith("This does not certify that the vehicle is safe.")


def test_a_narrow_screen_is_kept_to(run, card):
    ran = run("card", "dates", "van.yaml", "--on", "2026-11-29", COLUMNS="40")
    assert max(map(len, ran.out.splitlines())) <= 40


def test_without_a_day_it_is_today(run, card):
    assert json.loads(run("card", "dates", "van.yaml", "--json").out)["on"] == date.today().isoformat()


def test_as_json_it_is_one_document(run, card):
    ran = run("card", "dates", "van.yaml", "--json", "--on", "2026-11-29")
    told = json.loads(ran.out)
    assert list(told) == ["vehicle", "on", "dates", "notes"]
    states = {each["date"]: (each["state"], each["days"]) for each in told["dates"]}
    assert states["gas-check"] == ("overdue", -636)
    assert states["gas-hose"] == ("ahead", 41)
    assert states["tyres"] == ("unknown", None)
    assert states["leisure-battery"] == ("never", None)


def test_a_calendar_holds_the_vehicles_dates_and_the_drivers_only_on_request(run, card, tmp_path):
    ran = run("card", "dates", "van.yaml", "--calendar", "-o", "dates.ics", "--on", "2026-11-29")
    assert (ran.code, ran.out) == (0, "")
    assert "Left out: the dates of the driver's own papers." in ran.err
    assert "1 day is overdue already" in ran.err
    content = (tmp_path / "dates.ics").read_bytes()
    assert b"medical" not in content
    read = icalendar.Calendar.from_ical(content)
    assert [event.start for event in read.events] == [
        date(2025, 3, 3),
        date(2026, 12, 31),
        date(2027, 1, 9),
    ]
    whole = run("card", "dates", "van.yaml", "--calendar", "--driver", "--on", "2026-11-29")
    assert "SUMMARY:Driver's medical due: the blue van" in whole.out
    assert "Left out" not in whole.err


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("--calendar", "--json"), 2, "--calendar and --json are two forms of the same"),
        (("--driver",), 2, "--driver goes with --calendar"),
        (("--on", "2026-02-30"), 2, "there is no day 2026-02-30"),
        (("-o", "van.yaml"), 2, "van.yaml is the card itself"),
        (("--calendar", "-o", "nowhere/dates.ics"), 1, "cannot write nowhere/dates.ics"),
        (("-o", "nowhere/dates.txt"), 1, "cannot write nowhere/dates.txt"),
    ],
)
def test_what_cannot_be_done_is_told_in_a_line_and_leaves_the_card(run, card, words, code, says):
    ran = run("card", "dates", "van.yaml", *words)
    assert ran.code == code
    assert says in ran.err + ran.out
    assert "Traceback" not in ran.err
    assert card.read_text(encoding="utf-8") == CARD


def test_a_card_without_a_date_that_is_ever_due_makes_no_calendar(run, tmp_path):
    (tmp_path / "bare.yaml").write_text("dates: {starter-battery: 2020-05}\n", encoding="utf-8")
    ran = run("card", "dates", "bare.yaml", "--calendar", "-o", "dates.ics")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == "bare.yaml holds no date that is ever due, so there is no calendar to make\n"
    assert not (tmp_path / "dates.ics").exists()


def test_every_flaw_of_a_card_is_told_and_nothing_is_written(run, tmp_path):
    (tmp_path / "bad.yaml").write_text("dates: {gas-hose: 2199-01, alarm: 2026-13}\n", encoding="utf-8")
    ran = run("card", "dates", "bad.yaml", "--calendar", "-o", "dates.ics")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.splitlines() == [
        'bad.yaml:1:19: gas-hose is "2199-01", which is still to come',
        'bad.yaml:1:35: alarm is "2026-13", which cannot be: it wants a day of the calendar',
    ]
    assert not (tmp_path / "dates.ics").exists()
