"""`diagnose trees translate`: a catalogue to fill in, or one brought up to date."""

from __future__ import annotations

import pytest

from diagnose.knowledge.catalogues import catalogue_of
from diagnose.knowledge.collection import shipped_folder
from tests.knowledge.test_catalogue_checks import TREE

FILE = "own/languages/de/lamp-dark.po"


@pytest.fixture
def folder(tmp_path):
    own = tmp_path / "own"
    (own / "languages" / "de").mkdir(parents=True)
    (own / "lamp-dark.yaml").write_text(TREE)
    return own


def test_it_writes_every_text_empty_and_again_what_was_translated(run, folder):
    ran = run("trees", "translate", "own/lamp-dark.yaml", "--language", "de", "-o", FILE)
    assert (ran.code, ran.out) == (0, f"{FILE} is written: 0 of 8 texts are translated.\n")
    path = folder / "languages" / "de" / "lamp-dark.po"
    path.write_text(path.read_text().replace('msgid "At on"\nmsgstr ""', 'msgid "At on"\nmsgstr "Auf ein"'))
    (folder / "lamp-dark.yaml").write_text(TREE.replace("At off", "Turned off"))
    ran = run("trees", "translate", "lamp-dark", "--trees", "own", "--language", "de", "-o", FILE)
    assert ran.out == f"{FILE} is written: 1 of 8 texts are translated.\n"
    entries = catalogue_of(path.read_text(), FILE).entries
    assert entries["At on"].forms == ("Auf ein",)
    assert entries["Turned off"].forms == ("",)
    assert "At off" not in entries


def test_without_a_file_it_prints_and_a_shipped_catalogue_is_printed_as_it_is(run):
    ran = run("trees", "translate", "hob-hisses-on", "--language", "fr")
    shipped = shipped_folder() / "languages" / "fr" / "hob-hisses-on.po"
    assert (ran.code, ran.out) == (0, shipped.read_text(encoding="utf-8"))


def test_a_tree_that_replaces_a_shipped_one_takes_over_the_texts_that_are_the_same(run, folder):
    text = (shipped_folder() / "hob-hisses-on.yaml").read_text(encoding="utf-8")
    (folder / "hob-hisses-on.yaml").write_text(text.replace("Yes, all are shut", "All are shut"))
    ran = run("trees", "translate", "own/hob-hisses-on.yaml", "--language", "de")
    entries = catalogue_of(ran.out, "x.po").entries
    assert [english for english, entry in entries.items() if not entry.usable] == ["All are shut"]


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (["--language", "xx"], 2, 'there is no language "xx"; there are en, de, fr'),
        (["--language", "en"], 2, "the trees themselves are in English; name the language to translate into"),
        (["--language", "de", "-o", "nowhere/x.po"], 1, "there is no folder nowhere"),
    ],
)
def test_what_cannot_be_done_is_told_in_one_line(run, folder, words, code, told):
    ran = run("trees", "translate", "own/lamp-dark.yaml", *words)
    assert (ran.code, ran.out) == (code, "")
    assert ran.err.startswith(told)
    assert ran.err.count("\n") == 1


def test_a_catalogue_with_a_flaw_is_left_as_it_is(run, folder):
    path = folder / "languages" / "de" / "lamp-dark.po"
    path.write_text('msgid "At on"\nmsgstr "{x}"\n')
    ran = run("trees", "translate", "own/lamp-dark.yaml", "--language", "de", "-o", FILE)
    assert ran.code == 1
    assert f'{FILE}:1:1: "{{x}}" holds {{x}} where the original holds no placeholder\n' in ran.err
    assert path.read_text() == 'msgid "At on"\nmsgstr "{x}"\n'
