"""Fitting at a real terminal: the change is read first, and only the whole word yes writes it."""

from __future__ import annotations

import pytest

from diagnose.cases.store import open_store
from tests.cli.test_trees_replay import lamp_case
from tests.reviewing.made_up_past import fill


@pytest.fixture
def store(tmp_path):
    place = str(tmp_path / "past.sqlite")
    with open_store(place) as kept:
        fill(kept, [lamp_case(number, "bulb-gone", []) for number in range(1, 41)])
    return place


@pytest.mark.parametrize(
    ("keys", "code", "written"),
    [
        ("yes\r", 0, True),
        pytest.param("y\r", 0, False, marks=pytest.mark.long),
        pytest.param("\x03", 130, False, marks=pytest.mark.long),
    ],
)
def test_only_the_whole_word_yes_writes(terminal, lamp, store, keys, code, written):
    before = lamp.read_bytes()
    child = terminal("trees", "fit", str(lamp), "--cases", store, columns=40, rows=40)
    child.see("Type the whole word: yes or no.")
    child.see(">")
    child.press(keys)
    assert child.end() == code
    assert max(map(len, child.lines())) <= 40
    assert (lamp.read_bytes() != before) == written
    assert (b"40 of 40 cases" in lamp.read_bytes()) == written
    assert list(lamp.parent.iterdir()) == [lamp]


def test_the_bar_of_a_replay_is_gone_when_the_page_stands(terminal, lamp, store, tmp_path):
    other = tmp_path / "lamp-dark.yaml"
    other.write_text(lamp.read_text().replace("in_100: 40", "in_100: 20"))
    child = terminal("trees", "replay", str(lamp), str(other), "--cases", store, columns=60, rows=60)
    child.see("None got clearly worse.")
    assert child.end() == 0
    assert not any("Replaying past cases" in line for line in child.lines())
    assert child.lines()[0].startswith("Past cases: 40")
