"""docs/trees.md: the tables are those of the trees as they are, and every rule is used where it says."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.trees.shipped import EVERY_TREE
from tests.trees.tree_pages import DOCUMENT, RULE, page, row

ROOT = Path(__file__).resolve().parents[2]
TEXT = DOCUMENT.read_text(encoding="utf-8")


@pytest.mark.parametrize("id", EVERY_TREE)
def test_the_page_of_a_tree_is_what_the_tree_says(id):
    assert page(id) in TEXT


@pytest.mark.long
@pytest.mark.parametrize("id", EVERY_TREE)
def test_the_figures_of_a_tree_are_what_is_measured_now(id):
    assert row(id) in TEXT.splitlines()


def rules():
    return [(found["rule"], found["used"]) for found in RULE.finditer(TEXT)]


def test_rules_of_the_world_are_named():
    table = TEXT.split("## Which rule of the world")[1].split("\n## ")[0]
    rows = [line for line in table.splitlines() if line.startswith("| ")][1:]
    assert len(rules()) == len(rows) >= 6


@pytest.mark.parametrize(("rule", "used"), rules())
def test_a_rule_is_used_where_it_says(rule, used):
    """Each place is a file, then words that stand in it."""
    for place in used.split("; "):
        file, words = place.split("`: ")
        text = (ROOT / file.strip("` ")).read_text(encoding="utf-8")
        assert words.lower() in " ".join(text.split()).lower(), (rule, place)
