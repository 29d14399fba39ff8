"""Single lines of a sheet: what each says, and whose words they are."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from diagnose.cases.records import Entry
from diagnose.knowledge.catalogues import Catalogue
from diagnose.knowledge.catalogues import Entry as Phrase
from diagnose.knowledge.languages import Language
from diagnose.terms import Caution, Ranked
from diagnose.walking.sheet import plain_sheet
from diagnose.walking.sheet_making import make_sheet
from tests.walking.small_trees import FUEL, MONDAY, Order, heater
from tests.walking.test_danger_questions import begun
from tests.walking.test_sheet import walked
from tests.walking.test_sheet_in_full import REFERRED, record, sheet_of


def words(made):
    """The heading as plain pairs."""
    return [(line.about, line.says.words) for line in made.heading]


def logged(*entries, **changes):
    """The sheet of a case that nobody walked here."""
    numbered = [replace(line, number=at, ahead=True) for at, line in enumerate(entries, 1)]
    _, journal = walked("none")
    given = {"entries": tuple(numbered), "referral": "", "state": "referred"} | changes
    return make_sheet(record(journal, **given), heater())


def test_a_case_without_label_says_so_and_one_without_number_has_none():
    made = sheet_of("none", vehicle="", case=0)
    assert ("Vehicle", "no label given") in words(made)
    assert "Case" not in dict(words(made))
    assert words(sheet_of("none"))[0] == ("Case", "12")
    assert not any(line.says.original for line in made.heading)


def test_a_case_that_was_brought_in_says_from_where_and_has_a_day_but_no_hours():
    made = logged(Entry(MONDAY, "finding", "hob", "none"), source="the other shop", source_case="7")
    assert words(made)[1:3] == [("Brought in", "case 7 of the other shop"), ("Date", "2026-03-02")]
    assert made.heading[1].says.original is False
    (found,) = made.found
    assert (found.time, found.said.words) == ("", "No flame")
    assert ("Date", "2026-03-02 09:00 UTC") in words(sheet_of("none"))


def test_each_kind_of_finding_in_words_with_its_kind():
    volts, fuel = logged(
        Entry(MONDAY, "finding", "volts", "good", 12.4), Entry(MONDAY, "finding", "heater-fuel", "gas")
    ).found
    assert (volts.said.words, volts.kind, volts.fact) == ("12.4 V", "reading", False)
    assert (fuel.said.words, fuel.kind, fuel.fact) == ("Gas", "answer", True)
    assert volts.said.original is False
    made = logged(
        Entry(MONDAY, "finding", "hob", "not-sure"),
        Entry(MONDAY, "finding", "volts", "low"),
    )
    assert [(each.said.words, each.said.original, each.kind) for each in made.found] == [
        ("not sure", False, "not-sure"), ("low", False, "answer")
    ]  # fmt: skip


def test_what_was_found_on_the_day_has_its_hour_alone():
    assert {each.time for each in sheet_of("none").found} == {"09:00"}


def test_why_it_stopped_in_the_programs_own_words_and_of_somebody_not_sure():
    walk, journal, _ = begun()
    walk.not_sure()
    walk.not_sure()
    made = make_sheet(record(journal), walk.tree)
    assert [[text.words for text in reason] for reason in made.because] == [
        ["About smell-of-gas?", "Not sure."]
    ]
    assert not any(text.original for reason in made.because for text in reason)
    walk, journal, _ = begun()
    walk.danger()
    made = make_sheet(record(journal), walk.tree)
    assert [[text.words for text in reason] for reason in made.because] == [["You answered: danger."]]
    assert [each.to.words for each in made.handed_to] == ["The gas-escape", "The co-suspected"]


def test_the_register_of_gas_fitters_stands_with_gas_alone():
    walk, journal = walked(*REFERRED)
    for whom, register in (("gas-engineer", "the register"), ("electrician", ""), ("workshop", "")):
        made = make_sheet(record(journal, referral=whom), walk.tree, register="the register")
        assert [(each.to.words, each.register) for each in made.handed_to] == [(f"The {whom}", register)]
    assert make_sheet(record(journal, referral=""), walk.tree).handed_to == ()
    assert make_sheet(record(journal), walk.tree).handed_to[0].register == ""


def test_where_gas_escapes_nobody_looks_into_a_register_and_getting_away_is_said_first():
    walk, journal, _ = begun()
    walk.danger()
    made = make_sheet(record(journal, state="stopped"), walk.tree, register="the register")
    assert [(each.to.words, each.register) for each in made.handed_to] == [
        ("The gas-escape", ""),
        ("The co-suspected", ""),
    ]
    text = plain_sheet(made)
    assert text.index("Until help comes: Until then: gas-escape.") < text.index("Say what gas-escape needs")


def test_dangers_are_told_from_lesser_cautions():
    walk, journal = walked(*REFERRED)
    texts = {**walk.tree.caution_texts, "hot-surfaces": Caution("hot-surfaces", "CAUTION", "It is hot.")}
    made = make_sheet(record(journal), replace(walk.tree, caution_texts=texts))
    assert {each.word: each.danger for each in made.cautions} == {"CAUTION": False, "DANGER": True}


@pytest.mark.parametrize(
    ("starts", "said"), [(0, "never"), (1, "once"), (2, "twice"), (3, "3 times"), (12, "12 times")]
)
def test_how_often_it_was_started(starts, said):
    walk, journal = walked("none")
    lines = [
        Entry(MONDAY + timedelta(minutes=n), "finding", "start", "ticks", number=90 + n)
        for n in range(starts)
    ]
    plain = replace(
        walk.tree, checks={**walk.tree.checks, "hob": replace(walk.tree.checks["hob"], starts=False)}
    )
    made = make_sheet(record(journal, entries=(*journal.lines, *lines)), plain)
    assert made.starts.startswith(f"Started in this case: {said} (")
    assert make_sheet(record(journal), replace(plain, tries=None)).starts == ""


def test_a_tried_remedy_of_which_nothing_more_is_known_is_told_as_it_stands():
    _, journal = walked("none")
    for answer, said in (("cured", "then it worked"), ("not-cured", "no better"), ("half", "half")):
        lines = (Entry(MONDAY, "tried", "shut", answer, number=50),)
        (tried,) = make_sheet(record(journal, entries=lines), heater()).tried
        assert (tried.became, [text.words for text in tried.do]) == (said, ["Open the valve"])
        assert not tried.do[0].original


def test_what_is_left_alone_is_so_for_whoever_walked():
    walk, journal = walked("none")
    only = replace(walk.tree.events["fuse"].remedy, by="technician")
    tree = replace(
        walk.tree, events={**walk.tree.events, "fuse": replace(walk.tree.events["fuse"], remedy=only)}
    )
    left = {
        role: {
            each.says.words: each.why.words for each in make_sheet(record(journal, role=role), tree).untouched
        }
        for role in ("owner", "technician")
    }
    assert left["owner"]["It is the fuse"] != left["technician"].get("It is the fuse")


def test_without_a_ranking_nothing_is_said_to_be_missing_and_with_a_code_no_code_is_missed():
    walk, journal = walked(*REFERRED)
    ranking = Order(walk.tree).ranking(walk.situation)
    assert make_sheet(record(journal), walk.tree, missing="5 of 9").missing == ""
    assert make_sheet(record(journal), walk.tree, ranking, missing="5 of 9").missing == "5 of 9"
    assert make_sheet(record(journal), walk.tree, ranking).missing == ""
    bare = make_sheet(record(journal), walk.tree)
    assert (bare.no_code, bare.language, bare.case) == (
        "There is no code: the walk has not ended here.", "en", 12
    )  # fmt: skip
    assert make_sheet(record(journal), walk.tree, code="0042-7524-4371").no_code == ""


def test_a_change_without_an_answer_names_what_has_no_place_alone():
    walk, journal = walked(*REFERRED)
    checks = {id: check for id, check in walk.tree.checks.items() if id not in ("volts", "hob")}
    tree = replace(walk.tree, checks=checks, digest="digest-2")
    lines = (*journal.lines, Entry(MONDAY, "tried", "gone-cause", "not-cured", number=80))
    told = make_sheet(record(journal, entries=lines), tree).notices[-1]
    assert told.startswith("No longer in the tree, so left out here: ")
    assert "hob: none; " in told


def test_in_another_language_what_is_the_trees_alone_is_marked_as_english():
    phrases = {"left for: {to}": "eftlay: {to}", "zero": "eroway", "no better": "onay"}
    entries = {english: Phrase(english, (other,)) for english, other in phrases.items()}
    texts = {"Change the cylinder": Phrase("Change the cylinder", ("Angechay.",))}
    other = Language("pl", Catalogue("p", entries, {}), (Catalogue("t", texts, {}),))
    made = sheet_of(*REFERRED, language=other, code="0042-7524-4371")
    assert made.answer_back.aloud.startswith("eroway eroway")
    done = [(text.words, text.original) for tried in made.tried for text in tried.do]
    assert done == [("Angechay", False), ("Open the valve", True), ("Fit a new fuse", True)]
    left = {each.says.words: each.why for each in made.untouched}
    board = left["It is the board"]
    assert (board.words, board.original) == ("eftlay: The gas-engineer", True)


def test_in_another_language_causes_of_the_tree_are_its_texts_and_the_rest_the_programs():
    phrases = {"Something that is not listed here": "Etwasway", "and": "andway", "{number}%": "{number} %"}
    entries = {english: Phrase(english, (other,)) for english, other in phrases.items()}
    texts = {"It is the shut": Phrase("It is the shut", ("Utshay",))}
    other = Language("pl", Catalogue("p", entries, {}), (Catalogue("t", texts, {}),))
    walk, journal = walked("none")
    tree = replace(walk.tree, cut_sets=(*walk.tree.cut_sets, ("shut", "fuse")))
    ranking = [
        Ranked("shut", "It is the shut", 0.5, 0.4, 0.6),
        Ranked("shut+fuse", "Both", 0.3, 0.2, 0.4),
        Ranked("not-listed", "Something that is not listed here", 0.2, 0.1, 0.3),
    ]
    made = make_sheet(record(journal), tree, ranking, language=other)
    assert [each.says.words for each in made.likely] == ["Utshay", "Utshay andway It is the fuse", "Etwasway"]
    assert [each.says.original for each in made.likely] == [False, True, False]
    english = make_sheet(record(journal), tree, ranking)
    assert [each.says.words for each in english.likely] == [each.says for each in ranking]
    assert FUEL.ask in {each.asked.words for each in english.found}
