"""A past that is replayed on two versions of a tree."""

from __future__ import annotations

import pytest

from diagnose.cases.store import open_store
from diagnose.revising import replaying_side
from diagnose.revising.replaying import Wanted, replay
from diagnose.terms import Settings
from tests.reviewing.made_up_past import fill
from tests.reviewing.test_foresight import straight
from tests.revising.past_cases import NOW


@pytest.fixture
def without_compiling(monkeypatch):
    """Routes ask everything in the file's order."""
    monkeypatch.setattr(replaying_side, "route_for", lambda model, cache: straight(model))


@pytest.fixture
def replayed(tmp_path, without_compiling):
    """`replayed(past, old, new)` is the replay of a store of just these cases."""

    def make(past, old, new, settings=Settings(), before=lambda store: None):  # noqa: B008
        with open_store(str(tmp_path / f"{len(list(tmp_path.iterdir()))}.sqlite")) as store:
            fill(store, past)
            before(store)
            return replay(store, Wanted(old, new, settings), NOW)

    return make
