"""The cards of a fleet: all flaws of all cards at once, each vehicle once."""

import pytest

from diagnose.knowledge.card_words import CardWords
from diagnose.rounds.fleet_cards import load_cards
from diagnose.terms import FlawedKnowledge, WrongUsage
from tests.rounds.fleets import LIBRARY, TODAY, write_card


def loaded(folder):
    return load_cards(folder, CardWords(LIBRARY), TODAY, shown=lambda path: path.name)


def flaws_of(folder):
    with pytest.raises(FlawedKnowledge) as refused:
        loaded(folder)
    return str(refused.value).splitlines()


def test_the_cards_of_a_folder_come_by_their_files_names(tmp_path):
    for name in ("b", "a"):
        write_card(tmp_path, name)
    (tmp_path / "within").mkdir()
    write_card(tmp_path / "within", "c")
    (tmp_path / "notes.txt").write_text("no card", encoding="utf-8")
    assert [card.name for card in loaded(tmp_path)] == ["a", "b"]


def test_every_flaw_of_every_card_is_told_at_once(tmp_path):
    write_card(tmp_path, "a", facts="build: campervam")
    write_card(tmp_path, "b", dates="gas-hose: 2030-01, tyre: 2020-01")
    write_card(tmp_path, "c")
    assert flaws_of(tmp_path) == [
        'a.yaml:2:16: "campervam" is no answer of build: motorhome, campervan, caravan '
        '(did you mean "campervan"?)',
        'b.yaml:3:19: gas-hose is "2030-01", which is still to come',
        'b.yaml:3:28: dates names "tyre", which is not known (did you mean "tyres"?)',
    ]


def test_a_vehicle_twice_is_refused_where_its_second_card_names_it(tmp_path):
    write_card(tmp_path, "a", label="Van 7")
    write_card(tmp_path, "b", label=" van  7 ")
    (tmp_path / "van-8.yaml").write_text("country: uk\n", encoding="utf-8")
    (tmp_path / "z.yaml").write_text("country: uk\nlabel: VAN-8\n", encoding="utf-8")
    write_card(tmp_path, "y", label="VAN 7", facts="build: tank")
    assert flaws_of(tmp_path) == [
        'b.yaml:1:8: "van 7" has two cards; the other is a.yaml',
        'y.yaml:1:8: "VAN 7" has two cards; the other is a.yaml',
        'y.yaml:2:16: "tank" is no answer of build: motorhome, campervan, caravan',
        'z.yaml:2:8: "VAN-8" has two cards; the other is van-8.yaml',
    ]


def test_a_card_that_would_be_passed_over_for_its_ending_is_told(tmp_path):
    write_card(tmp_path, "a")
    (tmp_path / "b.yml").write_text("label: b\n", encoding="utf-8")
    assert flaws_of(tmp_path) == ["b.yml:1:1: is not read: a card ends in .yaml, this file in .yml"]


def test_a_folder_that_is_none_or_holds_no_card_is_told(tmp_path):
    with pytest.raises(WrongUsage, match="there is no folder"):
        loaded(tmp_path / "yard")
    with pytest.raises(WrongUsage, match="holds no card"):
        loaded(tmp_path)


def test_a_folder_that_may_not_be_read_is_told_in_a_line(tmp_path, monkeypatch):
    def refused(folder):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.iterdir", refused)
    with pytest.raises(WrongUsage, match=r"cannot read the folder .*: Permission denied"):
        loaded(tmp_path)
