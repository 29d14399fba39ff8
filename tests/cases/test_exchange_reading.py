"""Exports from elsewhere: each flaw with its place, and nothing that anybody could send does harm."""

from __future__ import annotations

import json
import resource
import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.cases.exchange import Export, digest_of
from diagnose.cases.exchange_form import MOST_FLAWS
from diagnose.cases.exchange_reading import LARGEST, MOST, load_export, read_export
from diagnose.knowledge.collection import Library
from diagnose.terms import FlawedKnowledge

YEAR = 2026
WHOLE = Export(
    "00c0ffee00c0ffee",
    3,
    causes=(("hob", "x", 2025, "cured", 2), ("hob", "y+z", 2026, "referred", 1)),
    answers=(("hob", "x", "flame", "weak", 2025, "cured", 2),),
    unconfirmed=(("hob", 2026, "stopped", 4),),
)
TEXT = WHOLE.text()
NO_ID = "is no id; write lower case letters and figures, joined by single hyphens, a letter first"
RESERVED = "is a reserved word and cannot be an id"
LONG = "is 61 characters long; an id has 60 at most"
NO_LIST = "it is no list of symptom, cause, year, ending, total"
MANY = "+".join(f"x{n}" for n in range(21))
STATES = ("open", "left-off", "cured", "referred", "stopped")


def content(**changes: Any) -> dict[str, Any]:
    """What the whole file holds, with some of it changed and the digest put right."""
    changed = json.loads(TEXT) | changes
    return changed | {"digest": digest_of(changed)}


def said(text: str | bytes) -> list[str]:
    """The flaws of a file, a line each; none if it is taken."""
    try:
        read_export(text.encode() if isinstance(text, str) else text, "sums.json", YEAR)
    except FlawedKnowledge as error:
        return str(error).splitlines()
    return []


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "1:1: is no export of a case store: it does not begin with {"),
        ("[]", "1:1: is no export of a case store: it does not begin with {"),
        ("\ufeff{}", "1:1: is no export of a case store: it does not begin with {"),
        ("{", "1:2: the JSON is broken or cut short here"),
        ('{"format": "case-sums"', "1:23: the JSON is broken or cut short here; a comma or } is wanted"),
        ('{"format" "case-sums"}', "1:11: the JSON is broken here; a colon is wanted"),
        ("{format: 1}", "1:2: the JSON is broken or cut short here"),
        ("{5: 1}", "1:2: a key in double quotes is wanted here"),
        ('{"format": "recipes"}', '1:12: is no export of a case store: its format is not "case-sums"'),
        ('{"number": 1}', '1:1: is no export of a case store: its format is not "case-sums"'),
        (
            '{"format": "case-sums", "version": 3, "rules": {"a": [1]}}',
            "1:36: has version 3 of the format, this program reads up to 2; update the program",
        ),
        (
            TEXT.replace('"number"', '"numbre"'),
            '5:1: key "numbre" does not belong here (did you mean "number"?)',
        ),
        (TEXT.replace('"number": 3', '"number": 3,\n"number": 3'), '6:1: key "number" stands twice'),
        (TEXT + "x", "19:1: something more stands behind the export"),
        (
            TEXT.replace('"weak"', '"meek"'),
            "17:11: the digest does not fit the file, which was damaged or changed on its way",
        ),
        (TEXT.replace("[\n", '[{"a": 1},\n', 1), f"7:12: row 1 of causes: {NO_LIST}"),
        (TEXT.replace("[\n", "[[[1]],\n", 1), f"7:12: row 1 of causes: {NO_LIST}"),
        (TEXT.replace("[\n", "[" * 100_000, 1), f"7:12: row 1 of causes: {NO_LIST}"),
        (TEXT.replace('"causes": [', '"causes": {'), '7:11: "causes" is no list of rows'),
    ],
)
def test_what_has_not_the_form_of_an_export_is_told_at_its_place(text: str, told: str) -> None:
    assert said(text) == [f"sums.json:{told}"]


def test_a_file_cut_short_anywhere_is_refused_in_one_line() -> None:
    for end in range(1, len(TEXT.rstrip())):
        flaws = said(TEXT[:end])
        assert len(flaws) == 1, TEXT[:end]
        assert "cut short" in flaws[0] or "is wanted" in flaws[0], flaws


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"origin": "00C0FFEE00C0FFEE"}, '"origin" is 16 hexadecimal digits'),
        ({"origin": 7}, '"origin" is 16 hexadecimal digits'),
        ({"number": 0}, '"number" is a number from 1 to 2147483647'),
        ({"number": 2**31}, '"number" is a number from 1 to 2147483647'),
        ({"number": True}, '"number" is a number from 1 to 2147483647'),
        ({"number": 3.0}, '"number" is a number from 1 to 2147483647'),
        ({"number": float("nan")}, '"number" is a number from 1 to 2147483647'),
        ({"version": 0}, '"version" is a number from 1 to 2'),
        ({"at_least": 2}, '"at_least" is 0, or a number from 3'),
        ({"at_least": None}, '"at_least" is 0, or a number from 3'),
    ],
)
def test_a_head_that_does_not_fit_is_told(change: dict[str, Any], told: str) -> None:
    (flaw,) = said(json.dumps(content(**change)))
    assert flaw.endswith(f": {told}")


@pytest.mark.parametrize(
    ("table", "row", "told"),
    [
        ("causes", ["Hob", "x", 2026, "cured", 1], f'symptom "Hob" {NO_ID}'),
        ("causes", ["nul", "x", 2026, "cured", 1], f'symptom "nul" {RESERVED}'),
        ("causes", ["h" * 61, "x", 2026, "cured", 1], f'symptom "{"h" * 59}…" {LONG}'),
        ("causes", ["\x1b2J", "x", 2026, "cured", 1], f'symptom "\ufffd2J" {NO_ID}'),
        ("causes", [5, "x", 2026, "cured", 1], "symptom is no text"),
        ("causes", ["hob", "x+", 2026, "cured", 1], f'cause "" {NO_ID}'),
        ("causes", ["hob", "x+x", 2026, "cured", 1], "cause names one cause twice"),
        ("causes", ["hob", MANY, 2026, "cured", 1], "cause joins 21 causes; 20 is the most"),
        ("causes", ["hob", None, 2026, "cured", 1], "cause is no text"),
        ("causes", ["hob", "not-listed+x", 2026, "cured", 1], f'cause "not-listed" {RESERVED}'),
        ("causes", ["hob", "x", 2028, "cured", 1], "year is no number from 1900 to 2027"),
        ("causes", ["hob", "x", "2026", "cured", 1], "year is no number from 1900 to 2027"),
        ("causes", ["hob", "x", 2026, "lost", 1], f"ending is none of {', '.join(STATES)}"),
        ("causes", ["hob", "x", 2026, "cured", 0], f"total is no number from 1 to {MOST}"),
        ("causes", ["hob", "x", 2026, "cured", -1], f"total is no number from 1 to {MOST}"),
        ("causes", ["hob", "x", 2026, "cured", True], f"total is no number from 1 to {MOST}"),
        ("causes", ["hob", "x", 2026, "cured", 1.5], f"total is no number from 1 to {MOST}"),
        ("causes", ["hob", "x", 2026, "cured", MOST + 1], f"total is no number from 1 to {MOST}"),
        ("causes", ["hob", "x", 2026, "cured", 10**25], f"total is no number from 1 to {MOST}"),
        ("causes", ["hob", "x", 2026, "cured"], NO_LIST),
        ("causes", ["hob", "x", 2025, "cured", 2], "it counts what a row before it counts"),
        ("answers", ["hob", "x", "flame", "not-sure", 2025, "cured", 1], f'answer "not-sure" {RESERVED}'),
        ("answers", ["hob", "x", "flame", "none", 2025, "cured", 1], "more answers than the cause has cases"),
        ("answers", ["hob", "y", "flame", "none", 2025, "cured", 1], "more answers than the cause has cases"),
        ("unconfirmed", ["hob", 2026, "open", 1], "ending is none of cured, referred, stopped"),
    ],
)
def test_a_row_that_does_not_fit_is_told_with_its_number(table: str, row: list[Any], told: str) -> None:
    text = json.dumps(content(**{table: [*getattr(WHOLE, table), row]}))
    number, column = len(getattr(WHOLE, table)) + 1, text.rindex(json.dumps(row)) + 1
    assert said(text) == [f"sums.json:1:{column}: row {number} of {table}: {told}"]


def test_all_flaws_are_told_at_once_each_with_its_line() -> None:
    text = TEXT.replace('"x",2025', '"X",2025').replace('"stopped",4', '"stopped",-4')
    told = [flaw.split(": ")[0] for flaw in said(text)]
    assert told == ["sums.json:8:1", "sums.json:15:1"]


def test_after_a_number_of_flaws_no_more_is_looked_for() -> None:
    rows = [["Hob", "x", 2026, "cured", 1]] * 10_000
    assert len(said(json.dumps(content(causes=rows)))) == MOST_FLAWS


@pytest.mark.parametrize(
    "bytes_",
    [b"\xff\xfe{\x00", b'{"format": "\xc3"}', TEXT.encode("utf-16")],
    ids=["marks", "half", "utf-16"],
)
def test_bytes_that_are_no_text_are_told(bytes_: bytes) -> None:
    assert said(bytes_) == ["sums.json:1:1: is no text in UTF-8"]


def test_a_file_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    for path, reason in ((tmp_path / "none.json", "No such file or directory"), (tmp_path, "Is a directory")):
        with pytest.raises(FlawedKnowledge) as refused:
            load_export(path, YEAR)
        assert str(refused.value) == f"{path}:1:1: cannot be read: {reason}"


def test_a_file_beyond_all_measure_is_not_even_looked_at(tmp_path: Path) -> None:
    path = tmp_path / "sums.json"
    with path.open("wb") as file:
        file.truncate(100 * LARGEST)
    with pytest.raises(FlawedKnowledge) as refused:
        load_export(path, YEAR)
    assert str(refused.value) == f"{path}:1:1: is larger than 32 MiB"


HOSTILE = {
    "one endless list": '{"format": "case-sums", "causes": [[' + "0," * 500_000,
    "lists in a row": '{"format": "case-sums", "causes": [' + "[]," * 100_000 + "[]]}",
    "an endless number": '{"format": "case-sums", "number": ' + "9" * 1_000_000 + "}",
    "an endless text": '{"format": "' + "a" * 1_000_000 + '"}',
    "escapes": '{"format": "' + "\\u0061" * 200_000 + '"}',
    "objects": '{"causes": ' + '{"a":' * 100_000,
    "spaces": "{" + " " * 1_000_000,
    "backslashes": '{"' + "\\" * 1_000_000,
    "quotes": '{"causes": [["' + '\\"' * 500_000,
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_sent_to_do_harm_is_refused_at_once(name: str) -> None:
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.process_time()
    assert said(HOSTILE[name])
    assert time.process_time() - start < 3
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 300 * 1024  # kB


@given(
    st.integers(0, len(TEXT) - 1),
    st.characters(codec="utf-8"),
    st.sampled_from(["change", "insert", "delete"]),
)
def test_one_letter_changed_anywhere_changes_nothing_or_is_refused(at: int, letter: str, how: str) -> None:
    changed = TEXT[:at] + ("" if how == "delete" else letter) + TEXT[at + (how != "insert") :]
    if not said(changed):
        assert read_export(changed.encode(), "f", YEAR) == WHOLE  # a space, or the very same letter


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=9),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=9), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=40)
@given(
    st.sampled_from(list(json.loads(TEXT))),
    anything | st.lists(st.lists(anything, min_size=4, max_size=7), max_size=3),
)
def test_whatever_stands_under_a_key_is_taken_or_told(key: str, value: Any) -> None:
    try:
        changed = content(**{key: value})
    except ValueError:
        return
    flaws = said(json.dumps(changed))
    assert all(flaw.startswith("sums.json:1:") and flaw.isprintable() for flaw in flaws)


def test_every_id_of_the_shipped_trees_may_stand_in_an_export() -> None:
    library = Library()
    for id in library.ids()[:: max(1, len(library.ids()) // 8)]:
        tree = library.tree(id)
        causes = tuple(sorted((id, "+".join(causes), 2026, "cured", 1) for causes in tree.cut_sets))
        answers = tuple(
            sorted(
                (id, causes[0][1], check.id, check.answer_ids()[0], 2026, "cured", 1)
                for check in tree.checks.values()
            )
        )
        export = Export("00c0ffee00c0ffee", 1, causes, answers)
        assert read_export(export.text().encode(), "f", 2026) == export
        for check in tree.checks.values():
            for answer in check.answer_ids():
                one = Export(
                    "00c0ffee00c0ffee", 1, causes, ((id, causes[0][1], check.id, answer, 2026, "cured", 1),)
                )
                assert said(one.text()) == []


def test_a_large_export_is_read_in_seconds() -> None:
    causes = tuple((f"s{n:03d}", "x", 2026, "cured", 9) for n in range(1000))
    answers = tuple((row[0], "x", f"c{n}", "yes", 2026, "cured", 9) for row in causes for n in range(10))
    export = Export("00c0ffee00c0ffee", 1, causes, answers)
    start = time.process_time()
    assert len(read_export(export.text().encode(), "f", 2026).answers) == 10_000
    assert time.process_time() - start < 5
