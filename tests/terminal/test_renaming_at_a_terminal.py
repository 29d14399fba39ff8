"""A rename at a real terminal: the change is read first, and only the whole word yes writes it."""

from __future__ import annotations

import pytest


@pytest.mark.parametrize(("keys", "code", "written"), [("yes\r", 0, True), ("\x03", 130, False)])
def test_only_the_whole_word_yes_writes(terminal, lamp, keys, code, written):
    before = lamp.read_bytes()
    child = terminal("trees", "rename", str(lamp), "bulb-gone", "bulb-blown", columns=40, rows=30)
    child.see("+ bulb-blown:")
    child.see("Type the whole word: yes or no.")
    child.see(">")
    child.press(keys)
    assert child.end() == code
    assert max(map(len, child.lines())) <= 40
    assert (lamp.read_bytes() != before) == written
    assert (b"was: bulb-gone" in lamp.read_bytes()) == written
