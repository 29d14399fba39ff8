"""Fixtures for the tests of trees: the common files, and one sound tree to change in one spot."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.knowledge.collection import Library
from diagnose.knowledge.common import Common
from diagnose.knowledge.loading import read_tree

TREES = Path(__file__).parent / "trees"


@pytest.fixture(scope="session")
def common() -> Common:
    """The shipped common files."""
    return Library().common()


@pytest.fixture(scope="session")
def tree_text() -> Callable[[str], str]:
    """The text of a tree that stands beside the tests."""
    return lambda name: (TREES / f"{name}.yaml").read_text(encoding="utf-8")


@pytest.fixture
def changed(common: Common, tree_text: Callable[[str], str]) -> Callable[[str, str], list[str]]:
    """What is said of the sound tree with one text changed: its flaws, or its advice if it has none."""

    def said(old: str, new: str) -> list[str]:
        text = tree_text("heater-cold")
        assert old in text
        tree, flaws = read_tree(text.replace(old, new, 1), "x.yaml", common, id="x", known=("water-pump",))
        assert (tree is None) == bool(flaws)
        return [str(line).removeprefix("x.yaml:") for line in (tree.advice if tree else flaws)]

    return said
