"""The sheet to be printed, as values and as plain text: all that stands on it, in any language."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from diagnose.cases.records import CaseRecord
from diagnose.knowledge.catalogues import Catalogue, Entry
from diagnose.knowledge.languages import Language
from diagnose.walking.past import read_past
from diagnose.walking.sheet import plain_sheet
from diagnose.walking.sheet_making import has_ranking, make_sheet
from tests.walking.small_trees import MONDAY, Order
from tests.walking.test_sheet import walked

CODE = "057R-R84R-R336-8R87-65M8"
REFERRED = ("none", "ticks", 12.4, "not-cured", "no", "could-not", "no", "could-not")


def record(journal, **changes):
    made = CaseRecord(
        12, "heater", "digest-1", "owner", journal.state, MONDAY, MONDAY, "Blue van", journal.referral,
        entries=tuple(journal.lines),
    )  # fmt: skip
    return replace(made, **changes)


def sheet_of(*answers, language=None, tree=None, code=CODE, **changes):
    walk, journal = walked(*answers)
    ranking = Order(walk.tree).ranking(walk.situation)
    spoken = {"language": language} if language is not None else {}
    return make_sheet(record(journal, **changes), tree or walk.tree, ranking, code=code, **spoken)


def pig_latin():
    """A language in which only a few phrases and one text are known."""
    phrases = {
        "HAND-OVER SHEET": "EETSHAY",
        "Vehicle": "Ehiclevay",
        "not sure": "otnay uresay",
        "Stopped because: {why}": "Oppedstay: {why} (ecausebay)",
        "{text} (English)": "{text} [Englishay]",
    }
    phrases |= {text: text for text in ("Case", "Date", "Symptom", "The walk was", "{number}%")}
    entries = {english: Entry(english, (other,)) for english, other in phrases.items()}
    texts = {"How does the hob burn?": Entry("How does the hob burn?", ("Obhay?",)), "V": Entry("V", ("V",))}
    headers = {"X-Decimal-Mark": ","}
    return Language("pl", Catalogue("p", entries, headers), (Catalogue("t", texts),))


def test_the_sheet_to_be_printed_has_times_facts_readings_and_lines_to_sign():
    text = plain_sheet(sheet_of(*REFERRED))
    assert "About the vehicle:\n- What does it burn? Gas\n" in text
    assert "What was found, in order (times are UTC):\n09:00 About co-alarm? Quiet\n" in text
    assert "\n09:00 What does the panel show? 12.4 ± 0.15 V\n" in text
    assert "- What does it burn?" not in text.partition("What was found")[2]
    assert f'  diagnose cases add --code "{CODE} VOLTS:12.4:0.15"\n' in text
    assert text.endswith(
        """
This sheet orders no work. Whoever may order it writes here:
  Name: ________________________
  Date: ________________________
  Signature: ________________________

This does not certify that the vehicle is safe.
"""
    )


def test_the_likeliest_causes_stand_beneath_what_was_found():
    text = plain_sheet(sheet_of(*REFERRED))
    parts = ["What was found", "What was tried:", "What was not touched", "Likeliest causes", "Code: "]
    assert [text.index(part) for part in parts] == sorted(text.index(part) for part in parts)


def test_what_was_found_on_another_day_has_its_day():
    walk, journal = walked("none")
    later = [replace(line, time=line.time + timedelta(days=1)) for line in journal.lines]
    made = make_sheet(record(journal, entries=tuple(later)), walk.tree)
    assert {each.time for each in made.found} == {"2026-03-03 09:00"}


def test_a_case_without_a_code_has_neither_outcomes_nor_a_square_code():
    made = sheet_of("none", code="")
    assert (made.answer_back, made.findings_code) == (None, "")


def test_a_stop_is_one_and_says_what_stopped_it():
    made = sheet_of("yellow")
    assert made.stopped
    assert [[text.words for text in reason] for reason in made.because] == [
        ["How does the hob burn?", "Yellow."]
    ]


def test_a_tree_that_has_changed_is_told_with_what_has_no_place_in_it_any_more():
    walk, _ = walked(*REFERRED)
    checks = {id: check for id, check in walk.tree.checks.items() if id != "volts"}
    made = sheet_of(*REFERRED, tree=replace(walk.tree, checks=checks, digest="digest-2"))
    assert made.notices == (
        "The tree behind this sheet has changed since the walk; its words are today's.",
        "No longer in the tree, so left out here: volts: good.",
    )
    assert "What does the panel show?" not in plain_sheet(made)
    assert made.findings_code == CODE
    assert sheet_of(*REFERRED).notices == ()


@pytest.mark.parametrize(
    ("answers", "state", "ranked"),
    [((), "stopped", False), (("none",), "stopped", True), ((), "referred", True)],
)
def test_a_stop_before_anything_but_dangers_was_asked_ranks_nothing(answers, state, ranked):
    walk, journal = walked(*answers)
    case = record(journal, state=state)
    assert has_ranking(case, read_past(walk.tree, case.entries)) is ranked


def test_in_another_language_what_is_there_is_shown_and_the_rest_is_marked():
    made = sheet_of(*REFERRED, language=pig_latin())
    hob, volts = made.seen[1], made.seen[3]
    assert (hob.asked.words, hob.asked.original) == ("Obhay?", False)
    assert (hob.said.words, hob.said.original) == ("No flame", True)
    assert volts.said.words == "12,4 ± 0,15 V"
    text = plain_sheet(made, pig_latin())
    assert text.startswith("EETSHAY\n")
    assert "Ehiclevay: Blue van\n" in text
    assert "09:00 Obhay? No flame [Englishay]\n" in text
    assert "diagnose cases confirm " + CODE in " ".join(text.split())


def test_what_stopped_a_walk_stands_where_the_other_language_wants_it():
    text = plain_sheet(sheet_of("yellow", language=pig_latin()), pig_latin())
    assert "Oppedstay: Obhay? Yellow. [Englishay] (ecausebay)\n" in text


def test_the_square_code_and_the_command_are_the_same_in_every_language():
    assert sheet_of(*REFERRED, language=pig_latin()).findings_code == sheet_of(*REFERRED).findings_code
    assert sheet_of(*REFERRED).findings_code == f"{CODE} VOLTS:12.4:0.15"
