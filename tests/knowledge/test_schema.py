"""The schema for editors and the loader say the same, as far as a schema can.

The schema is judged by an independent validator (jsonschema), and files are read for it as an editor reads
them (`core_schema`). Broken trees are all those of the tables of this folder.
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from diagnose.knowledge.checks import PROBABILITY_WORDS
from diagnose.knowledge.collection import Library, shipped_folder
from diagnose.knowledge.fields import TABLES
from diagnose.knowledge.ids import RESERVED, why_no_id
from diagnose.knowledge.loading import read_tree
from diagnose.knowledge.schema import tree_schema
from tests.knowledge.core_schema import value_of

HERE = Path(__file__).parent
SCHEMA = tree_schema(Library().common())
VALIDATOR = Draft202012Validator(SCHEMA)
ROWS = [
    (f"{path.stem.removeprefix('test_')}: {row[0]}", row[1], row[2])
    for path in sorted(HERE.glob("test_*.py"))
    if path.name != Path(__file__).name and "\nROWS = [" in path.read_text(encoding="utf-8")
    for row in import_module(f"tests.knowledge.{path.stem}").ROWS
]

ELSEWHERE = "what the id names stands in another place of the file, or does not"
SUMS = "numbers of several places are held against each other"
WORDING = "words that a hazard refuses are looked for in a text, in all their spellings"
TOGETHER = "the hazard comes from another place: an event that expect or a reference names, or a cut set"
FORM = "a value of YAML 1.2 that JSON has no more once it is read, or a key that stands twice"
NOT_IN_A_SCHEMA = {
    ELSEWHERE: {
        "answers_and_bands: check at unknown",
        "answers_and_bands: check refer unknown",
        "answers_and_bands: stop_on unknown",
        "ask_first: fact",
        "ask_first: further before",
        "ask_first: no stop",
        "ask_first: technician's",
        "ask_first: unknown check",
        "common_ids: cautions",
        "common_ids: redefine otherwise",
        "common_ids: refer_to",
        "expectations: expect answer",
        "expectations: expect unknown",
        "hazard_rules: no hazard",
        "ids_and_gates: a longer cycle",
        "ids_and_gates: cause is a fixed check",
        "ids_and_gates: check is a cause",
        "ids_and_gates: cycle",
        "ids_and_gates: defined twice",
        "ids_and_gates: lacks in_100",
        "ids_and_gates: lacks in_100 under all_of",
        "ids_and_gates: never defined",
        "old_ids: was itself",
        "old_ids: was live",
        "old_ids: was names a cause",
        "old_ids: was of a check",
        "old_ids: was twice",
        "old_ids: was under a remedy twice",
        "remedies: at unknown",
        "remedies: see itself",
    },
    SUMS: {
        "answers_and_bands: bands twice over",
        "answers_and_bands: empty band",
        "answers_and_bands: gap",
        "answers_and_bands: gap at the end",
        "answers_and_bands: gap at the start",
        "answers_and_bands: middle without from",
        "answers_and_bands: outside",
        "answers_and_bands: outside below",
        "answers_and_bands: overlap",
        "expectations: expect complete",
        "expectations: expect complete short",
        "expectations: expect over one",
        "numbers: range backwards",
    },
    WORDING: {
        "hazard_rules: a look has its own hazard",
        "hazard_rules: a look that opens",
        "hazard_rules: refused look-alike letters",
        "hazard_rules: refused two words",
        "hazard_rules: refused with a slash",
        "hazard_rules: refused with an accent",
        "hazard_rules: refused word full width",
        "hazard_rules: refused word in ask",
        "hazard_rules: refused word in do",
        "hazard_rules: refused word in how",
    },
    TOGETHER: {
        "hazard_rules: a referral in a cut set",
        "hazard_rules: a remedy's hazard in a cut set",
        "hazard_rules: hazard from another place",
        "hazard_rules: through a cut set",
        "hazard_rules: tools of a check",
        "hazard_rules: tools of a technician's check",
    },
    FORM: {
        "ids_and_gates: twice in one gate",
        "numbers: in_100 octal",
        "numbers: in_100 plus",
    },
}


def sound_text() -> str:
    return (HERE / "trees" / "heater-cold.yaml").read_text(encoding="utf-8")


def accepted(text: str) -> bool:
    """Whether an editor with the schema finds nothing; a text that it cannot read at all it refuses."""
    import yaml

    try:
        value = value_of(text)
    except yaml.YAMLError:
        return False
    return VALIDATOR.is_valid(value)


def test_the_schema_is_valid_against_the_meta_schema_of_its_dialect():
    assert SCHEMA["$schema"] == Draft202012Validator.META_SCHEMA["$id"]
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("path", sorted(shipped_folder().glob("*.yaml")), ids=lambda path: path.stem)
def test_every_shipped_tree_is_valid(path):
    errors = list(VALIDATOR.iter_errors(value_of(path.read_text(encoding="utf-8"))))
    assert [(list(error.path), error.message) for error in errors] == []


@pytest.fixture(scope="module")
def judged(common) -> dict[str, tuple[bool, bool]]:
    """What the loader and the schema say of each tree of the tables."""
    texts = {name: sound_text().replace(old, new, 1) for name, old, new in ROWS}
    assert len(texts) == len(ROWS)
    return {
        name: (read_tree(text, "x.yaml", common, id="x")[0] is not None, accepted(text))
        for name, text in texts.items()
    }


@pytest.mark.long
def test_every_other_sound_tree_of_the_tests_is_valid(judged):
    for path in sorted((HERE / "trees").glob("*.yaml")):
        assert accepted(path.read_text(encoding="utf-8")), path
    sound = [name for name, (loads, _) in judged.items() if loads]
    assert len(sound) > 20
    assert [name for name in sound if not judged[name][1]] == []


@pytest.mark.long
def test_every_broken_tree_is_refused_but_those_that_are_named_with_their_reason(judged):
    broken = [name for name, (loads, _) in judged.items() if not loads]
    assert len(broken) > 200
    assert {name for name in broken if judged[name][1]} == set().union(*NOT_IN_A_SCHEMA.values())


def test_every_key_of_every_table_is_described():
    parts = {
        "tree": SCHEMA,
        **{name: SCHEMA["$defs"][name.replace(" ", "-")] for name in TABLES if name != "tree"},
    }
    for name, lines in TABLES.items():
        part = parts[name]
        assert set(part["properties"]) == {line.key for line in lines}
        assert part["additionalProperties"] is False
        assert set(part.get("required", ())) == {line.key for line in lines if line.required}
        assert all(len(value["description"]) > 5 for value in part["properties"].values()), name
        assert part["description"]


def test_limits_and_words_are_those_of_the_table():
    numbers = (-1, 0, 0.02, 0.5, 0.9, 0.95, 1, 1.5, 2, 3, 4, 50, 51, 100, 101)
    for name, lines in TABLES.items():
        part = SCHEMA if name == "tree" else SCHEMA["$defs"][name.replace(" ", "-")]
        for line in lines:
            judge = Draft202012Validator(part["properties"][line.key])
            if line.kind == "number":
                assert [judge.is_valid(each) for each in numbers] == [
                    not line.limits.broken_by(each) for each in numbers
                ], line.key
                assert not judge.is_valid("1")
            if line.kind == "word":
                assert all(map(judge.is_valid, line.words))
                assert not judge.is_valid("nobody")


@given(
    st.text("abz09-", max_size=8)
    | st.text(max_size=8).filter(
        lambda word: "\n" not in word
    )  # Python's $ stands before a last line end too
    | st.sampled_from(sorted(RESERVED))
    | st.integers(58, 63).map(lambda many: "a" * many)
)
def test_ids_are_those_of_the_loader(word):
    judge = Draft202012Validator(SCHEMA["$defs"]["id"])
    assert judge.is_valid(word) == (why_no_id(word) == "")


def test_probability_words_are_offered():
    weight = SCHEMA["$defs"]["weights"]["additionalProperties"]
    judge = Draft202012Validator(weight)
    assert all(judge.is_valid(word) for word in (*PROBABILITY_WORDS, 0, 1, 0.5))
    assert not any(judge.is_valid(word) for word in ("maybe", -0.1, 1.1, True, None))


DEEP = """\
symptom: x
system: body
refer_to: workshop
cured_when: {ask: x}
ask_first: [%s]
faults: {any_of: {a: {says: x, any_of: {b: {says: x, hazard: %s, any_of: {c: {says: x, in_100: 90,
  remedy: %s}}}}}}}
checks: {}
"""


@pytest.mark.parametrize(
    ("asked", "hazard", "remedy", "well"),
    [
        ("smell-of-gas, co-alarm", "gas", "{refer: gas-engineer}", True),
        ("co-alarm, smell-of-gas", "gas", "{refer: gas-engineer}", False),
        ("smell-of-gas", "gas", "{refer: gas-engineer}", False),
        ("mains-harmed", "gas", "{refer: gas-engineer}", False),
        ("mains-harmed", "mains", "{refer: electrician}", True),
        ("", "[hot, mains]", "{refer: electrician}", False),
        ("", "hot", "{do: x, by: owner, hands: tools, minutes: 1}", True),
        ("", "[hot, fuel]", "{do: x, by: technician, hands: tools, minutes: 1}", False),
        ("", "road", "{do: x, by: technician, hands: tools, minutes: 1}", True),
        ("", "road", "{do: x, by: owner, hands: tools, minutes: 1}", False),
        ("", "hot", "{do: x, by: owner, hands: tools, minutes: 1, hazard: fuel}", False),
        ("", "none", "{refer: workshop, hazard: high-current}", False),
        ("battery-harmed", "none", "{refer: workshop, hazard: high-current}", True),
    ],
)
def test_what_a_hazard_asks_for_is_known_at_any_depth(common, asked, hazard, remedy, well):
    text = DEEP % (asked, hazard, remedy)
    assert accepted(text) is well
    assert (read_tree(text, "x.yaml", common, id="x")[0] is not None) is well
