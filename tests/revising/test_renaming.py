"""A renamed id stands everywhere in its new form, its past goes with it, and nothing else changes."""

from __future__ import annotations

import difflib
import random
import re
from datetime import UTC, datetime

import pytest

from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library, shipped_folder
from diagnose.knowledge.loading import read_tree
from diagnose.revising.renaming import CannotRename, renamed

COMMON = Library().common()
SHIPPED = sorted(shipped_folder().glob("*.yaml"))
SOME_OFTEN = [
    file if number % 5 == 0 else pytest.param(file, marks=pytest.mark.long)
    for number, file in enumerate(SHIPPED)
]
NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)

PUMP = """\
symptom: No water comes   # at any tap
system: water
refer_to: workshop
ask_first: [seen]
cured_when: {ask: Does water come?}
faults:
  hazard: none
  any_of:
    dry:
      says: There is no water
      was: [empty, 'hollow']   # long ago
      in_100: 40
      remedy: {do: Fill the tank, by: owner, hands: controls, minutes: 5}
    both:
      says: Two things at once
      in_100: 20
      all_of:
        damp:
          says: It is damp
          remedy: {refer: workshop}
        cold: {says: It is cold, was: chill, remedy: {refer: workshop}}
    other:
      says: The other way
      any_of: {worn: {says: It is worn, in_100: 35, remedy: {refer: workshop}}}
    more:
      says: One more
      any_of:
        worn: {}
checks:
  seen:
    ask: Is it dry?
    hands: look
    by: owner
    minutes: 1
    answers: {dry: It is dry, wet: It is wet}
    stop_on: wet
    refer: workshop
    expect: {dry: {dry: probable}, otherwise: {dry: 0.9}}
  heard:
    ask: Is it heard?
    hands: look
    by: owner
    minutes: 1
    answers: {dry: It is dry, worn: It is worn}
    expect:
      worn: {worn: probable}   # as ever
      both: {dry: probable}
"""


def tree_of(text, id="pump"):
    tree, flaws = read_tree(text, f"{id}.yaml", COMMON, id=id)
    assert tree is not None, flaws
    return tree


def rename(text, old, new):
    return renamed(text, tree_of(text), old, new, COMMON)


def differing(before, after):
    lines = difflib.ndiff(before.splitlines(), after.splitlines())
    return [line for line in lines if line[:1] in "+-"]


def test_a_cause_is_renamed_where_it_is_defined_named_and_expected_and_answers_of_that_name_stay():
    assert differing(PUMP, rename(PUMP, "worn", "worn-out")) == [
        "-       any_of: {worn: {says: It is worn, in_100: 35, remedy: {refer: workshop}}}",
        "+       any_of: {worn-out: {says: It is worn, in_100: 35, remedy: {refer: workshop}, was: worn}}",
        "-         worn: {}",
        "+         worn-out: {}",
        "-       worn: {worn: probable}   # as ever",
        "+       worn-out: {worn: probable}   # as ever",
    ]


def test_older_names_are_kept_and_joined():
    after = rename(PUMP, "dry", "tank-empty")
    assert "      was: [empty, 'hollow', dry]   # long ago" in after.splitlines()
    assert "expect: {tank-empty: {dry: probable}, otherwise: {dry: 0.9}}" in after
    assert tree_of(after).events["tank-empty"].was == ("empty", "hollow", "dry")
    assert tree_of(rename(PUMP, "cold", "frosty")).events["frosty"].was == ("chill", "cold")


def test_a_way_there_and_back_leaves_no_name_twice():
    back = rename(rename(PUMP, "cold", "frosty"), "frosty", "cold")
    assert tree_of(back).events["cold"].was == ("chill", "frosty")
    assert tree_of(rename(PUMP, "dry", "hollow")).events["hollow"].was == ("empty", "dry")


def test_a_check_is_renamed_in_the_order_of_danger_questions_too():
    after = tree_of(rename(PUMP, "seen", "looked-at"))
    assert after.ask_first == ("looked-at",)
    assert after.checks["looked-at"].was == ("seen",)


def test_an_event_is_renamed_and_what_it_holds_stays():
    after = tree_of(rename(PUMP, "both", "together"))
    assert after.events["damp"].chain == ("together",)
    assert "together" in after.checks["heard"].expect


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("dry", "damp", '"damp" is a cause of pump already; take another id'),
        ("dry", "both", '"both" is an event of pump already; take another id'),
        ("dry", "seen", '"seen" is a check of pump already; take another id'),
        ("dry", "chill", '"chill" is what "cold" was called before; its past cases would go over; take another id'),  # noqa: E501
        ("dry", "dry", '"dry" is its name already'),
        ("dry", "Dry", '"Dry" is no id; write lower case letters and figures, joined by single hyphens, a letter first'),  # noqa: E501
        ("dry", "not-listed", '"not-listed" is a reserved word and cannot be an id'),
        ("dry", "smell-of-gas", '"smell-of-gas" is a check or fact that all trees share; take another id'),
        ("hollow", "x", '"hollow" was renamed before; it is "dry" now'),
        ("wornn", "x", '"wornn" is no cause, check or event of pump (did you mean "worn"?)'),
        ("smell-of-gas", "x", '"smell-of-gas" is shared by all trees, and cannot be renamed in one of them'),
    ],
)  # fmt: skip
def test_a_rename_that_has_no_place_is_refused(old, new, message):
    with pytest.raises(CannotRename) as refused:
        rename(PUMP, old, new)
    assert str(refused.value) == message


@pytest.mark.parametrize("file", SOME_OFTEN, ids=[file.stem for file in SHIPPED])
def test_in_every_shipped_tree_a_renamed_id_changes_only_lines_that_name_it(file):
    text = file.read_bytes().decode()
    tree = tree_of(text, file.stem)
    own = [id for id, check in tree.checks.items() if id not in COMMON.checks and not check.fact]
    for old in random.Random(file.stem).sample([*own, *(id for id in tree.events if id)], 3):
        after = renamed(text, tree, old, "quite-another", COMMON)
        named = re.compile(rf"(?<![\w-]){old}(?![\w-])")
        for line in differing(text, after):
            assert named.search(line) or "quite-another" in line
        new = tree_of(after, file.stem)
        assert [id.replace("quite-another", old) for id in new.events] == list(tree.events)
        assert new.cut_sets == tuple(
            tuple("quite-another" if id == old else id for id in causes) for causes in tree.cut_sets
        )


def test_past_cases_count_under_the_new_names(tmp_path):
    from diagnose.reasoning.learning import tally_of
    from diagnose.reasoning.model import build_model

    old = tree_of(PUMP)
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        for cause, heard in (("damp+cold", "dry"), ("worn", "worn"), ("worn", "worn"), ("dry", "dry")):
            case = store.open_case("pump", old.digest, "owner", "", NOON)
            store.append(case, Entry(NOON, "finding", "heard", heard))
            store.end_case(case, "referred", NOON, referral="workshop")
            store.confirm(case, cause, NOON)
        tally = store.tally("pump", NOON)
    text = PUMP
    for was, now in (
        ("cold", "a-cold"),
        ("worn", "zz"),
        ("zz", "b-worn"),
        ("heard", "a-heard"),
        ("both", "pair"),
    ):
        text = rename(text, was, now)
    before, after = build_model(old, tally=tally), build_model(tree_of(text), tally=tally)
    assert after.ids == ("dry", "damp+a-cold", "b-worn", "not-listed")
    assert after.alpha.tolist() == pytest.approx(before.alpha.tolist())
    answers = tally_of(tree_of(text), tally).answers
    assert answers["b-worn", "a-heard", "worn"] == 2
    assert answers["damp+a-cold", "a-heard", "dry"] == 1
    assert (after.alpha - build_model(tree_of(text)).alpha).tolist() == pytest.approx([1, 1, 2, 0])
