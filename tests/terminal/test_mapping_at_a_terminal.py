"""A first import at a real terminal: what is asked, one number each, at 40 columns."""

from __future__ import annotations

import io

import pytest

from diagnose.terminal.mapping_progress import progress_shown

ROWS = """Job no;Date in;Complaint;Found;Van
1;03/04/2025;table lamp dead;New bulb;blue van
2;26/04/2025;Oil change;;blue van
"""


def test_a_spreadsheet_is_mapped_once_and_comes_in(terminal, surroundings, lamp, tmp_path):
    columns = 40
    (tmp_path / "fleet.csv").write_text(ROWS, encoding="utf-8")
    at = terminal("cases", "import", "fleet.csv", "--trees", str(lamp.parent), columns=columns)
    for column in ("Job no", "Date in", "Complaint", "Found", "Van"):
        at.see(f'What is the column "{column}"?')
        at.see(">")
        at.type("1")
    at.see('Which symptom is this: "Oil change"?')
    at.see("leave such rows out")
    at.see(">")
    at.type("6")
    at.see('Which cause is this (of lamp-dark): "New bulb"?')
    at.see("1 The bulb has gone")
    at.see(">")
    at.type("1")
    at.see("This is how it would be read:")
    at.see("Is it right?")
    at.see(">")
    at.type("1")
    at.see("1 case came in: 1 with a cause, 0 without.")
    assert at.end() == 0
    assert "dates: day-month-year" in (tmp_path / "fleet.mapping.yaml").read_text(encoding="utf-8")
    assert max(len(line.rstrip()) for line in at.lines()) <= columns


def test_at_a_terminal_known_words_are_not_asked_for(terminal, surroundings, lamp, tmp_path):
    rows = "case,date,symptom,cause\n1,2025-04-25,lamp-dark,bulb-gone\n"
    (tmp_path / "fleet.csv").write_text(rows, encoding="utf-8")
    at = terminal("cases", "import", "fleet.csv", "--trees", str(lamp.parent))
    at.see("1 case came in: 1 with a cause, 0 without.")
    assert at.end() == 0
    assert "What is" not in at.words()


class Screen(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self):
        return True


@pytest.mark.parametrize(
    ("plain", "shown"), [({}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)]
)
def test_a_bar_shows_how_far_it_has_come_where_a_terminal_can_show_one(monkeypatch, plain, shown):
    screen = Screen()
    monkeypatch.setattr("sys.stderr", screen)
    monkeypatch.setenv("TERM", "xterm")
    for name, value in plain.items():
        monkeypatch.setenv(name, value)
    with progress_shown() as show:
        show("Reading", 0.25)
        show("Reading", 1.0)
    assert ("Reading" in screen.getvalue() and "100%" in screen.getvalue()) is shown
    assert bool(screen.getvalue()) is shown


def test_no_bar_is_drawn_into_a_pipe(monkeypatch):
    pipe = io.StringIO()
    monkeypatch.setattr("sys.stderr", pipe)
    with progress_shown() as show:
        show("Reading", 1.0)
    assert pipe.getvalue() == ""
