"""Safe reading of YAML: what is refused, with its place, by both parsers alike."""

from __future__ import annotations

import pytest
import yaml

from diagnose.knowledge import plain_yaml
from diagnose.knowledge.nodes import ListNode, MapNode, Scalar
from diagnose.terms import FlawedKnowledge

SOUND = [
    "? a\n: b\n? c\n",
    "yes: 1\nno: 2\non: 3\noff: 4\n",
    'a: "\\n"\n',
    "%YAML 1.2\n---\na: 1\n",
    "a: " + "[" * 39 + "]" * 39,
    "a: " + "x" * 600,
    "a: |\n  one\n  two\nb: >-\n  x\n\n  y\n",
    "a: 'it''s'\n",
    "{a: Is it?, b: 1}\n",
    "{a: b?c}\n",
    "a: [x, y?]\n",
    "a: {b: http://x}\n",
    "a: #x\n",
    "a: >9\n",
    "? a\n? b\n",
]

REFUSED = [
    (
        "a: &x 1\nb: *x\n",
        [
            "1:4: an anchor (&x) stands here; anchors are not used",
            "2:4: an alias (*x) stands here; write the value out",
        ],
    ),
    (
        "a: &x [*x]\n",
        [
            "1:4: an anchor (&x) stands here; anchors are not used",
            "1:8: an alias (*x) stands here; write the value out",
        ],
    ),
    ("a: !!str x\n", ["1:4: a tag (tag:yaml.org,2002:str) stands here; tags are not used"]),
    ("a: !x [1]\n", ["1:4: a tag (!x) stands here; tags are not used"]),
    ("a: ! 1\n", ["1:4: a tag (!) stands here; tags are not used"]),
    ("a: 1\n---\nb: 1\n", ["2:1: a second document begins here; a file holds one"]),
    ("a: 1\n...\n---\nb: 1", ["3:1: a second document begins here; a file holds one"]),
    ("a: 1\nb: 2\n'a': 3\n", ['3:1: key "a" stands twice (first on line 1)']),
    ("<<: {a: 1}\n<<: 2\n", ['2:1: key "<<" stands twice (first on line 1)']),
    ("? [a, b]\n: c\nd: 1\n", ["1:3: a list or mapping cannot be a key"]),
    ("{a: 1, a: 2, b: }\n", ['1:8: key "a" stands twice (first on line 1)']),
    ("a: b: c\n", ["1:5: a colon with a space after it stands inside a text; quote the text"]),
    ("a: 'x\nb: 1\n", ["1:4: a quote is opened here and never closed"]),
    ('a: "x\n', ["1:4: a quote is opened here and never closed"]),
    ("a: [1, 2\nb: 3\n", ["1:4: a list opened here is not closed, or lacks a comma"]),
    ("a: {b: 1\nc: 2\n", ["1:4: a mapping opened here is not closed, or lacks a comma"]),
    ("a:\n  b: 1\n c: 2\n", ["3:2: this line does not fit the indentation of the lines above it"]),
    ("a: @x\n", ["1:4: a text cannot begin with @; quote it"]),
    ("a: `x`\n", ["1:4: a text cannot begin with `; quote it"]),
    ("a: %x\n", ["1:4: a text cannot begin with %; quote it"]),
    ('a: "\\q"\n', ["1:6: a backslash stands before a character that it cannot escape"]),
    ('a: "\\x1b[31m"\n', ["1:4: the control character U+001B stands in this text; take it out"]),
    (
        'a: "\\u202e"\n',
        ["1:4: the invisible or direction-changing character U+202E stands in this text; take it out"],
    ),
    ('a: "\\0"\n', ["1:4: the control character U+0000 stands in this text; take it out"]),
    ('a: "\\t"\n', ["1:4: a tab stands in this text; write spaces"]),
    ('a: "\\r"\n', ["1:4: the control character U+000D stands in this text; take it out"]),
    ('a: "\\N\\L"\n', ["1:4: the control character U+0085 stands in this text; take it out"]),
    ('a: "\\UFFFFFFFF"\n', ["1:7: this escape stands for no character; take it out"]),
    ('"\\e": 1\n', ["1:1: the control character U+001B stands in this text; take it out"]),
    ("a: x\x1by\n", ["1:5: the control character U+001B stands here; take it out"]),
    (
        "a: x\u202ey\u200b\n",
        [
            "1:5: the invisible or direction-changing character U+202E stands here; take it out",
            "1:7: the invisible or direction-changing character U+200B stands here; take it out",
        ],
    ),
    ("a:\tb\n", ["1:3: a tab stands here; write spaces"]),
    ("\ta: b\n", ["1:1: a tab stands here; write spaces"]),
    ("a: b\t# x\n", ["1:5: a tab stands here; write spaces"]),
    ("a: x\ufeffy\n", ["1:5: the invisible or direction-changing character U+FEFF stands here; take it out"]),
    ("\ufeffa: 1\r\nb: [\r\n", ["3:1: the file ends inside brackets that are not closed"]),
    ("a: 1\rb: 2\n", ["1:5: the control character U+000D stands here; take it out"]),
    ("a: x\u2028y\n", ["1:5: the invisible or direction-changing character U+2028 stands here; take it out"]),
    ("a: x\x85y\n", ["1:5: the control character U+0085 stands here; take it out"]),
    ("", ["1:1: the file holds nothing"]),
    ("# only\n", ["1:1: the file holds nothing"]),
    ("---\n", ["1:1: the file holds nothing"]),
    ("---\n...\n", ["1:1: the file holds nothing"]),
    ("- a\n- b\n", ["1:1: the file does not hold a mapping (key: value)"]),
    ("text\n", ["1:1: the file does not hold a mapping (key: value)"]),
    ("a\nb: 1\n", ["2:2: a colon with a space after it stands inside a text; quote the text"]),
    ("%YAML 2.0\n---\na: 1\n", ["1:1: only YAML 1.2 is read"]),
    ("%TAG ! tag:x,2000:\n---\na: 1\n", ["1:1: a tag directive (%TAG) stands here; tags are not used"]),
    ("a: " + "[" * 40 + "]" * 40, ["1:43: nesting goes deeper than 40 here"]),
    ("[" * 5000, ["1:41: nesting goes deeper than 40 here"]),
    ("{a: " * 60, ["1:161: nesting goes deeper than 40 here"]),
    ("a: " + "x" * 601, ["1:4: this text has 601 characters; 600 is the most"]),
    ("x" * 601 + ": 1", ["1:1: this text has 601 characters; 600 is the most"]),
    ("a: - b\n", ["1:4: a list entry (- ) cannot stand here"]),
    ("- a\nb: 1\n", ["2:1: this line does not fit the indentation of the lines above it"]),
    ("a: b\n- c\n", ["2:1: this line does not fit the indentation of the lines above it"]),
    ("a: *\n", ["1:5: a text that begins with & or * has to be quoted"]),
    ("a: &\n", ["1:5: a text that begins with & or * has to be quoted"]),
    ("key\n", ["1:1: the file does not hold a mapping (key: value)"]),
    ("a:b\n", ["1:1: the file does not hold a mapping (key: value)"]),
    ("a: ]\n", ["1:4: a value is missing here, or a bracket or comma is too many"]),
    ("a: }\n", ["1:4: a value is missing here, or a bracket or comma is too many"]),
    ("a: ,\n", ["1:4: a value is missing here, or a bracket or comma is too many"]),
    ("a: |x\n", ["1:5: after | or > nothing but a figure, + or - may stand"]),
    (
        "\x00",
        [
            "1:1: the control character U+0000 stands here; take it out",
            "1:1: the file does not hold a mapping (key: value)",
        ],
    ),
    ("a: \ud800\n", ["1:4: the invisible or direction-changing character U+D800 stands here; take it out"]),
    ("a: |\n\tx\n", ["2:1: a tab stands here; write spaces"]),
    ("a: [a, [b, c: d}, e]\n", ["1:8: a list opened here is not closed, or lacks a comma"]),
    (": x\n", ["1:1: this line does not fit the indentation of the lines above it"]),
    (
        "a: !<tag:yaml.org,2002:python/object/apply:os.system> [x]\n",
        ["1:4: a tag (tag:yaml.org,2002:python/object/apply:os.system) stands here; tags are not used"],
    ),
    (
        "a: !!python/name:os.system x\n",
        ["1:4: a tag (tag:yaml.org,2002:python/name:os.system) stands here; tags are not used"],
    ),
    ("a: '''\n", ["1:4: a quote is opened here and never closed"]),
    ("---\na: 1\n--- \n", ["3:1: a second document begins here; a file holds one"]),
    ("a: 1\n... x\n", ["2:5: a text stands behind the end of the document"]),
    ('a: "x\n---\ny"\n', ["1:4: a quote is opened here and never closed"]),
    (
        "a: &x\n  &y b: 1\n",
        [
            "1:4: an anchor (&x) stands here; anchors are not used",
            "2:3: an anchor (&y) stands here; anchors are not used",
        ],
    ),
    (
        "a: *x\nb: 1\na: 2\n",
        [
            "1:4: an alias (*x) stands here; write the value out",
            '3:1: key "a" stands twice (first on line 1)',
        ],
    ),
    ("b: 1\r\na: 2\r\nb: 3\r\n", ['3:1: key "b" stands twice (first on line 1)']),
    (
        '# \xe9\na: [\xe9, \xe9, "\\x07"]\n',
        ["2:11: the control character U+0007 stands in this text; take it out"],
    ),
    ("a: \u2066x\n", ["1:4: the invisible or direction-changing character U+2066 stands here; take it out"]),
    ("a: \x7f\n", ["1:4: the control character U+007F stands here; take it out"]),
    (
        '"a\\u200b": 1\n',
        ["1:1: the invisible or direction-changing character U+200B stands in this text; take it out"],
    ),
    ("a: |\n  x\x07\n", ["2:4: the control character U+0007 stands here; take it out"]),
]


@pytest.fixture(params=["in C", "in Python"])
def parser(request, monkeypatch):
    """Each of the two parsers in turn."""
    if request.param == "in Python":
        monkeypatch.setattr(plain_yaml, "_FAST", plain_yaml._PLAIN)
    elif not hasattr(yaml, "CBaseLoader"):
        pytest.skip("PyYAML was built without its parser in C")
    return request.param


def said(text: str | bytes) -> list[str]:
    """What is wrong with a text, without the file's name."""
    return [str(flaw).removeprefix("x:") for flaw in plain_yaml.compose(text, "x")[1]]


@pytest.mark.parametrize("text", SOUND, ids=[text[:30] for text in SOUND])
def test_a_sound_text_is_read(parser, text):
    assert said(text) == []
    assert isinstance(plain_yaml.read_mapping(text, "x"), MapNode)


@pytest.mark.parametrize(("text", "flaws"), REFUSED, ids=[ascii(text[:30]) for text, _ in REFUSED])
def test_a_broken_or_harmful_text_is_refused_with_its_places(parser, text, flaws):
    assert said(text) == flaws
    with pytest.raises(FlawedKnowledge) as refused:
        plain_yaml.read_mapping(text, "x")
    assert [str(flaw).removeprefix("x:") for flaw in refused.value.flaws] == flaws


@pytest.mark.parametrize(
    ("data", "flaws"),
    [
        (b"a: \xff\n", ["1:4: the file is not UTF-8 here; save it as UTF-8"]),
        (b"\xef\xbb\xbfb: 1\r\na: \xe9\n", ["2:4: the file is not UTF-8 here; save it as UTF-8"]),
        ("a: é\n".encode("utf-16"), ["1:1: the file is not UTF-8 here; save it as UTF-8"]),
        (b"a: \xed\xa0\x80\n", ["1:4: the file is not UTF-8 here; save it as UTF-8"]),
        (b"a: 1\n" + b"#" * (1024 * 1024 - 5), []),
        (b"a: 1\n" + b"#" * (1024 * 1024 - 4), ["1:1: the file is larger than 1 MiB"]),
        (b"a: " + b"x" * (2 * 1024 * 1024), ["1:1: the file is larger than 1 MiB"]),
    ],
    ids=["byte", "line", "utf-16", "half a pair", "just 1 MiB", "over 1 MiB", "2 MiB"],
)
def test_bytes_are_utf8_and_not_too_many(parser, data, flaws):
    assert said(data) == flaws


def test_a_text_is_measured_in_bytes_too(parser):
    assert said("a: 1\n#" + "é" * (512 * 1024)) == ["1:1: the file is larger than 1 MiB"]


def test_a_leading_mark_is_left_out_and_moves_no_column(parser):
    for text in ("\ufeffa: 1\n", "\ufeffa: 1\n".encode()):
        (key, value) = plain_yaml.read_mapping(text, "x").pairs[0]
        assert (key.value, key.line, key.column, value.column) == ("a", 1, 1, 4)


def test_columns_count_characters_and_lines_end_in_any_way(parser):
    root = plain_yaml.read_mapping("é: 1\r\n😀😀: [ü, x]\r\n", "x")
    (_, _), (key, value) = root.pairs
    assert isinstance(value, ListNode)
    assert (key.line, key.column) == (2, 1)
    assert [(item.line, item.column) for item in value.items] == [(2, 6), (2, 9)]


def test_an_alias_bomb_is_refused_before_it_bursts(parser):
    lines = ["a0: &a0 [x]"] + [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 40)]
    flaws = said("\n".join(lines))
    assert flaws[0] == "1:5: an anchor (&a0) stands here; anchors are not used"
    assert len(flaws) == 40 + 9 * 39


@pytest.mark.parametrize(
    "word",
    [
        "yes",
        "no",
        "on",
        "off",
        "Yes",
        "NO",
        "y",
        "n",
        "012",
        "0x1F",
        "0o7",
        "1_0",
        "12:30",
        ".inf",
        "-.INF",
        ".nan",
        "nan",
        "2016-01-02",
        "+1",
        "1.",
        ".5",
        "1e",
        "--1",
        "=",
        "<<",
    ],
)
def test_what_is_no_number_of_json_is_a_text(parser, word):
    (_, value) = plain_yaml.read_mapping(f"a: {word}\n", "x").pairs[0]
    assert isinstance(value, Scalar)
    assert (value.text, value.number, value.truth, value.null) == (word, None, None, False)


@pytest.mark.parametrize(
    ("word", "number"), [("0", 0), ("-0", 0), ("12", 12), ("-1.50", -1.5), ("1e3", 1000), ("2E-1", 0.2)]
)
def test_a_number_of_json_is_a_number(parser, word, number):
    (_, value) = plain_yaml.read_mapping(f"a: {word}\n", "x").pairs[0]
    assert isinstance(value, Scalar)
    assert (value.text, value.number) == (None, number)


@pytest.mark.parametrize("quoted", ["'12'", '"12"', "'true'", '"null"', "'~'", "''"])
def test_what_is_quoted_is_a_text(parser, quoted):
    (_, value) = plain_yaml.read_mapping(f"a: {quoted}\n", "x").pairs[0]
    assert isinstance(value, Scalar)
    assert (value.text, value.number, value.truth, value.null) == (quoted[1:-1], None, None, False)


def test_true_false_and_null_are_those_of_the_core_schema(parser):
    root = plain_yaml.read_mapping(
        "a: [true, True, TRUE, false, False, FALSE, null, Null, NULL, ~, tRue]\nb:\n", "x"
    )
    (_, listed), (_, empty) = root.pairs
    assert isinstance(listed, ListNode)
    words = [item for item in listed.items if isinstance(item, Scalar)]
    assert [item.truth for item in words] == [True] * 3 + [False] * 3 + [None] * 5
    assert [item.null for item in words] == [False] * 6 + [True] * 4 + [False]
    assert words[-1].text == "tRue"
    assert isinstance(empty, Scalar)
    assert empty.null


def test_a_number_too_large_for_a_float_is_none(parser):
    (_, value) = plain_yaml.read_mapping("a: 1e999\n", "x").pairs[0]
    assert isinstance(value, Scalar)
    assert (value.number, value.text) == (None, None)


def test_a_flaw_never_hands_on_the_character_that_it_tells_of(parser):
    for text in ('"\\e[31m": 1\n"\\e[31m": 2\n', "\x1b: 1\n\x1b: 2\n"):
        assert not any("\x1b" in flaw for flaw in said(text))


def test_a_file_that_is_not_there_or_no_file_is_told(tmp_path):
    with pytest.raises(FlawedKnowledge, match=r"no\.yaml:1:1: there is no such file"):
        plain_yaml.read_bytes(tmp_path / "no.yaml")
    with pytest.raises(FlawedKnowledge, match=r":1:1: is not a file"):
        plain_yaml.read_bytes(tmp_path)
    with pytest.raises(FlawedKnowledge, match=r":1:1: there is no such file"):
        plain_yaml.read_bytes(tmp_path / "a\0b.yaml")
