"""The vehicle's card at a real terminal of 40 columns: made, walked with, and a fact kept on it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from diagnose.knowledge.card import load_card
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.collection import Library


def read(path):
    return load_card(path, CardWords(Library()), date.today())


def test_a_card_is_made_and_walked_with(terminal, surroundings):
    home = Path(surroundings["HOME"])
    child = terminal("card", "new", "van.yaml", columns=40, rows=30)
    child.see("What do you call the vehicle?")
    child.type("the blue van")
    child.see("Which country is it in?")
    child.type("ie")
    child.see("What kind of vehicle is it?")
    child.type("2")
    child.see("Whose use is it for?")
    child.see(">")
    while "Where things are." not in child.words():
        child.type("")
        child.see(">")
    assert "Such parts are: " in child.words()
    child.type("flue: left side, low")
    child.type("")
    child.see("Which of these can you not do?")
    child.type("smell")
    child.see("Gas hose: when was it made or fitted?")
    child.type("2015-06")
    child.see("Gas regulator")
    while "The card is van.yaml." not in child.words():
        child.type("")
        if not child._read():
            break
    assert child.end() == 0
    assert max(map(len, child.lines())) <= 40
    card = read(home / "van.yaml")
    assert (card.name, card.country, card.where) == ("the blue van", "ie", {"flue": "left side, low"})
    assert (card.cannot, card.dates) == ({"smell"}, {"gas-hose": date(2015, 6, 1)})

    child = terminal("walk", "heater-no-fire", "--vehicle", "van.yaml", columns=40, rows=30)
    child.see("NOTICE The gas hose is ")
    child.see("have it changed by a gas engineer.")
    child.see("Can you smell gas or hear hissing")
    child.see("you cannot smell well: ask somebody who can.")
    child.type("danger")
    child.see("Emergency number: 112 or 999.")
    child.type("3")
    assert child.end() == 0
    assert max(map(len, child.lines())) <= 40


@pytest.mark.long
def test_a_fact_that_was_asked_is_kept_and_ctrl_c_keeps_none(terminal, surroundings):
    path = Path(surroundings["HOME"]) / "van.yaml"
    path.write_text("# mine\nlabel: van\n", encoding="utf-8")
    for answer, kept in (("\x03", False), ("1\r", True)):
        child = terminal("walk", "heater-no-fire", "--vehicle", "van.yaml", columns=40, rows=30)
        for typed in ("no", "quiet", "no", "bare", "clear"):
            child.see("danger.")
            child.see(">")
            child.type(typed)
        child.see("What does the room heater burn or use?")
        child.see(">")
        child.type("gas")
        child.see("So far the likeliest")
        child.see(">")
        child.type("leave off")
        child.see("Keep this on the card van.yaml, so that it is not asked again?")
        child.see(">")
        child.press(answer)
        assert child.end() == (0 if kept else 130)
        text = path.read_text(encoding="utf-8")
        assert text == "# mine\nlabel: van\n" + ("facts:\n  heater-fuel: gas\n" if kept else "")


def test_ctrl_c_in_the_talk_writes_nothing(terminal, surroundings):
    child = terminal("card", "new", "van.yaml", columns=40, rows=30)
    child.see("What do you call the vehicle?")
    child.see(">")
    child.press("\x03")
    assert child.end() == 130
    assert not (Path(surroundings["HOME"]) / "van.yaml").exists()


def test_nothing_on_a_card_can_steer_the_terminal(terminal, surroundings):
    path = Path(surroundings["HOME"]) / "van.yaml"
    path.write_bytes(b'label: "a\x1b]0;title\x07"\nwhere: {flue: "\\e[2J"}\n')
    child = terminal("walk", "heater-no-fire", "--vehicle", "van.yaml", columns=40, rows=30)
    assert child.end() == 1
    assert b"\x1b" not in child.raw
    assert b"\x07" not in child.raw


def test_at_a_terminal_the_locker_card_is_text_and_no_markup(terminal, surroundings):
    path = Path(surroundings["HOME"]) / "van.yaml"
    path.write_text("label: the van\nnumbers: {recovery: 01632 960002}\n", encoding="utf-8")
    child = terminal("card", "print", "van.yaml", columns=40, rows=30)
    child.see("THE VAN")
    child.see("Recovery: 01632 960002.")
    child.see("open that in a browser: diagnose card print van.yaml -o locker-card.html")
    assert child.end() == 0
    assert "<" not in child.text()
