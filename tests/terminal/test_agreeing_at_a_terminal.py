"""Deeds that cannot be undone, at a real terminal: they wait for the whole word yes."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.cases.store import open_store

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    path = tmp_path / "cases.sqlite"
    with open_store(str(path)) as store:
        for vehicle in ("van 7", "van 8"):
            store.confirm(store.open_case("water-pump", "d", "owner", vehicle, NOON), "pump-fuse", NOON)
    return path


def vehicles(path: Path) -> list[str]:
    with open_store(str(path)) as store:
        return [case.vehicle for case in store.cases(oldest_first=True)]


@pytest.mark.parametrize(("typed", "left"), [("y", ["van 7", "van 8"]), ("Yes", ["van 8"])])
def test_only_the_whole_word_yes_forgets(terminal, kept, typed, left):
    screen = terminal("cases", "forget", "1", columns=40)
    screen.see("1 water-pump, van 7")
    screen.see("Type the whole word: yes or no.")
    screen.see(">")
    screen.type(typed)
    screen.see("Nothing was forgotten." if len(left) == 2 else "1 case forgotten.")
    assert screen.end() == 0
    assert all(len(line) <= 40 for line in screen.lines())
    assert vehicles(kept) == left


def test_leaving_the_question_forgets_nothing(terminal, kept):
    screen = terminal("cases", "forget", "--vehicle", "van 8")
    screen.see("Type the whole word: yes or no.")
    screen.see(">")
    screen.press("\x04")
    screen.see("Nothing was forgotten.")
    assert screen.end() == 0
    assert vehicles(kept) == ["van 7", "van 8"]


def test_sums_are_mended_after_a_yes(terminal, kept):
    with open_store(str(kept)) as store, store.writing() as connection:
        connection.exec_driver_sql("UPDATE cause_sums SET total = 9")
    screen = terminal("cases", "check", "--mend")
    screen.see("1 sum differs from what the cases come to:")
    screen.see("9 kept, 2 counted")
    screen.see("Set them right? Type the whole word: yes or no.")
    screen.see(">")
    screen.type("yes")
    screen.see("1 sum set right")
    assert screen.end() == 0
