"""The shipped translations: whole, well formed by other readers, and nothing of a safety text lost.

Read beside `babel`, which knows the Unicode CLDR and reads PO files by itself.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO

import pytest
from babel.core import Locale
from babel.messages.checkers import python_format
from babel.messages.pofile import read_po
from babel.numbers import format_decimal, format_percent
from babel.plural import to_python

from diagnose.knowledge.catalogue_checks import advise_on_catalogue, figures
from diagnose.knowledge.catalogue_writing import PLURALS, catalogue_text
from diagnose.knowledge.catalogues import catalogue_of, read_catalogue
from diagnose.knowledge.collection import Library
from diagnose.knowledge.languages import language
from tests.knowledge.cataloguing import OTHERS, counted, paths, phrases, texts_of

SAFETY = re.compile(r"^(caution|referral|remedy of|how to find out|hazard|signal word)")
NOT_IN = {
    "en": re.compile(r"\b(no|not|never|nobody|nothing|none|nor|neither|cannot)\b", re.IGNORECASE),
    "de": re.compile(r"\b(nicht|nie|niemand\w*|nichts|kein\w*|ohne|weder)\b", re.IGNORECASE),
    "fr": re.compile(
        r"\b(ne|jamais|aucune?|personne|rien|ni|sans|non|pas|sinon|impossible)\b|\bn'", re.IGNORECASE
    ),
}
ENDS = re.compile(r"[.!?](?=\s|$)")


@pytest.fixture(scope="module")
def library():
    return Library()


@pytest.fixture(scope="module")
def shipped(library):
    """Language, name, catalogue and the texts that it has to hold, of every shipped catalogue."""
    whole = {name: texts_of(name, library) for name in paths("de")}
    return [
        (code, name, read_catalogue(path, f"{code}/{name or 'program'}.po"), whole[name])
        for code in OTHERS
        for name, path in paths(code).items()
    ]


def safety_texts(shipped) -> Iterator[tuple[str, str, str]]:
    """Language, English text and translation of all that keeps somebody from harm."""
    for code, _, catalogue, texts in shipped:
        for english, places in texts.items():
            entry = catalogue.entries.get(english)
            if entry is not None and entry.usable and any(SAFETY.match(place) for place in places):
                yield code, english, entry.forms[0]


def test_no_translation_is_old_or_unsure_or_has_other_figures_and_only_texts_of_a_tree_may_be_missing(
    shipped,
):
    # Run `python -m tests.knowledge.cataloguing` once a text has changed.
    told = [
        str(advice)
        for _, name, catalogue, texts in shipped
        for advice in advise_on_catalogue(catalogue, texts)
        if name in ("", "common") or advice.name != "translation-missing"
    ]
    assert told == []


def test_every_safety_text_keeps_its_sentences_its_figures_and_its_negations(shipped):
    seen = 0
    for code, english, other in safety_texts(shipped):
        seen += 1
        ours, theirs = (re.split(rf"(?:{ENDS.pattern})\s*", text) for text in (english, other))
        assert len(ours) == len(theirs), (english, other)
        for one, same in zip(ours, theirs, strict=True):
            assert figures(one) == figures(same), (one, same)
            assert not NOT_IN["en"].search(one) or NOT_IN[code].search(same), (one, same)
    assert seen > 300


def test_emergency_numbers_and_the_names_of_registers_are_the_same(shipped):
    for _, name, catalogue, texts in shipped:
        for english in texts:
            other = catalogue.entries[english].forms[0]
            if not other:
                continue
            assert other.count("112") == english.count("112"), (name, english)
            assert ("Gas Safe Register" in english) == ("Gas Safe Register" in other)


def test_the_signal_words_are_those_of_the_standard():
    # ISO 3864-2 and ANSI Z535.6 in their German and French editions, from memory.
    words = {
        "de": ["GEFAHR", "WARNUNG", "VORSICHT", "HINWEIS"],
        "fr": ["DANGER", "AVERTISSEMENT", "ATTENTION", "AVIS"],
    }
    for code, expected in words.items():
        spoken = language(code)
        assert [spoken.phrase(word) for word in ("DANGER", "WARNING", "CAUTION", "NOTICE")] == expected


def test_nothing_is_called_safe_by_a_translation(shipped):
    certifies = re.compile(
        r"\bist (\w+ )?sicher\b|\bgefahrlos|\bungefährlich|\best sûre?\b|\bsans danger\b", re.IGNORECASE
    )
    told = {
        (code, english)
        for code, _, catalogue, texts in shipped
        for english in texts
        if certifies.search(catalogue.entries[english].forms[0])
    }
    denied = "This does not certify that the vehicle is safe."
    assert told <= {(code, denied) for code in OTHERS}


def test_another_reader_finds_the_same_entries_and_no_error(shipped):
    for code in OTHERS:
        for path in paths(code).values():
            theirs = read_po(BytesIO(path.read_bytes()), locale=code, abort_invalid=True)
            ours = read_catalogue(path)
            assert {message.id: message.string for message in theirs if message.id} == {
                entry.english: entry.forms[0] for entry in ours.entries.values()
            }
            assert [error for _, errors in theirs.check() for error in errors] == []
            for message in theirs:
                python_format(None, message)  # what xgettext calls a format: there must be none
                assert "python-format" not in message.flags


@pytest.mark.parametrize("code", OTHERS)
def test_the_plural_rule_is_the_one_of_the_cldr(code):
    rule = Locale(code).plural_form
    forms = ["one", "other"]
    plural = language(code)._form
    for count in (*range(201), 999_999):
        assert forms[plural(count)] == to_python(rule)(count)
    assert f'"Plural-Forms: {PLURALS[code]}\\n"' in paths(code)[""].read_text(encoding="utf-8")


@pytest.mark.parametrize("code", OTHERS)
@pytest.mark.parametrize("value", [0, 12.5, -5, 0.15, 230, 13.25])
def test_numbers_have_the_decimal_mark_of_the_cldr(code, value):
    # The CLDR's minus is U+2212 nowhere in these two languages.
    assert language(code).number(value) == format_decimal(value, locale=code)


@pytest.mark.parametrize("code", OTHERS)
def test_per_cent_is_spaced_as_the_cldr_does(code):
    for share in (0.0, 0.18, 1.0):
        assert language(code).percent(share) == format_percent(share, locale=code)


def test_each_catalogue_is_written_as_the_command_writes_it(shipped):
    plurals = counted()
    for code, name, catalogue, texts in shipped:
        written = paths(code)[name].read_text(encoding="utf-8")
        again = catalogue_text(code, texts, catalogue, {} if name else plurals, written[2:].split("\n", 1)[0])
        bare = [line for line in written.splitlines() if not line.startswith("#.")]
        assert [line for line in again.splitlines() if not line.startswith("#.")] == bare


def test_a_catalogue_keeps_what_was_translated_and_what_exists_no_more():
    first = catalogue_of(catalogue_text("de", {"Gas": ["cause a"], "Oil": ["cause b"]}), "x.po")
    assert not any(entry.usable for entry in first.entries.values())
    filled = catalogue_text("de", {"Gas": ["cause a"], "Oil": []}, first).replace(
        'msgid "Gas"\nmsgstr ""', 'msgid "Gas"\nmsgstr "das Gas"'
    )
    later = catalogue_text("de", {"Oil": [], "Water": ["cause c"]}, catalogue_of(filled, "x.po"))
    assert '#. cause c\nmsgid "Water"\nmsgstr ""\n' in later
    assert later.endswith('#~ msgid "Gas"\n#~ msgstr "das Gas"\n')
    assert list(catalogue_of(later, "x.po").entries) == ["Oil", "Water"]


def test_the_program_s_own_sentences_are_found_where_they_are_said_and_in_its_tables():
    said = {"HAND-OVER SHEET", "left for: {to}", "translation not reviewed", "cured", "NOTICE", "seven"}
    assert said <= set(phrases())
