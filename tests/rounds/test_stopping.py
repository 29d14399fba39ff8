"""Danger stops a round for everybody, until somebody qualified has cleared the vehicle."""

from __future__ import annotations

from diagnose.rounds.book import LooseBook
from diagnose.rounds.sitting import Vehicle
from diagnose.rounds.views import ClearedAsked, RoundStopped, TaskShown
from tests.rounds.gone_through import KNOWN, going


def test_danger_stops_it_at_every_task_for_everybody_until_somebody_qualified_has_cleared_it() -> None:
    for task in ("w1-mice", "w14-gas", "w11-hook-up"):
        book = LooseBook()
        ann, bob = going(book), going(book)
        stop = ann.danger(task)
        assert {"gas-escape", "co-suspected", "mains-danger"} <= {each.id for each in stop.referrals}
        assert "112" in stop.first
        assert isinstance(ann.view(), RoundStopped)
        assert isinstance(bob.view(), RoundStopped)
        ann.leave_off()
        assert book.stage == "open"
        later = going(book)
        assert isinstance(later.view(), ClearedAsked)
        assert isinstance(later.cleared("no"), RoundStopped)
        assert isinstance(going(book).view(), ClearedAsked)
        assert isinstance(going(book).cleared("yes"), TaskShown)


def test_a_vehicle_that_a_walk_has_stopped_is_asked_about_first() -> None:
    round = going(vehicle=Vehicle(KNOWN, stopped_by="gas-escape"))
    view = round.view()
    assert isinstance(view, ClearedAsked)
    assert view.referral.id == "gas-escape"
    assert isinstance(round.cleared("yes"), TaskShown)


def test_an_earlier_stop_of_the_vehicle_stands_until_it_is_cleared_here() -> None:
    round = going(vehicle=Vehicle(KNOWN, stopped_by="gas-escape"))
    assert round.stopped_by() == "gas-escape"
    round.cleared("no")
    assert round.stopped_by() == "gas-escape"
    other = going(vehicle=Vehicle(KNOWN, stopped_by="gas-escape"))
    other.cleared("yes")
    assert other.stopped_by() is None
