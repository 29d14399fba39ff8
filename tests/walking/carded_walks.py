"""A walk over the tree of a heater with a vehicle's card at hand."""

from __future__ import annotations

from datetime import date, timedelta

from diagnose.terms import Finding
from diagnose.walking.carded import findings_ahead, fitted
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.scene import Setting
from diagnose.walking.walk import Walk
from tests.walking.small_trees import HandClock, Order, heater

TODAY, DAY = date(2026, 3, 1), timedelta(days=1)
GAS = Finding("heater-fuel", "gas")


def begun(tree=None, card=None, **setting):
    tree = fitted(tree or heater(), card)
    journal = MemoryJournal()
    ahead = findings_ahead(tree, card, TODAY)
    walk = Walk.begin(tree, Order(tree), journal, HandClock(), setting=Setting(**setting), facts=ahead)
    return walk, journal
