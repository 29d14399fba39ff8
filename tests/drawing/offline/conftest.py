"""The page of all shipped trees, made once for all tests of a process."""

from __future__ import annotations

import pytest

from tests.drawing.offline.phone import page_of
from tests.trees.shipped import EVERY_TREE, LIBRARY


@pytest.fixture(scope="session")
def whole_page(tmp_path_factory):
    """The file of the page of all shipped trees and rounds, for the United Kingdom."""
    file = tmp_path_factory.mktemp("page") / "page.html"
    file.write_text(page_of(EVERY_TREE, country="uk", rounds=LIBRARY.rounds()), encoding="utf-8")
    return file
