"""The page of all shipped trees, made once for all tests of a process; a phone that has a page open."""

from __future__ import annotations

import pytest

from tests.drawing.offline.phone import page_of
from tests.drawing.offline.round_phone import page_with_rounds
from tests.drawing.offline.thumb import Thumb
from tests.trees.shipped import EVERY_TREE, LIBRARY


@pytest.fixture(scope="session")
def whole_page(tmp_path_factory):
    """The file of the page of all shipped trees and rounds, for the United Kingdom."""
    file = tmp_path_factory.mktemp("page") / "page.html"
    file.write_text(page_of(EVERY_TREE, country="uk", rounds=LIBRARY.rounds()), encoding="utf-8")
    return file


@pytest.fixture(scope="session")
def file(tmp_path_factory):
    """The page that a phone has where a test's own file names no other: two trees and all rounds."""
    return page_with_rounds(tmp_path_factory.mktemp("rounds"))


@pytest.fixture
def phone(browser, file):
    """A phone that kept nothing, with the page just opened; of what it did nothing was an error."""
    browser.get_log("browser")
    thumb = Thumb(browser, file)
    thumb.phone()
    yield thumb.open()
    thumb.open()
    thumb.put_down()
    assert [each for each in browser.get_log("browser") if each["level"] == "SEVERE"] == []
