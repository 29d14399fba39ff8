"""Sheets of shipped trees in the shipped languages: nothing that the program says is left in English."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import chain, cycle

import pytest

from diagnose.cases.records import CaseRecord, Entry
from diagnose.knowledge.collection import Library
from diagnose.knowledge.languages import ENGLISH, Language, Text, language, languages
from diagnose.terms import COULD_NOT, CURED, NOT_CURED, NOT_LISTED, NOT_SURE, Ranked
from diagnose.walking.sheet import plain_sheet
from diagnose.walking.sheet_making import STATES, make_sheet

NINE = datetime(2026, 11, 29, 9, 0, tzinfo=UTC)
OTHERS = tuple(code for code in languages() if code != ENGLISH)


@pytest.fixture(scope="module")
def library():
    return Library()


def everything(tree):
    """A journal in which each caution was shown, each check answered and each remedy tried."""
    lines = [
        *(("shown", id, None) for id in tree.caution_texts),
        *(("finding", "country", "uk"), ("finding", "months-laid-up", "season")),
        *(("finding", check.id, check.answers[0].id) for check in tree.checks.values() if check.stop_on),
        *(("finding", check.id, NOT_SURE) for check in tree.checks.values() if not check.stop_on),
        *chain.from_iterable(
            (("tried", "+".join(causes), became),)
            for causes, became in zip(tree.cut_sets, [NOT_CURED, COULD_NOT, CURED] * 9, strict=False)
            if all(tree.events[cause].remedy.kind == "do" for cause in causes)
        ),
    ]
    return tuple(
        Entry(NINE + timedelta(minutes=place), kind, subject, answer, number=place)
        for place, (kind, subject, answer) in enumerate(lines, 1)
    )


def read(entries, check, value):
    """The same journal with a reading."""
    return tuple(
        replace(line, value=value, uncertainty=0.5) if line.subject == check else line for line in entries
    )


class Spoken(Language):
    """A language in which every text of a tree is there: what is left in English is the program's own."""

    def text(self, english):
        return Text(english, False)


def spoken_in(code):
    return Spoken(code, language(code)._phrases)


def told(library, tree, code, spoken=None, **changes):
    spoken = spoken or language(code, tree)
    entries = read(everything(tree), "months-laid-up", 4.5)
    case = CaseRecord(12, tree.id, tree.digest, "owner", "referred", NINE, NINE, "", tree.refer_to)
    case = replace(case, entries=(*entries, *changes.pop("more", ())), **changes)
    sure = [Ranked("+".join(causes), "", 0.125, 0.0312, 0.5) for causes in tree.cut_sets]
    ranking = [Ranked(NOT_LISTED, "Something else, not in this list", 0.2, 0.1, 0.3), *sure]
    made = make_sheet(
        case, tree, ranking, language=spoken, code="057R-R84R-R336-8R87-65M8",
        register=library.common().countries["uk"].gas_register,
    )  # fmt: skip
    return "".join(plain_sheet(made, spoken, columns=4000, short=short) for short in (True, False))


def marked(code):
    return language(code).phrase("{text} (English)", text="")


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize(
    ("id", "state"), list(zip(cycle(["heater-no-fire", "mouse-signs", "lights-dim"]), STATES, strict=False))
)
def test_nothing_on_a_sheet_is_left_in_english(library, code, id, state):
    tree = library.tree(id)
    last = Entry(NINE, "danger", tree.refer_to, number=1000)
    text = told(library, tree, code, spoken_in(code), state=state, more=(last,) if state == "stopped" else ())
    assert marked(code) not in text
    assert len(text) > 4000


@pytest.mark.parametrize("code", OTHERS)
def test_nor_where_the_tree_is_a_later_one_or_comes_from_elsewhere_or_the_case_does(library, code):
    tree = library.tree("hob-goes-out")
    later = replace(tree, digest="another", shipped=True)
    gone = Entry(NINE, "finding", "gone-check", "gone-answer", number=1000)
    uncleared = Entry(NINE, "cleared", "gas-engineer", "no", number=1001)
    text = told(
        library,
        later,
        code,
        spoken_in(code),
        more=(gone, uncleared),
        tree_digest="old",
        source="hire fleet",
        source_case="7",
    )
    assert "gone-check" in text
    assert "hire fleet" in text
    assert marked(code) not in text


@pytest.mark.parametrize(
    ("code", "reading", "share"),
    [
        ("de", "4,5 ± 0,5 Monate", "12 % (3 % bis 50 %)"),
        ("fr", "4,5 ± 0,5 mois", "12 % (de 3 % à 50 %)"),
    ],
)
def test_readings_and_shares_are_written_as_the_language_does(library, code, reading, share):
    text = told(library, library.tree("heater-no-fire"), code)
    assert reading in text
    assert share in " ".join(text.split())


@pytest.mark.parametrize("code", OTHERS)
def test_the_sheet_says_in_both_languages_that_its_translation_is_not_reviewed(library, code):
    text = told(library, library.tree("heater-no-fire"), code)
    assert f"\n{' / '.join(language(code).review())}\n" in text
    assert "translation not reviewed" in text


@pytest.mark.parametrize("code", OTHERS)
def test_no_line_begins_with_a_unit_or_with_a_sign_that_belongs_to_the_word_before(library, code):
    tree = library.tree("leisure-battery-weak")
    case = CaseRecord(12, tree.id, tree.digest, "owner", "open", NINE, NINE, entries=everything(tree))
    spoken = language(code, tree)
    for columns in range(40, 81, 4):
        text = plain_sheet(make_sheet(case, tree, language=spoken), spoken, columns=columns)
        assert not re.findall(r"\n *(?:[;:?!»%]|V\b|°C).*", text)
        assert text.replace("\n", "").isprintable()
