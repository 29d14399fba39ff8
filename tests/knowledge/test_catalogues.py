"""Reading message catalogues, which can come from anybody: every flaw at once, and nothing that is run."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.catalogue_writing import catalogue_text
from diagnose.knowledge.catalogues import (
    LONGEST_TRANSLATION,
    Catalogue,
    Entry,
    catalogue_of,
    filled,
    placeholders,
    read_catalogue,
)
from diagnose.knowledge.characters import refused_in_text
from diagnose.terms import FlawedKnowledge

HEAD = """\
msgid ""
msgstr ""
"Language: de\\n"
"Content-Type: text/plain; charset=UTF-8\\n"
"Reviewed-by: \\n"

"""


def flaws(body, head=HEAD):
    with pytest.raises(FlawedKnowledge) as raised:
        catalogue_of(head + body, "x.po")
    return [str(flaw).removeprefix("x.po:") for flaw in raised.value.flaws]


def test_a_catalogue_has_its_entries_its_header_and_where_each_stands():
    made = catalogue_of(HEAD + '#. a place\nmsgid "Gas"\nmsgstr "das Gas"\n', "x.po")
    assert made.entries["Gas"].forms == ("das Gas",)
    assert made.entries["Gas"].line == 7  # where the entry begins, comments included
    assert (made.headers["Language"], made.reviewed_by) == ("de", "")


def test_the_reviewer_is_told_as_written_on_one_line():
    head = HEAD.replace("Reviewed-by: ", "Reviewed-by: a gas engineer,  2027-01-05")
    assert catalogue_of(head, "x.po").reviewed_by == "a gas engineer, 2027-01-05"


def test_every_flaw_is_told_at_once_with_its_line():
    body = (
        'msgid "Shut {what}"\nmsgstr "Schließen {wen}"\n\n'
        'msgid "Call {who}"\nmsgstr "Rufen Sie {who.__class__} an"\n\n'
        'msgid "Gas"\nmsgstr "Gas"\n\n'
        'msgid "Gas"\nmsgstr "Erdgas"\n\n'
        'msgctxt "verb"\nmsgid "Open"\nmsgstr "Öffnen"\n\n'
        'msgid "Two\\nlines"\nmsgstr "Zwei Zeilen"\n'
    )
    assert flaws(body) == [
        '7:1: "Schließen {wen}" holds {wen} where the original holds {what}',
        '10:1: a brace stands by itself in "Rufen Sie {who.__class__} an"',
        '16:1: "Gas" stands twice (first on line 13)',
        "19:1: msgctxt is not used here: a text is found by its English words alone",
        "23:1: the control character U+000A stands here; take it out",
    ]


@pytest.mark.parametrize(
    "translation", ["{0}", "{what!r}", "{what:>99}", "{what[0]}", "{{what}}", "{", "}", "{}"]
)
def test_a_translation_has_no_format_language(translation):
    assert flaws(f'msgid "Shut {{what}}"\nmsgstr "zu {translation}"\n') != []


def test_both_forms_of_a_count_have_the_placeholders_of_the_original():
    body = 'msgid "{count} time"\nmsgid_plural "{count} times"\nmsgstr[0] "einmal"\nmsgstr[1] "{count}-mal"\n'
    assert flaws(body) == ['7:1: "einmal" holds no placeholder where the original holds {count}']


@pytest.mark.parametrize(
    ("character", "named"),
    [
        ("\x1b", "the control character U+001B"),
        ("\u202e", "the invisible or direction-changing character U+202E"),
        ("\u200b", "the invisible or direction-changing character U+200B"),
    ],
)
def test_what_could_rewrite_a_screen_or_turn_a_text_round_is_refused_at_its_place(character, named):
    assert flaws(f'msgid "Gas"\nmsgstr "G{character}as"\n') == [f"8:10: {named} stands here; take it out"]


def test_an_escape_does_not_hide_a_control_character():
    assert flaws('msgid "Gas"\nmsgstr "Gas\\b"\n') == [
        "7:1: the control character U+0008 stands here; take it out"
    ]


@pytest.mark.parametrize(
    "line", ["rubbish", 'msgid "open', 'msgid "a"b"', "msgstr x", '"Gas', "<b>", 'domain "x"', "msgid"]
)
def test_a_line_that_is_none_of_a_catalogue_is_told_with_its_number(line):
    assert [flaw.partition(": ")[0] for flaw in flaws(f"{line}\n")] == ["7:1"]


def test_a_header_says_language_characters_and_reviewer():
    assert flaws("", 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=latin-1\\n"\n') == [
        "1:1: its header lacks Language",
        "1:1: its header lacks Reviewed-by",
        "1:1: its header names another character set than UTF-8",
    ]


def test_a_text_that_is_too_long_is_refused():
    assert flaws(f'msgid "Gas"\nmsgstr "{"a" * (LONGEST_TRANSLATION + 1)}"\n') == [
        f"7:1: a text is over {LONGEST_TRANSLATION} characters"
    ]


def test_a_file_that_is_too_large_or_not_utf_8_or_missing_is_refused(tmp_path):
    large, foreign = tmp_path / "large.po", tmp_path / "foreign.po"
    large.write_bytes(b"#" * (1024 * 1024 + 1))
    foreign.write_bytes(HEAD.encode() + 'msgid "a"\nmsgstr "ü"\n'.encode("latin-1"))
    for path, why in (
        (large, "1:1: the file is larger than 1 MiB"),
        (foreign, "8:1: the file is not UTF-8 here; save it as UTF-8"),
        (tmp_path / "gone.po", "1:1: there is no such file"),
    ):
        with pytest.raises(FlawedKnowledge, match=why):
            read_catalogue(path, "x.po")


def test_a_text_that_is_the_name_of_a_file_is_not_opened(tmp_path):
    secret = tmp_path / "secret.po"
    secret.write_text(HEAD + 'msgid "Gas"\nmsgstr "secret"\n')
    with pytest.raises(FlawedKnowledge):
        catalogue_of(str(secret), "x.po")


def test_what_is_marked_fuzzy_or_obsolete_or_empty_is_not_used():
    body = '#, fuzzy\nmsgid "Gas"\nmsgstr "Öl {x}"\n\nmsgid "Oil"\nmsgstr ""\n\n'
    body += '#~ msgid "Old"\n#~ msgstr "Alt"\n'
    made = catalogue_of(HEAD + body, "x.po")
    assert {english: entry.usable for english, entry in made.entries.items()} == {"Gas": False, "Oil": False}


@given(st.text(max_size=60))
def test_whatever_a_file_holds_it_is_read_or_refused_with_its_flaws(text):
    for whole in (text, HEAD + text):
        told = []
        try:
            told.append(catalogue_of(whole, "x.po").entries)
        except FlawedKnowledge as refused:
            told += [flaw.line >= 1 for flaw in refused.flaws]
        assert told
        assert all(each is not False for each in told)


@given(st.dictionaries(st.sampled_from(["what", "who", "count"]), st.text()), st.text())
def test_filling_in_looks_at_no_value_twice_and_leaves_what_it_does_not_know(values, tail):
    whole = filled("{what}|{who}|{count}|{other}", values)
    assert whole == "|".join(
        [*(values.get(name, f"{{{name}}}") for name in ("what", "who", "count")), "{other}"]
    )
    assert set(placeholders(filled("", values) + tail)) == set(placeholders(tail))


PLAIN = st.text(
    st.one_of(
        st.sampled_from('ab \\"#~|é„n'), st.characters(exclude_categories=["Cc", "Cf", "Cs", "Zl", "Zp"])
    ),
    min_size=1,
    max_size=200,
).filter(lambda text: not refused_in_text(text) and not set("{}") & set(text))


@given(st.dictionaries(PLAIN, PLAIN, max_size=3))
def test_what_is_written_is_read_back_whatever_its_signs(pairs):
    known = Catalogue("", {english: Entry(english, (other,)) for english, other in pairs.items()})
    written = catalogue_text("de", dict.fromkeys(pairs, ("a place",)), known)
    read = catalogue_of(written, "x.po").entries
    assert {english: entry.forms for english, entry in read.items()} == {
        english: (other,) for english, other in pairs.items()
    }
