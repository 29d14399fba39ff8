"""The text of a card: a new one can be read again, and facts are added with all else left as it was."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.card import VehicleCard, read_card
from diagnose.knowledge.card_fields import DATE_CODES, DATES
from diagnose.knowledge.card_splicing import fact_lines, with_facts
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.card_writing import card_text
from diagnose.knowledge.characters import refused_in_text
from diagnose.knowledge.collection import Library
from diagnose.knowledge.fields import NEEDS
from diagnose.terms import Finding
from diagnose.terms.errors import FlawedKnowledge

TODAY = date(2026, 3, 1)
WORDS = CardWords(Library())
GAS = Finding("heater-fuel", "gas")
MONTHS = Finding("months-laid-up", "season", 5.0, 0.5)


def read(text):
    return read_card(text, "", WORDS, TODAY)


def facts(text):
    return {each.check: each.answer for each in read(text).facts}


TEXTS = st.text(
    st.characters(exclude_categories=["Cc", "Cf", "Cs", "Zl", "Zp", "Cn", "Co"]), min_size=1, max_size=40
).filter(lambda text: text.strip() and text == " ".join(text.split()) and not refused_in_text(text))
"""What is taken for a label: whoever types one at a card is refused the characters that no file may hold."""
ANSWERS = {id: fact.answer_ids() for id, fact in WORDS.facts.items() if id != "country" and not fact.reading}


@given(
    label=TEXTS,
    country=st.sampled_from([None, *WORDS.countries]),
    chosen=st.dictionaries(st.sampled_from(sorted(ANSWERS)), st.integers(0, 9), max_size=5),
    where=st.dictionaries(st.sampled_from(sorted(WORDS.parts)), TEXTS, max_size=4),
    cannot=st.frozensets(st.sampled_from(NEEDS)),
    dates=st.dictionaries(
        st.sampled_from(sorted(DATES)), st.dates(date(2001, 1, 1), date(2026, 2, 28)), max_size=5
    ),
)
def test_the_text_of_a_card_is_read_as_that_card(label, country, chosen, where, cannot, dates):
    found = {id: Finding(id, ANSWERS[id][at % len(ANSWERS[id])]) for id, at in chosen.items()}
    # A code tells the week only, so what is stamped is taken from its Monday.
    kept = {
        id: date.fromisocalendar(*day.isocalendar()[:2], 1) if id in DATE_CODES else day
        for id, day in dates.items()
    }
    if country is not None:
        found["country"] = Finding("country", country)
    card = VehicleCard(
        "",
        label,
        country,
        tuple(found[id] for id in WORDS.facts if id in found),
        where,
        {},
        cannot,
        kept,
    )
    assert replace(read(card_text(card, "van.yaml")), advice=()) == card


@pytest.mark.parametrize("character", ["\u115f", "\u1160", "\u3164", "\uffa0", "\u034f", "\U000e0100"])
def test_letters_that_nobody_sees_are_no_part_of_a_card(character):
    """All six are letters or marks to Unicode, so what is not printable is not all that has to be refused."""
    assert character.isprintable()
    for content in ({"label": f"A{character}"}, {"where": {"battery-isolator": f"A{character}"}}):
        with pytest.raises(FlawedKnowledge) as refused:
            read(json.dumps(content, ensure_ascii=False))
        assert f"U+{ord(character):04X}" in str(refused.value)


def test_a_new_card_shows_the_form_of_what_it_does_not_hold():
    text = card_text(VehicleCard(), "van.yaml")
    assert read(text) == VehicleCard()
    bare = "\n".join(line[2:] for line in text.splitlines() if line.startswith(("#   ", "# cannot: [")))
    assert "battery-isolator: under the driver's seat, red key" in bare
    assert "# where:\n#   battery-isolator" in text


def test_a_line_end_in_a_files_name_ends_no_comment():
    text = card_text(VehicleCard(), "van\nlabel: x.yaml")
    assert read(text) == VehicleCard()


CARDS = [
    "# mine\nlabel: a   # of course\nfacts:\n    build: caravan # yes\n    # more\nwhere:\n  flue: low\n",
    "facts:\n  build: caravan",
    "label: a\n",
    "label: a",
    "# nothing but this\n",
    "",
    "label: a\r\nfacts:\r\n  build: caravan\r\ncountry: uk\r\n",
    'label: AB12 CDE\nfacts:\n  "build": "caravan"\n',
]


@pytest.mark.parametrize("text", CARDS)
def test_facts_are_added_and_every_other_character_stays(text):
    added = with_facts(text, [GAS, MONTHS], WORDS, TODAY)
    assert added is not None
    assert facts(added) == facts(text) | {"heater-fuel": "gas", "months-laid-up": "season"}
    new = added
    for line in fact_lines([GAS, MONTHS]):
        assert new.count(line) == 1
        new = new.replace(line, "")
    assert "".join(new.replace("facts:", "").split()) == "".join(text.replace("facts:", "").split())
    kept = [line for line in text.splitlines() if line.strip()]
    assert [line for line in added.splitlines() if line in kept] == kept


@pytest.mark.parametrize(
    "text",
    [
        "facts: {build: caravan}\n",
        "facts:\n  {build: caravan}\n",
        "{label: a}\n",
        "facts:\n  build:\n    caravan\n",
        "facts: {}\n",
        "labl: a\n",
        "facts:\n  heater-fuel: diesel\n",
        "label: a\n...\n",
    ],
)
def test_where_it_cannot_be_done_plainly_nothing_is_done(text):
    assert with_facts(text, [GAS], WORDS, TODAY) is None


def test_a_word_that_others_take_for_a_truth_value_is_quoted():
    assert fact_lines([Finding("x", "no"), Finding("y", "uk"), MONTHS]) == (
        'x: "no"',
        "y: uk",
        "months-laid-up: 5",
    )
