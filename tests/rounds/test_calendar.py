"""The calendar file: RFC 5545 by its own words, and read back by the icalendar library."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import DATES
from diagnose.knowledge.plates import looks_like_a_plate
from diagnose.rounds.calendar import calendar, escaped, folded
from diagnose.rounds.due import due_dates

TODAY = date(2026, 11, 29)
STAMP = datetime(2026, 11, 29, 8, 30, 15, tzinfo=UTC)
DUES = due_dates(VehicleCard(dates={"gas-hose": date(2022, 1, 9), "alarm": date(2024, 2, 29)}), TODAY)
LABELS = st.text(min_size=1, max_size=60)


def events(content):
    """The events as the library reads them; it raises for what is no calendar."""
    read = icalendar.Calendar.from_ical(content)
    assert read.errors == []
    assert (read["version"], len(read.events)) == ("2.0", len(read.subcomponents))
    for event in read.events:
        assert event.errors == []
    return read.events


def test_each_due_day_is_an_event_of_a_whole_day_with_a_reminder_before_it():
    alarm, hose = events(calendar("the blue van", DUES, STAMP))
    assert (alarm.start, hose.start) == (date(2024, 2, 29), date(2027, 1, 9))
    assert hose["dtstart"].params["value"] == "DATE"
    assert hose.end - hose.start == timedelta(days=1)  # by RFC 5545, 3.6.1, where no end is given
    assert hose["summary"] == "Gas hose due: the blue van"
    assert hose["description"] == (
        "Of 9 January 2022 by the card. Have it changed by a gas engineer. "
        "This reminds, and certifies nothing."
    )
    assert hose["dtstamp"].dt == STAMP
    (reminder,) = hose.walk("VALARM")
    assert (reminder["action"], reminder["trigger"].dt) == ("DISPLAY", timedelta(days=-30))
    assert reminder["description"] == hose["summary"]


def test_a_reminder_stands_as_long_before_as_is_asked():
    for event in events(calendar("van", DUES, STAMP, remind=14)):
        assert event.walk("VALARM")[0]["trigger"].dt == timedelta(days=-14)


def test_the_moment_is_told_in_universal_time():
    east = STAMP.astimezone(timezone(timedelta(hours=9)))
    assert calendar("van", DUES, east) == calendar("van", DUES, STAMP)


def test_an_event_keeps_its_uid_from_run_to_run_and_when_its_day_moves():
    later = due_dates(VehicleCard(dates={"gas-hose": TODAY, "alarm": TODAY}), TODAY)
    first = {event["summary"]: event["uid"] for event in events(calendar("van", DUES, STAMP))}
    again = {event["summary"]: event["uid"] for event in events(calendar("van", later, datetime.now(UTC)))}
    assert first == again
    other = {event["uid"] for event in events(calendar("other van", DUES, STAMP))}
    assert len({*first.values(), *other}) == 4


def test_what_is_unknown_or_never_due_is_no_event_and_none_at_all_is_no_calendar():
    with pytest.raises(ValueError, match="without an event"):
        calendar("van", due_dates(VehicleCard(dates={"leisure-battery": TODAY}), TODAY), STAMP)


# RFC 5545, 3.1: lines end in CR LF and have 75 octets at most, their end apart.
@given(LABELS)
def test_any_label_comes_back_from_the_library_and_breaks_no_line(label):
    content = calendar(label, DUES, STAMP)
    assert content.endswith(b"\r\n")
    lines = content.split(b"\r\n")[:-1]
    for line in lines:
        assert 0 < len(line) <= 75
        assert b"\r" not in line
        assert b"\n" not in line
        line.decode("utf-8")  # no letter is cut in two
    assert len(content.decode().splitlines()) == len(lines)  # nor where other programs see line ends
    shown = "".join(letter if letter.isprintable() else " " for letter in label)
    own = "" if looks_like_a_plate(label) else f": {shown}"
    found = sorted(str(event["summary"]) for event in events(content))
    assert found == sorted([f"Carbon-monoxide alarm due{own}", f"Gas hose due{own}"])


@pytest.mark.parametrize(
    "label",
    [
        "van\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nUID:1\r\nSUMMARY:mine",
        "van\nATTACH:https://example.org/",
        "van\\nATTACH:x",
        'van";X=",VALUE=URI:',
        "\u2028ATTENDEE:mailto:x\u0085y\x0bz",
    ],
)
def test_a_label_adds_no_event_and_no_property(label):
    plain = events(calendar("van", DUES, STAMP))
    for event, expected in zip(events(calendar(label, DUES, STAMP)), plain, strict=True):
        assert event.keys() == expected.keys()
        assert len(event.subcomponents) == 1


def test_a_number_plate_is_no_part_of_the_texts():
    content = calendar("AB12 CDE", DUES, STAMP)
    assert b"AB12" not in content
    assert [event["summary"] for event in events(content)] == ["Carbon-monoxide alarm due", "Gas hose due"]


@given(st.text(st.characters(exclude_characters="\r\n", exclude_categories=["Cs"]), min_size=1))
def test_a_folded_line_is_unfolded_to_what_it_was(text):
    line = f"X-TEXT:{text}"
    assert folded(line).replace(b"\r\n ", b"").decode() == line + "\r\n"  # RFC 5545, 3.1: unfolding


@pytest.mark.parametrize("letter", ["x", "ö", "€", "🚐"])
@pytest.mark.parametrize("long", [18, 37, 74, 75, 76, 149, 150, 300])
def test_a_line_of_any_length_is_folded_at_75_octets(letter, long):
    lines = folded(letter * long).split(b"\r\n")
    assert lines.pop() == b""
    assert all(72 <= len(line) <= 75 for line in lines[:-1])  # as full as letters of up to four octets allow
    assert len(lines[-1]) <= 75
    assert b"".join([lines[0], *(line[1:] for line in lines[1:])]).decode() == letter * long


# RFC 5545, 3.3.11: backslash, semicolon and comma are written behind a backslash, the colon is not.
@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("a;b", "a\\;b"),
        ("a,b", "a\\,b"),
        ("a\\b", "a\\\\b"),
        ("a\\nb", "a\\\\nb"),
        ("a\nb", "a b"),
        ("a:b", "a:b"),
        ('"a"', '"a"'),
    ],
)
def test_a_text_is_escaped_as_the_standard_says(text, value):
    assert escaped(text) == value


def test_every_kind_of_date_makes_an_event():
    card = VehicleCard(dates=dict.fromkeys(DATES, date(2024, 2, 29)))
    dues = due_dates(card, TODAY)
    found = events(calendar("van", dues, STAMP))
    assert [event.start for event in found] == [due.day for due in dues if due.day is not None]
    assert len(found) == sum(kind.due != "" for kind in DATES.values())
    assert len({event["uid"] for event in found}) == len(found)
