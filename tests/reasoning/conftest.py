"""Under mutation testing the quickest tests come first: one of them notices most changes."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Sorts by how long each took without any change, as mutmut has written it down."""
    measured = Path("mutmut-stats.json")
    if os.environ.get("MUTANT_UNDER_TEST") and measured.exists():
        took = json.loads(measured.read_text())["duration_by_test"]
        items.sort(key=lambda item: took.get(item.nodeid, 0.0))
