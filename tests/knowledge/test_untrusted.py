"""Whatever stands in a file, reading it ends, and in a tree or in flaws with a place."""

from __future__ import annotations

import re
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.knowledge.faults import MOST_EVENTS
from diagnose.knowledge.fields import COMMON_TABLES, TABLES
from diagnose.knowledge.loading import load_tree, read_tree
from diagnose.terms import FlawedKnowledge

KEYS = sorted({line.key for table in (*TABLES.values(), *COMMON_TABLES.values()) for line in table})
WORDS = [
    *(
        "gas",
        "none",
        "owner",
        "tools",
        "smell-of-gas",
        "otherwise",
        "probable",
        "a",
        "a-b",
        "stored",
        "{}",
        "~",
    ),
    *("x y", "yes", "'", '"', "1", "0.5", "-3", "1e999", "[0, 16]", "\u202e", "\\x1b", "workshop", "loosen"),
]


def judged(text, common):
    """Read a text as a tree; either a tree or at least one flaw comes out, each with a place in the file."""
    tree, flaws = read_tree(text, "x.yaml", common, id="x")
    assert (tree is None) == bool(flaws)
    lines = text.count("\n") + text.count("\r") + 1 if isinstance(text, str) else 10**9
    for flaw in flaws:
        assert flaw.file == "x.yaml"
        assert 1 <= flaw.line <= lines + 1
        assert flaw.column >= 1
        assert re.fullmatch(r"x\.yaml:\d+:\d+: [^\x00-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]+", str(flaw))
    assert list(flaws) == sorted(set(flaws))
    return flaws


@given(st.binary(max_size=400))
def test_any_bytes(common, data):
    judged(data, common)


@given(st.text(max_size=400))
def test_any_text(common, text):
    judged(text, common)


@given(st.text(alphabet=list(" \n:-[]{}#&*!|>'\"%@`?,abc10\\\t"), max_size=300))
def test_any_marks_of_yaml(common, text):
    judged(text, common)


VALUES = st.recursive(
    st.sampled_from([*WORDS, *KEYS]),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4).map(lambda items: f"[{', '.join(items)}]"),
        st.dictionaries(st.sampled_from([*KEYS, *WORDS[:9]]), inner, max_size=6).map(
            lambda pairs: "{" + ", ".join(f"{key}: {value}" for key, value in pairs.items()) + "}"
        ),
    ),
    max_leaves=25,
)


@given(st.dictionaries(st.sampled_from([line.key for line in TABLES["tree"]]), VALUES, max_size=12))
@settings(max_examples=150)
def test_any_mapping_of_known_keys(common, pairs):
    judged("".join(f"{key}: {value}\n" for key, value in pairs.items()), common)


@given(st.data())
@settings(max_examples=150)
def test_a_sound_tree_with_one_word_changed(common, tree_text, data):
    parts = re.split(r"([\w.-]+)", tree_text("heater-cold"))
    place = data.draw(st.integers(0, len(parts) // 2 - 1)) * 2 + 1
    parts[place] = data.draw(st.sampled_from([*WORDS, *KEYS, *parts[1::2]]))
    judged("".join(parts), common)


@given(st.data())
def test_a_sound_tree_with_a_piece_cut_out(common, tree_text, data):
    text = tree_text("heater-cold")
    start = data.draw(st.integers(0, len(text)))
    judged(text[:start] + text[start + data.draw(st.integers(0, 400)) :], common)


HEAD = """symptom: Odd
system: water
refer_to: workshop
cured_when: {ask: Is it well}
checks: {}
"""


def cause(id):
    return f"{id}: {{says: S, hazard: none, in_100: 1, remedy: {{refer: workshop}}}}"


def test_a_chain_of_references_as_long_as_is_allowed_is_read(common):
    events = [f"e{n}: {{says: S, any_of: {{e{n + 1}: {{}}}}}}" for n in range(900)]
    text = HEAD + "faults:\n any_of:\n" + "".join(f"  {line}\n" for line in [*events, cause("e900")])
    tree, flaws = read_tree(text, "x.yaml", common, id="x")
    assert flaws == ()
    assert tree is not None
    assert tree.cut_sets == (("e900",),)
    assert len(tree.events["e900"].above) == 900


def test_more_events_than_anybody_could_look_after_are_refused(common):
    lines = "".join(f"  {cause(f'c{n}')}\n" for n in range(MOST_EVENTS))
    tree, flaws = read_tree(HEAD + "faults:\n any_of:\n" + lines, "x.yaml", common, id="x")
    assert tree is None
    assert [str(flaw) for flaw in flaws] == [
        "x.yaml:6:1: faults hold 1000 events and causes and name them 1000 times; 1000 and 5000 are the most"
    ]


def test_a_thousand_flaws_are_told_and_no_more(common):
    lines = "".join(f"  K{n}: {{}}\n" for n in range(3000))
    tree, flaws = read_tree(HEAD + "faults:\n any_of:\n" + lines, "x.yaml", common, id="x")
    assert (tree, len(flaws)) == (None, 1000)
    tree, flaws = read_tree("a: 1\n" * 3000, "x.yaml", common, id="x")
    assert (tree, len(flaws)) == (None, 1000)


def test_the_gate_that_has_too_many_cut_sets_is_named(common):
    groups = "".join(
        f"    o{n}: {{says: S, any_of: {{{', '.join(cause(f'c{n}-{m}') for m in range(10))}}}}}\n"
        for n in range(4)
    )
    text = HEAD + "faults:\n any_of:\n  burst:\n   says: S\n   all_of:\n" + groups
    tree, flaws = read_tree(text, "x.yaml", common, id="x")
    assert tree is None
    assert [str(flaw) for flaw in flaws] == [
        'x.yaml:8:3: "burst" has more minimal cut sets than can be handled (5000 at most)'
    ]


@pytest.mark.parametrize(
    "text",
    [
        "[" * 500_000,
        "{a: " * 200_000,
        "a: {" + "b, " * 300_000,
        "- " * 400_000,
        "? " * 400_000,
        "a: '" + "x" * 1_000_000,
        "".join(f"k{n}: 1\n" for n in range(20_000)),
        "a: 1\n" * 150_000,
        "#" * 1_000_000,
        "a: \x1b" * 150_000,
        HEAD + "faults:\n any_of:\n" + "".join(f"  K{n}: {{sais: S}}\n" for n in range(6_000)),
        HEAD + "faults: {any_of: {" + ", ".join(f"e{n}: {{}}" for n in range(20_000)) + "}}",
    ],
    ids=["lists", "mappings", "entries", "dashes", "keys", "quote", "strangers", "twins", "remark", "escapes",
         "wrong causes", "references"],
)  # fmt: skip
def test_a_file_made_to_be_slow_is_done_within_seconds(common, text):
    began = time.process_time()
    assert judged(text, common)
    assert time.process_time() - began < 20


def test_a_tree_file_that_is_too_large_is_not_read_whole(common, tmp_path):
    path = tmp_path / "large.yaml"
    with path.open("wb") as stream:
        stream.truncate(2**33)  # a sparse file of 8 GiB
    with pytest.raises(FlawedKnowledge, match="the file is larger than 1 MiB"):
        load_tree(path, common)
