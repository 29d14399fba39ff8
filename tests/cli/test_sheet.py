"""`diagnose sheet CASE`: which file it writes, in which format and language, and what it cannot do."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from tests.cli.handed_on_case import MAY, STEP_STUCK, code_at, handed_on, tree_at


@pytest.fixture(autouse=True)
def here(place, monkeypatch):
    """The commands run where their files may be written."""
    monkeypatch.chdir(place)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(place))


def words_of(pdf: bytes) -> str:
    (page,) = PdfReader(BytesIO(pdf)).pages
    return " ".join(page.extract_text().split())


def test_it_writes_a_page_of_its_own_and_says_where(place, said):
    assert said("sheet", "1") == (0, "Written to sheet-1.pdf\n", "")
    words = words_of((place / "sheet-1.pdf").read_bytes())
    for text in ("The step will not fold in", "the blue van", "12.4 V", code_at(place), "A workshop for"):
        assert text in words


@pytest.mark.parametrize(
    ("options", "file", "begins"),
    [
        (("-o", "for-them.pdf"), "for-them.pdf", b"%PDF-"),
        (("-o", "for-them.html"), "for-them.html", b"<!DOCTYPE html>"),
        (("-o", "for-them.txt"), "for-them.txt", b"HAND-OVER SHEET"),
        (("-o", "for-them"), "for-them", b"%PDF-"),
        (("-o", "for-them.pdf", "--format", "text"), "for-them.pdf", b"HAND-OVER SHEET"),
    ],
)
def test_the_ending_of_a_file_says_the_format_unless_the_option_does(place, said, options, file, begins):
    assert said("sheet", "1", *options) == (0, "", "")
    assert (place / file).read_bytes().lstrip().startswith(begins)


@pytest.mark.parametrize(
    ("form", "begins"), [("text", "HAND-OVER SHEET\nCase: 1\n"), ("html", "<!DOCTYPE html>")]
)
def test_texts_go_to_standard_output(said, form, begins):
    code, out, err = said("sheet", "1", "--format", form)
    assert (code, err) == (0, "")
    assert out.lstrip().startswith(begins)
    assert list(Path().glob("sheet-*")) == []


def test_the_text_has_what_the_page_has(place, said):
    text = said("sheet", "1", "--format", "text")[1]
    assert "09:31 What does the panel show? 12.4 V\n" in text
    assert "- Brush it clean: no better\n" in text
    assert "2 Its motor has failed\n" in text
    assert f"  diagnose cases confirm {code_at(place)} NUMBER\n" in text
    assert f'  diagnose cases add --code "{code_at(place)} VOLTS:12.4"\n' in text
    assert text.endswith("\nThis does not certify that the vehicle is safe.\n")


def test_a_stop_is_boldly_one_in_every_format(place, said):
    with open_store(str(place / "owner.sqlite")) as store:
        case = str(handed_on(store, tree_at(place), "stopped"))
    said("sheet", case)
    assert words_of((place / f"sheet-{case}.pdf").read_bytes()).startswith("STOPPED FOR DANGER")
    assert '<p class="band">STOPPED FOR DANGER</p>' in said("sheet", case, "--format", "html")[1]
    assert "\nThe walk was: STOPPED FOR DANGER\n" in said("sheet", case, "--format", "text")[1]


def test_a_case_that_goes_on_has_a_sheet_without_a_code(place, said):
    with open_store(str(place / "owner.sqlite")) as store:
        store.reopen(1, MAY)
    text = said("sheet", "1", "--format", "text")[1]
    assert "\nThe walk was: not finished\n" in text
    assert "Code:" not in text
    assert "There is no code: the walk has not ended here." in said("sheet", "1", "--format", "html")[1]


def test_a_case_whose_tree_has_changed_says_so_and_tells_what_it_still_can(place, said):
    with open_store(str(place / "owner.sqlite")) as store:
        store.append(1, Entry(MAY, "finding", "gone-long-ago", "yes"))
    changed = STEP_STUCK.replace("What does the panel show?", "What does the meter show?")
    (place / "trees" / "step-stuck.yaml").write_text(changed, encoding="utf-8")
    text = " ".join(said("sheet", "1", "--format", "text")[1].split())
    assert "The tree behind this sheet has changed since the walk; its words are today's." in text
    assert "No longer in the tree, so left out here: gone-long-ago: yes." in text
    assert "What does the meter show? 12.4 V" in text


def test_in_german_and_french_the_translation_says_that_nobody_has_reviewed_it(said):
    for code, told in (("de", "Übersetzung nicht geprüft"), ("fr", "traduction non vérifiée")):
        exit_code, out, err = said("sheet", "1", "--format", "text", "--language", code)
        assert (exit_code, err) == (0, "")
        assert told in out
        assert "translation not reviewed" in out
        assert "12,4" in out  # a decimal comma, as both languages write


@pytest.mark.parametrize(
    ("words", "exit_code", "told"),
    [
        (("sheet", "99"), 1, "there is no case 99"),
        (("sheet", "0"), 1, "there is no case 0"),
        (("sheet", "1", "-o", "no-such-folder/x.pdf"), 1, "cannot write no-such-folder/x.pdf: No such file"),
        (("sheet", "1", "-o", "x.docx"), 2, 'the ending of "x.docx" names no format: end it in .pdf, .html,'),
        (("sheet", "1", "-o", "no-such-folder/x.txt"), 1, "cannot write no-such-folder/x.txt: No such file"),
        (("sheet", "1", "--language", "du"), 2, 'there is no language "du"'),
        (("sheet", "1", "--cases", "nowhere.sqlite"), 1, "there is no case 1"),
        (("sheet", "1", "--vehicle", "blue"), 2, "--vehicle takes the path of a card, such as blue.yaml"),
        (("sheet", "1", "--vehicle", "./none.yaml"), 1, "none.yaml"),
    ],
)
def test_what_cannot_be_done_is_told_in_one_line(said, words, exit_code, told):
    code, out, err = said(*words)
    assert (code, out) == (exit_code, "")
    assert told in err
    assert err.count("\n") == 1


CARD = """\
label: The blue van
dates: {gas-hose: 2015-01-09, extinguisher: 2099-12-31, licence: 2015-01-01}
tyres: {rear: {pressure: 4.75 bar, load: 1750 kg}}
"""
ON_THE_SHEET = """\
From the vehicle's card:
- Gas hose: DUE since 2020-01-09
- Fire extinguisher: due on 2099-12-31
- Tyres: no date on the card
- Carbon-monoxide alarm: no date on the card
- Gas alarm: no date on the card
- Gas check: no date on the card
- Mains check: no date on the card
- Tyres, rear axle: 4.75 bar, 1750 kg
As somebody wrote it on the card; nobody looked on this walk.
"""


def test_the_card_tells_what_is_due_and_what_the_tyres_carry_and_nothing_of_the_driver(place, said):
    (place / "van.yaml").write_text(CARD, encoding="utf-8")
    _, text, _ = said("sheet", "1", "--format", "text", "--vehicle", "./van.yaml")
    assert f"\n\n{ON_THE_SHEET}\n" in text
    assert "icence" not in text
    german = said("sheet", "1", "--format", "text", "--vehicle", "./van.yaml", "--language", "de")[1]
    assert "Gasschlauch: FÄLLIG seit 2020-01-09\n" in german
    assert "Reifen, Hinterachse: 4,75 bar, 1750 kg\n" in german
    assert "vehicle's card" not in said("sheet", "1", "--format", "text")[1]


def test_the_card_of_another_vehicle_is_refused(place, said):
    (place / "other.yaml").write_text(CARD.replace("blue", "red"), encoding="utf-8")
    told = said("sheet", "1", "--vehicle", "./other.yaml")
    assert told == (2, "", 'case 1 is of "the blue van", and this card is of "The red van"\n')
    assert not (place / "sheet-1.pdf").exists()


def test_a_case_whose_tree_is_not_at_hand_is_told(place, said, monkeypatch):
    monkeypatch.delenv("DIAGNOSE_TREES")
    told = 'the tree "step-stuck" of case 1 is not at hand; name its folder with --trees\n'
    assert said("sheet", "1") == (1, "", told)
    assert said("sheet", "1", "--trees", str(place / "trees"))[0] == 0
