"""A text in another language, in English for want of one, and whose words count where."""

from __future__ import annotations

import shutil

import pytest

from diagnose.knowledge.catalogues import Catalogue, Entry
from diagnose.knowledge.collection import Library, shipped_folder
from diagnose.knowledge.languages import Language, Text, language, languages
from diagnose.terms import FlawedKnowledge, WrongUsage

HEAD = """\
msgid ""
msgstr ""
"Language: de\\n"
"Content-Type: text/plain; charset=UTF-8\\n"
"Reviewed-by: {who}\\n"
"""


def made(phrases, *texts, who=""):
    headers = {"Plural-Forms": "nplurals=2; plural=(n > 1);", "X-Decimal-Mark": ",", "Reviewed-by": who}
    kept = {
        english: Entry(english, other if isinstance(other, tuple) else (other,), plural)
        for (english, plural), other in {
            (key if isinstance(key, tuple) else (key, "")): value for key, value in phrases.items()
        }.items()
    }
    own = (
        Catalogue("t", {key: Entry(key, (value,)) for key, value in each.items()}, {"Reviewed-by": who})
        for each in texts
    )
    return Language("xx", Catalogue("p", kept, headers), tuple(own))


def test_in_english_every_text_is_itself_and_nothing_is_marked():
    plain = Language()
    assert plain.phrase("Case: {case}", case=12) == "Case: 12"
    assert plain.counted("{count} time", "{count} times", 2) == "2 times"
    assert plain.text("The cylinder is empty") == Text("The cylinder is empty", False)
    assert plain.marked("The cylinder is empty") == "The cylinder is empty"
    assert (plain.number(12.5), plain.percent(0.182)) == ("12.5", "18%")
    assert plain.review() == ()
    assert plain.name == "English"


def test_what_is_missing_is_english_and_marked_in_the_other_language():
    other = made({"{text} (English)": "{text} (anglais)", "Gas": "Gaz"}, {"Hot": "Chaud"})
    assert other.phrase("Gas") == "Gaz"
    assert other.phrase("Oil {n}", n=3) == "Oil 3 (anglais)"
    assert other.text("Hot") == ("Chaud", False)
    assert other.text("Cold") == ("Cold", True)
    assert other.marked("Cold") == "Cold (anglais)"


def test_a_colon_is_set_off_where_the_language_does_and_never_marked():
    assert Language().colon == made({}).colon == ":"
    assert (language("de").colon, language("fr").colon) == (":", "\u00a0:")


def test_a_value_that_looks_like_a_placeholder_stays_as_it_is():
    other = made({"Case {case} of {source}": "{source}, {case}"})
    assert other.phrase("Case {case} of {source}", case="{source}", source="{0.x}") == "{0.x}, {source}"


def test_a_count_has_the_form_of_the_language_and_not_of_english():
    other = made({("{count} time", "{count} times"): ("{count} fois", "{count} foix")})
    told = [other.counted("{count} time", "{count} times", count) for count in (0, 1, 2)]
    assert told == ["0 fois", "1 fois", "2 foix"]  # French counts nought as one
    assert other.counted("{count} day", "{count} days", 0) == "0 days (English)"


def test_each_page_says_in_both_languages_that_nobody_has_reviewed_it():
    assert made({"translation not reviewed": "ungeprüft"}).review() == (
        "ungeprüft",
        "translation not reviewed",
    )


def test_with_all_catalogues_reviewed_the_reviewers_are_named_as_written():
    reviewed = {"Translation reviewed: {who}": "Geprüft: {who}"}
    assert made(reviewed, {"a": "b"}, who="a gas engineer, 2027").review() == (
        "Geprüft: a gas engineer, 2027",
    )


def test_one_catalogue_that_is_not_reviewed_makes_the_whole_not_reviewed():
    reviewed = made({"translation not reviewed": "ungeprüft"}, who="somebody")
    mixed = Language("xx", reviewed._phrases, (Catalogue("t", {"a": Entry("a", ("b",))}),))
    assert mixed.review() == ("ungeprüft", "translation not reviewed")


def test_an_unknown_language_is_told_with_those_that_there_are():
    with pytest.raises(
        WrongUsage, match=r'there is no language "dee"; there are en, de, fr .did you mean "de"'
    ):
        language("dee")
    with pytest.raises(WrongUsage, match="there is no language"):
        language("../de")


def test_english_comes_first_and_needs_no_catalogue():
    assert languages() == ("en", "de", "fr")
    assert language("en").english


@pytest.fixture
def own(tmp_path):
    """A folder of one's own with a tree that replaces a shipped one, and a way to write its catalogue."""
    shutil.copy(shipped_folder() / "hob-hisses-on.yaml", tmp_path / "hob-hisses-on.yaml")

    def write(pairs, name="hob-hisses-on", who=""):
        folder = tmp_path / "languages" / "de"
        folder.mkdir(parents=True, exist_ok=True)
        body = "".join(f'\nmsgid "{english}"\nmsgstr "{other}"\n' for english, other in pairs.items())
        (folder / f"{name}.po").write_text(HEAD.replace("{who}", who) + body, encoding="utf-8")
        return Library((tmp_path,)).tree("hob-hisses-on")

    return write


SYMPTOM = "The hob goes on hissing after its flame is out"


def test_a_catalogue_beside_one_s_own_tree_wins_for_that_tree_and_the_shipped_one_fills_its_gaps(own):
    spoken = language("de", own({SYMPTOM: "Der Herd zischt"}))
    assert spoken.text(SYMPTOM) == ("Der Herd zischt", False)
    assert spoken.text("Yes, all are shut") == ("Ja, alle sind zu", False)


def test_a_catalogue_of_one_s_own_reaches_no_shipped_tree(own):
    own({SYMPTOM: "Der Herd zischt"})
    assert language("de", Library().tree("hob-hisses-on")).text(SYMPTOM).words.startswith("Der Kocher zischt")


@pytest.mark.parametrize("name", ["hob-hisses-on", "common"])
def test_no_catalogue_of_one_s_own_changes_a_safety_text(own, name):
    caution = Library().common().cautions["gas"].say
    assert '"' not in caution
    spoken = language("de", own({caution: "Ganz harmlos", "DANGER": "hinweis"}, name))
    assert spoken.text(caution).words.startswith("Wenn Sie Gas riechen: ")
    assert spoken.phrase("DANGER") == "GEFAHR"


def test_a_flawed_catalogue_is_refused_with_its_place(own):
    with pytest.raises(
        FlawedKnowledge, match=r"languages/de/hob-hisses-on\.po:7:1: a brace stands by itself"
    ):
        language("de", own({SYMPTOM: "{x.__class__}"}))


def test_neither_language_nor_its_catalogues_are_taken_for_trees():
    library = Library((shipped_folder(),))
    assert not {"de", "fr", "languages", "common"} & set(library.ids())
