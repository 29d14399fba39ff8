"""Logging a case in a few key presses; nothing is logged that was not shown for a yes."""

from __future__ import annotations

import re
from io import StringIO
from pathlib import Path

import pytest

from diagnose.knowledge.collection import Library
from diagnose.terminal.console import PlainConsole
from diagnose.terminal.dangers import DangerTold
from diagnose.terminal.quick_log import (
    Draft,
    LeftOff,
    Picked,
    ask_what_it_was,
    is_to_be_logged,
    logged_page,
    not_listed,
)
from diagnose.terminal.wrapping import display_width

LIBRARY = Library()
TREES = [LIBRARY.tree(id) for id in LIBRARY.ids()]
DRAFT = Draft("van 7", "2026-11-20", "cured", ("rest-volts=11.9 V",))


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")


def asked(typed: str, words: str = "") -> tuple[Picked, str]:
    shown = StringIO()
    return ask_what_it_was(PlainConsole(StringIO(typed), shown), TREES, words), shown.getvalue()


def confirmed(typed: str, picked: Picked, draft: Draft = DRAFT) -> tuple[bool, str]:
    shown = StringIO()
    return is_to_be_logged(PlainConsole(StringIO(typed), shown), picked, draft), shown.getvalue()


def grit() -> Picked:
    tree = LIBRARY.tree("water-pump")
    return Picked(tree, "pump-fuse", tree.events["pump-fuse"].says)


def test_the_best_few_are_shown_and_a_digit_picks_one() -> None:
    picked, shown = asked("2\n", "spider in flue")
    assert (picked.tree.id, picked.cause, picked.exact) == ("water-heater-no-fire", "flue-nest", False)
    assert shown == (
        "Which was it?\n"
        "  1  A web or a nest sits in the flue or the burner\n"
        "     The blown-air gas heater will not fire\n"
        "  2  A web or a nest sits in the flue or the burner\n"
        "     The gas water heater will not fire\n"
        "  0  None of these\n"
        "Or say it in other words. To log nothing, type: leave off.\n"
        "> 2\n"
    )


def test_without_words_they_are_asked_for() -> None:
    picked, shown = asked("\nregulator full of oil\n1\n")
    assert (picked.tree.id, picked.cause) == ("gas-gone", "regulator-fault")
    assert shown.startswith(
        "What was it?\n  In a few words, such as: spider in flue.\n> \nA word or two, or "
    )


def test_enter_a_stray_number_and_silence_pick_nothing() -> None:
    picked, shown = asked("\n7\n99999999999999999999\n-1\n1\n", "spider in flue")
    assert picked.tree.id == "heater-no-fire"
    assert shown.count("Type a number from 0 to 2.") == 3
    with pytest.raises(EOFError):
        asked("", "spider in flue")


def test_even_a_single_fitting_cause_is_asked_about() -> None:
    with pytest.raises(EOFError):
        asked("\n", "regulator full of oil")


def test_other_words_search_anew() -> None:
    picked, shown = asked("tyre valve leaking\n1\n", "spider in flue")
    assert (picked.tree.id, picked.cause) == ("tyres-soft-old", "valve-leaks")
    assert shown.count("Which was it?") == 2


def test_words_that_fit_nothing_are_told_and_others_may_follow() -> None:
    picked, shown = asked("pump fuse\n1\n", "xyzzy quux")
    assert picked.cause == "pump-fuse"
    assert shown.startswith('Nothing here fits "xyzzy quux".\n')


def test_an_id_that_is_just_one_cause_is_taken_to_be_shown() -> None:
    picked, shown = asked("", "pads-rusted")
    assert (picked.tree.id, picked.cause, picked.exact, shown) == ("brakes-drag", "pads-rusted", True, "")
    assert "Which was it?" in asked("1\n", "flue-nest")[1], "that id stands in two trees"


def test_none_of_these_asks_for_the_symptom_and_keeps_no_words() -> None:
    picked, shown = asked("0\n1\n", "spider in flue")
    assert (picked.tree.id, picked.cause) == ("heater-no-fire", "not-listed")
    assert "It is logged as not listed. What was the symptom?" in shown
    picked, _ = asked("none of these\npump runs but no water\n1\n", "xyzzy")
    assert (picked.tree.id, picked.cause) == ("water-pump", "not-listed")


def test_a_symptom_that_no_tree_is_about_is_not_logged() -> None:
    with pytest.raises(LeftOff):
        asked("0\n0\n", "spider in flue")


@pytest.mark.parametrize("typed", ["leave off\n", "0\nleave off\n", "quit\n"])
def test_it_can_be_left_off_at_every_question(typed: str) -> None:
    with pytest.raises(LeftOff):
        asked(typed, "spider in flue")


def test_danger_is_heard_at_every_question() -> None:
    for typed in ("danger\n", "0\nDanger!\n"):
        with pytest.raises(DangerTold):
            asked(typed, "spider in flue")
    with pytest.raises(DangerTold):
        confirmed("danger\n", grit())


def test_what_would_be_logged_is_shown_in_full_for_a_yes() -> None:
    yes, shown = confirmed("\nmaybe\n1\n", grit())
    assert yes
    assert shown == (
        "\nTo be logged:\n"
        "  The pump brings no water, or keeps cutting in\n"
        "  It was: The pump's fuse has blown (pump-fuse)\n"
        '  Cured on 2026-11-20, vehicle "van 7".\n'
        "  Found: rest-volts=11.9 V\n"
        "\n"
        "  1  Yes, log it\n"
        "  2  No\n"
        "> \n"
        "Type 1 for yes or 2 for no.\n"
        "> maybe\n"
        "Type 1 for yes or 2 for no.\n"
        "> 1\n"
    )


@pytest.mark.parametrize(("typed", "yes"), [("y\n", True), ("YES\n", True), ("2\n", False), ("no\n", False)])
def test_a_word_will_do_as_well(typed: str, yes: bool) -> None:
    assert confirmed(typed, grit())[0] is yes


def test_enter_alone_is_a_yes_only_where_the_very_id_was_typed() -> None:
    tree = LIBRARY.tree("water-pump")
    exact = Picked(tree, "pump-fuse", "The pump's fuse has blown", exact=True)
    assert confirmed("\n", exact)[0]
    with pytest.raises(EOFError):
        confirmed("\n", grit())
    again = Draft("van 7", "2026-11-20", "cured", (), again=3)
    with pytest.raises(EOFError):
        confirmed("\n", exact, again)
    assert (
        "Case 3 has the same vehicle, day and cause. Is this another one?"
        in confirmed("2\n", exact, again)[1]
    )


def test_what_is_not_listed_is_said_so() -> None:
    _, shown = confirmed("1\n", not_listed(LIBRARY.tree("water-pump")), Draft("", "2026-11-20", "referred"))
    assert "  It was: something that is not listed\n  Referred on 2026-11-20, no vehicle named.\n" in shown


def test_no_more_is_offered_than_there_are_digits() -> None:
    _, shown = asked("1\n", "leisure battery")
    assert "  8  " in shown
    assert "  9  " not in shown


@pytest.mark.parametrize("columns", [40, 80])
def test_it_fits_the_screen_and_shows_no_control_characters(
    monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    nasty = Draft("v\x1b[31m " + "long " * 20, "2026-11-20", "cured", ("x=\x1b[2J",))
    shown = asked("0\n1\n", "spider \x1b[2J in flue")[1] + confirmed("1\n", grit(), nasty)[1]
    assert "\x1b" not in shown
    lines = [line for line in shown.splitlines() if not line.startswith("> ")]
    assert max(map(display_width, lines)) <= columns


def test_the_document_shows_these_very_screens() -> None:
    document = Path(__file__).parents[2] / "docs" / "technician.md"
    (block,) = re.findall(
        r"^```text\n\$ diagnose cases add .*?\n(.*?)^```$", document.read_text("utf-8"), re.M | re.S
    )
    picked, first = asked("1\n", "spider in flue")
    second = confirmed("1\n", picked, Draft("van 7", "2026-11-28", "cured"))[1]
    last = "".join(line.text + "\n" for line in logged_page(2, picked, "diagnose cases forget 2", 80))
    assert first + second + last == block
