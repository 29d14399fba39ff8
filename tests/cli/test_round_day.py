"""The day of a round is the day where one is, not that of Greenwich: a date is over there and then."""

from __future__ import annotations

import time
from datetime import UTC, date, datetime
from types import SimpleNamespace

import pytest

from diagnose.cli.round_at_hand import AtHand


@pytest.fixture
def in_zone(monkeypatch):
    """`in_zone(name)` moves the program there."""

    def move(name):
        monkeypatch.setenv("TZ", name)
        time.tzset()

    yield move
    monkeypatch.undo()
    time.tzset()


# POSIX, Base Definitions 8.3: the offset is what is added to the local time to come to UTC.
@pytest.mark.parametrize(
    ("zone", "day"), [("UTC0", 29), ("CET-1", 30), ("NZDT-13", 30), ("EST5", 29), ("X12", 29)]
)
def test_today_is_the_day_of_the_clock_on_the_wall(in_zone, zone, day):
    in_zone(zone)
    desk = SimpleNamespace(clock=lambda: datetime(2026, 11, 29, 23, 30, tzinfo=UTC))
    assert AtHand(desk, "journey", "", None).today() == date(2026, 11, day)
