"""What is not done while something before it is wrong or not done, and what waits for nothing."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.rounds.book import LooseBook
from diagnose.rounds.sitting import Vehicle
from diagnose.terms import Finding
from diagnose.terms.rounds import TASK_ENDS
from tests.rounds.gone_through import KNOWN, going, walked_to_the_end


@settings(max_examples=10, deadline=None)
@given(st.data())
def test_whatever_is_answered_each_task_has_an_end_or_a_reason(data: st.DataObject) -> None:
    round = going(name=data.draw(st.sampled_from(["journey", "hand-over"])))
    shown = walked_to_the_end(round, lambda _: data.draw(st.sampled_from(TASK_ENDS)))
    held = round.held()
    assert set(shown) | held.keys() == set(round.there())
    for why in held.values():
        assert all(round.marks()[each].end in ("wrong", "not-done") for each in why)


def test_a_gas_task_that_is_wrong_keeps_the_hob_from_being_lit_and_mice_keep_nobody_from_the_belts() -> None:
    round = going()
    shown = walked_to_the_end(round, lambda id: "wrong" if id in ("w14-gas", "w1-mice") else "fine")
    assert {"w6-belts", "p19-alarms", "w2-battery"} <= set(shown)
    assert not {"w15-hob", "w16-fridge", "w17-heat", "w11-hook-up", "w8-fluids"} & set(shown)
    assert "w1-mice" in round.held()["w15-hob"]
    other = going()
    shown = walked_to_the_end(other, lambda id: "wrong" if id == "w14-gas" else "fine")
    assert other.held()["w15-hob"] == ("w14-gas",)
    assert "w12-fill" in shown
    third = going()
    shown = walked_to_the_end(third, lambda id: "wrong" if id == "w2-battery" else "fine")
    # The pump would be switched on with that battery: filling waits as the panel does, for the same sake.
    assert not {"w10-panel", "w12-fill", "p5-disinfect", "w13-toilet"} & set(shown)
    assert third.held()["w12-fill"] == third.held()["w10-panel"] == ("w2-battery",)


def test_what_was_put_off_is_offered_again_at_the_next_sitting_and_holds_back_the_rest_meanwhile() -> None:
    book = LooseBook()
    shown = walked_to_the_end(going(book), lambda id: "not-done" if id == "w12-fill" else "fine")
    assert not {"p5-disinfect", "w13-toilet"} & set(shown)
    again = walked_to_the_end(going(book), lambda _: "fine")
    assert again[0] == "w12-fill"
    assert set(again) == {"w12-fill", "p5-disinfect", "w13-toilet", "w17-heat"}


def test_what_is_for_safety_waits_for_no_mere_sequence_and_the_last_page_for_nothing() -> None:
    """The order of the lay-up and of a hand-over; that safety does not wait is common practice, no source."""
    round = going(name="lay-up", vehicle=Vehicle((*KNOWN, Finding("gas-allowed", "both"))))
    shown = walked_to_the_end(round, lambda id: "not-done" if id == "p18-fuel" else "fine")
    assert {"p11-park", "p1-charge", "p7-covers", "p3-list"} <= set(shown)
    other = going(name="hand-over", vehicle=Vehicle((*KNOWN, Finding("use", "hired"))))
    shown = walked_to_the_end(other, lambda id: "not-done" if id == "p19-alarms" else "fine")
    assert other.held() == {"w15-hob": ("p19-alarms",)}
    assert shown[-1] == "h3-limits"


@pytest.mark.parametrize(("gate", "waits"), [("p8-gas-off", "p7-covers"), ("p11-park", "p1-charge")])
@pytest.mark.parametrize("end", ["wrong", "not-done"])
def test_what_is_for_safety_holds_back_what_comes_after_it(gate: str, waits: str, end: str) -> None:
    round = going(name="lay-up", vehicle=Vehicle((*KNOWN, Finding("gas-allowed", "both"))))
    shown = walked_to_the_end(round, lambda id: end if id == gate else "fine")
    assert waits not in shown
    assert gate in round.held()[waits]


def test_nothing_runs_on_a_battery_that_is_wrong() -> None:
    """The pump of the filling needs the panel, and the panel a battery that is whole."""
    round = going()
    shown = walked_to_the_end(round, lambda id: "wrong" if id == "w2-battery" else "fine")
    assert not {"w9-engine", "w10-panel", "w12-fill", "p5-disinfect", "w17-heat"} & set(shown)
    assert round.held()["w12-fill"] == ("w2-battery",)
