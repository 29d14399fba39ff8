"""Days as they are typed: the calendar's own way, and a few words."""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, date, datetime, timedelta

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.cli.dates import EARLIEST, any_day, as_day, noon_of, past_day, start_of

TODAY = date(2026, 3, 1)


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("2026-02-28", date(2026, 2, 28)),
        (" Today ", TODAY),
        ("YESTERDAY", date(2026, 2, 28)),
        ("1 day ago", date(2026, 2, 28)),
        ("3 days  ago", date(2026, 2, 26)),
        ("0 days ago", TODAY),
        ("2 weeks ago", date(2026, 2, 15)),
        ("2024-02-29", date(2024, 2, 29)),  # a leap year, as the Gregorian calendar has them
        ("2026-12-31", date(2026, 12, 31)),
    ],
)
def test_a_day_is_understood(typed: str, day: date) -> None:
    assert as_day(typed, TODAY) == day


@given(st.dates(min_value=EARLIEST))
def test_every_day_is_understood_as_iso_8601_writes_it(day: date) -> None:
    assert as_day(day.isoformat(), TODAY) == day


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("2026-02-30", "there is no day 2026-02-30"),
        ("2100-02-29", "there is no day 2100-02-29"),  # no leap year
        ("2026-13-01", "there is no day 2026-13-01"),
        (
            "1026-11-20",
            "'1026-11-20' is before all cases; write it like 2026-11-20, today, yesterday or 3 days ago",
        ),
        ("99999 weeks ago", "'99999 weeks ago' is before all cases; "),
        ("20.11.2026", "'20.11.2026' is no day; write 2026-11-20"),
        ("20/11/2026", "'20/11/2026' is no day; write 2026-11-20"),
        ("5/6/2026", "'5/6/2026' is no day; write 2026-05-06 or 2026-06-05"),
        ("31.2.2026", "'31.2.2026' is no day; write it like 2026-11-20"),
        ("last summer", "'last summer' is no day; write it like"),
        ("tomorrow", "'tomorrow' is no day; "),
        ("20261120", "'20261120' is no day; "),
        ("", "'' is no day; "),
        ("-1 days ago", "'-1 days ago' is no day; "),
    ],
)
def test_what_is_no_day_is_told_with_what_to_write(typed: str, told: str) -> None:
    with pytest.raises(ValueError) as refused:
        as_day(typed, TODAY)
    assert str(refused.value).startswith(told)


@given(st.text(max_size=20))
def test_no_text_breaks_it(typed: str) -> None:
    with suppress(ValueError):
        assert as_day(typed, TODAY) >= EARLIEST


def test_a_day_to_come_is_refused_where_only_the_past_will_do() -> None:
    tomorrow = date.today() + timedelta(days=1)
    with pytest.raises(click.BadParameter, match="has not come yet"):
        past_day(tomorrow.isoformat())
    assert any_day(tomorrow.isoformat()) == tomorrow
    assert past_day("today") == date.today()


def test_the_moment_of_a_day_lies_within_it_and_never_in_the_future() -> None:
    now = datetime.now(UTC)
    assert noon_of(now.astimezone().date(), now) == now
    before = now.astimezone().date() - timedelta(days=1)
    assert noon_of(before, now).date() == before
    assert start_of(before) < noon_of(before, now) < start_of(before + timedelta(days=1))
