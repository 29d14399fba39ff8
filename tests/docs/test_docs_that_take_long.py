"""Every command of the documents that take long, run as a reader would; see `test_docs.py`."""

from __future__ import annotations

import pytest

from tests.docs.test_docs import CHECKOUT, ELSEWHERE, place, prints_what_it_shows

__all__ = ["place"]


@pytest.mark.long
@pytest.mark.parametrize("path", ELSEWHERE, ids=lambda path: str(path.relative_to(CHECKOUT)))
def test_each_command_prints_what_the_document_shows(path, place, need):
    prints_what_it_shows(path, place, need)
