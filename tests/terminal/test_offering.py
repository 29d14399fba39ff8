"""A card is offered after a walk, seldom, and kept where later walks find it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from diagnose.knowledge.card import load_card
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.collection import Library
from diagnose.terminal.desk import Desk
from diagnose.terminal.offering import NOT_NOW_HOLDS, UsualPlace
from diagnose.terminal.visiting import Visit
from diagnose.terms import Finding
from tests.terminal.typed import CTRL_C, Typing

START = datetime(2026, 3, 1, 10, tzinfo=UTC)
TODAY = START.date()
OFFER = "Keep what you told about this vehicle, so that it is not asked again?"
NOTHING_TOLD = "Make a card of this vehicle?"
FORESEEN = "What you tell about the vehicle can be kept at the end"

FACT = "applies_to: {build: [campervan]}\n"


@pytest.fixture
def usual(tmp_path):
    return UsualPlace(tmp_path / "data" / "my-vehicle.yaml", tmp_path / "data" / "card-offer.json")


@pytest.fixture
def visit(lamp, tmp_path, usual, monkeypatch):
    """`visit("on", ...)` walks the lamp, whose tree asks for the kind of vehicle; more goes to the desk."""
    monkeypatch.setenv("DIAGNOSE_CACHE", str(tmp_path / "cache"))
    lamp.write_text("\n" + FACT + lamp.read_text(encoding="utf-8"), encoding="utf-8")

    def visited(*typed, words="lamp-dark", clock=lambda: START, **desk):
        console = Typing(*typed)
        given = {"usual": usual} | desk
        own = Desk(Library([lamp.parent]), str(tmp_path / "cases.sqlite"), clock=clock, **given)
        try:
            code = Visit(console, own).run(words)
        finally:
            own.close()
        return console.text(), code

    return visited


CURED = ("campervan", "off", "1", "yes")
REFERRED = ("campervan", "on", "0.3", "3")


def read(path):
    return load_card(path, CardWords(Library()), date.today())


@pytest.mark.parametrize("walked", [CURED, REFERRED])
def test_after_a_walk_what_was_told_may_be_kept_and_the_next_walk_takes_it(visit, usual, walked):
    said, code = visit(*walked, "1")
    assert code == 0
    assert f"{OFFER} - What kind of vehicle is it? Campervan." in said
    assert "without names or addresses" in said
    assert "From now on it is used by itself." in said
    card = read(usual.card)
    assert card.facts == (Finding("build", "campervan"),)
    assert (card.label, card.numbers, card.where) == ("", {}, {})  # nothing but what was told

    said, _ = visit("off", "leave off", usual=None, card=card, vehicle=card.name, by_default=True)
    assert "What kind of vehicle is it?" not in said
    assert said.startswith('With the card of "my-vehicle". Another vehicle, or no card? Type: diagnose walk')
    assert said.count("With the card") == 1
    assert OFFER not in said


def test_more_is_asked_only_if_wanted_and_what_was_told_is_not_asked_again(visit, usual):
    said, code = visit(*CURED, "2", "the blue van", "uk", "private", "leave off")
    assert code == 0
    asked = said[said.index("The card of a vehicle") :]
    assert "What kind of vehicle is it?" not in asked
    assert "Whose use is it for?" in asked
    assert "Where things are." not in asked
    card = read(usual.card)
    assert (card.name, card.country) == ("the blue van", "uk")
    assert {fact.check: fact.answer for fact in card.facts} == {
        "build": "campervan",
        "use": "private",
        "country": "uk",
    }


@pytest.mark.parametrize("broken_off", [(), (CTRL_C,), ("there is a smell of gas",)])
def test_a_talk_that_breaks_off_or_tells_of_danger_keeps_nothing(visit, usual, broken_off):
    said, code = visit(*CURED, "2", "the blue van", *broken_off)
    assert code == (130 if CTRL_C in broken_off else 0)
    assert ("STOP - DANGER" in said) == ("smell" in str(broken_off))
    assert not usual.card.exists()


def test_not_now_holds_for_a_season_and_never_for_good(visit, usual):
    later = NOT_NOW_HOLDS
    said, _ = visit(*CURED, "3")
    assert OFFER in said
    for days, offered in ((timedelta(days=1), False), (later - timedelta(days=1), False), (later, True)):
        said, _ = visit(*CURED, "3", clock=lambda days=days: START + days)
        assert (OFFER in said) == offered, days
        assert "diagnose card new" not in said
    said, _ = visit(*CURED, "4", clock=lambda: START + 3 * later)
    assert OFFER in said
    said, _ = visit(*CURED, clock=lambda: START + 99 * later)
    assert OFFER not in said
    assert not usual.card.exists()


@pytest.mark.parametrize("skipped", ["", "not sure", "leave off"])
def test_to_pass_it_over_is_not_now(visit, usual, skipped):
    visit(*CURED, skipped)
    assert not usual.may_offer(TODAY)
    assert usual.may_offer(TODAY + NOT_NOW_HOLDS)


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        (("campervan", "leave off"), False),
        (("campervan", "danger", "3"), False),
        (("motorhome",), False),  # the tree is for other vehicles
        (("campervan", CTRL_C), False),
        (CURED, True),
    ],
)
def test_it_is_offered_only_at_rest(visit, typed, offered):
    said, _ = visit(*typed, "3")
    assert (OFFER in said) == offered


def test_whoever_leaves_off_is_told_in_a_line_how_to_make_one(visit):
    said, _ = visit("campervan", "leave off")
    assert "To be asked about the vehicle itself only once, make a card of it: diagnose card new" in said


def test_nothing_is_offered_where_nobody_is_to_be_asked(visit):
    said, _ = visit(*CURED, usual=None)
    assert OFFER not in said


def test_where_nothing_was_told_a_card_may_be_made_all_the_same(lamp, visit, usual):
    lamp.write_text(lamp.read_text(encoding="utf-8").replace(FACT, ""), encoding="utf-8")
    said, _ = visit("off", "1", "yes", "1", "my van", "leave off")
    assert NOTHING_TOLD in said
    assert read(usual.card).name == "my van"


def test_the_first_screen_foresees_it_only_while_it_may_be_offered(visit, usual):
    said, _ = visit("leave off", words="")
    assert FORESEEN in said
    usual.remember(TODAY, for_good=False)
    said, _ = visit("leave off", words="")
    assert FORESEEN not in said


def test_a_note_that_cannot_be_read_or_written_bars_nothing(visit, usual):
    usual.answered.mkdir(parents=True)
    said, code = visit(*CURED, "3")
    assert (OFFER in said, code) == (True, 0)
    usual.answered.rmdir()
    for text in ("", "[]", "{", '{"asked": 5, "for_good": 0}', '{"asked": "2026-99-01", "for_good": false}'):
        usual.answered.write_text(text, encoding="utf-8")
        assert usual.may_offer(TODAY), text


def test_a_card_that_came_there_meanwhile_is_not_written_over(visit, usual):
    class Late(UsualPlace):
        def may_offer(self, today):
            usual.card.parent.mkdir(parents=True)
            usual.card.write_text("label: mine\n", encoding="utf-8")
            return True

    said, code = visit(*CURED, "1", usual=Late(usual.card, usual.answered))
    assert code == 0
    assert "The card cannot be written to" in said
    assert usual.card.read_text(encoding="utf-8") == "label: mine\n"


def test_a_case_of_a_vehicle_with_a_name_is_taken_up_again_without_an_offer(visit, usual):
    visit("campervan", "leave off", vehicle="the red van", usual=None)
    said, _ = visit("1", "off", "1", "yes", words="")
    assert "CURED" in said
    assert OFFER not in said
    assert not usual.card.exists()


# What the walks before the card mean for those with it


def test_a_stop_from_before_the_card_is_asked_about_until_it_is_cleared(visit, usual):
    visit("campervan", "danger", "3")
    usual.card.parent.mkdir(parents=True, exist_ok=True)
    usual.card.write_text("label: the blue van\nfacts: {build: campervan}\n", encoding="utf-8")
    card = read(usual.card)
    with_card = {"usual": usual, "card": card, "vehicle": card.name, "by_default": True}
    later = [START + timedelta(days=days) for days in (1, 2, 3)]
    said, _ = visit("no", "3", clock=lambda: later[0], **with_card)
    assert "cleared" in said
    said, _ = visit("yes", "leave off", clock=lambda: later[1], **with_card)
    assert "cleared" in said
    said, _ = visit("leave off", clock=lambda: later[2], **with_card)
    assert "Which way does the switch stand?" in said
    assert "cleared" not in said


def test_a_walk_of_another_vehicle_goes_on_without_the_card(visit, usual):
    visit("campervan", "leave off", vehicle="the red van", usual=None)
    usual.card.parent.mkdir(parents=True)
    usual.card.write_text("label: the blue van\ndates: {gas-hose: 2001-01}\n", encoding="utf-8")
    card = read(usual.card)
    said, code = visit("1", "leave off", words="", card=card, vehicle=card.name, by_default=True)
    assert code == 0
    assert "Something was left off." in said
    assert "With the card" not in said
    assert "gas hose" not in said
    assert "Which way does the switch stand?" in said


@pytest.mark.long
def test_at_a_real_terminal_a_card_is_made_used_and_walked_without(terminal, surroundings):
    home = Path(surroundings["XDG_DATA_HOME"]) / "leisure-fault-diagnosis"
    (home / "card-offer.json").unlink()
    trees = Path(surroundings["HOME"]) / "trees"
    trees.mkdir()
    from tests.terminal.conftest import LAMP

    (trees / "lamp-dark.yaml").write_text("\n" + FACT + LAMP, encoding="utf-8")
    child = terminal("walk", "lamp-dark", "--trees", "trees", columns=40, rows=30)
    for question, answer in (
        ("What kind of vehicle is it?", "campervan"),
        ("Which way does the switch stand?", "off"),
        ("Press the switch", "1"),
        ("Has the lamp burned for a minute?", "yes"),
        (OFFER, "1"),
    ):
        child.see(question)
        child.see(">")
        child.type(answer)
    assert child.end() == 0
    assert max(map(len, child.lines())) <= 40
    assert (home / "my-vehicle.yaml").exists()

    child = terminal("walk", "lamp-dark", "--trees", "trees", columns=40, rows=30)
    child.see('With the card of "my-vehicle".')
    child.see("Which way does the switch stand?")
    child.see(">")
    child.type("leave off")
    assert child.end() == 0
    assert "What kind of vehicle" not in child.words()

    for arguments in (("--vehicle", "other"), ("--as", "technician")):
        child = terminal("walk", "lamp-dark", "--trees", "trees", *arguments, columns=40, rows=30)
        child.see("What kind of vehicle is it?")
        assert "With the card" not in child.words()
        child.see(">")
        child.type("leave off")
        assert child.end() == 0
