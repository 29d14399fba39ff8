"""The page on writing trees: its rules are tried one by one, and its tables name what the program takes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft202012Validator

from diagnose.knowledge.collection import Library
from diagnose.knowledge.loading import read_tree
from diagnose.knowledge.schema import tree_schema
from diagnose.revising.sheet_of_causes_rows import COLUMNS, TAKES
from tests.knowledge.core_schema import value_of

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGE = (DOCS / "writing-trees.md").read_text(encoding="utf-8")
SOUND = re.search(r"^```yaml\n(symptom:.*?)^```$", (DOCS / "tree-format.md").read_text("utf-8"), re.S | re.M)[
    1
]
COMMON = Library().common()
VALIDATOR = Draft202012Validator(tree_schema(COMMON))


def table(heading: str) -> list[list[str]]:
    """The cells of the first table below a heading, row by row."""
    lines = PAGE.split(f"## {heading}\n", 1)[1].split("|---", 1)[1].splitlines()[1:]
    rows = []
    for line in lines:
        if not line.startswith("|"):
            break
        rows.append([cell.strip(" ") for cell in line[1:].rstrip("|").split("|")])
    return rows


RULES = table("The rules of the format, one by one")


def written(cell: str) -> str:
    return "" if cell == "nothing" else cell.strip("`").replace("⏎", "\n")


def test_the_table_is_long_and_each_rule_stands_once():
    assert len(RULES) > 35
    assert len({row[0] for row in RULES}) == len(RULES)
    assert read_tree(SOUND, "x.yaml", COMMON, id="x")[0] is not None


@pytest.mark.parametrize(("rule", "old", "new", "message", "editor"), RULES, ids=[row[0] for row in RULES])
def test_each_example_gives_its_message(rule, old, new, message, editor):
    assert written(old) in SOUND
    text = SOUND.replace(written(old), written(new), 1)
    tree, flaws = read_tree(text, "x.yaml", COMMON, id="x", known=frozenset())
    assert tree is None
    assert "<br>".join(flaw.message for flaw in flaws) == message
    try:
        marked = not VALIDATOR.is_valid(value_of(text))
    except yaml.YAMLError:
        marked = True
    assert editor == ("yes" if marked else "no")


def test_the_rows_and_columns_of_a_sheet_are_all_told_of():
    told = {
        row[0]: tuple(filter(None, row[2].split(", ")))
        for row in table("1. Causes and checks in a spreadsheet")
    }
    assert told == dict(TAKES)
    assert set(COLUMNS) == {"row"}.union(*TAKES.values())
