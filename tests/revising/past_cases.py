"""Past cases for trees to be replayed and fitted on: many by chance, single ones by hand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np

from diagnose.cases.records import CaseRecord, Entry
from diagnose.reasoning.model import build_model
from tests.reviewing.made_up_past import MadeUp, Walker, made_up
from tests.reviewing.test_foresight import straight

NOW = datetime(2026, 11, 1, tzinfo=UTC)


def past_of(tree, number, seed=1):
    model = build_model(tree)
    rng = np.random.default_rng(seed)
    return list(made_up([Walker(model, rng, route=straight(model))], rng, number))


def told(number, of, lines, state="cured", role="owner", **more):
    """A case by hand: (kind, subject, answer) a line."""
    opened = datetime(2026, 1, number, tzinfo=UTC)
    journal = tuple(Entry(opened, *line, number=at) for at, line in enumerate(lines, start=1))
    record = CaseRecord(
        number, "made-up", "", role, state, opened, opened, confirmed=True, cause=of, entries=journal, **more
    )
    return MadeUp(record, opened + timedelta(hours=1))
