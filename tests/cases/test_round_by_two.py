"""Two people at two programs go through one round on one store: no mark is ever lost, and no stop."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import partial

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from diagnose.cases.rounds_store import begin_round, round_kept, set_stage
from diagnose.cases.store import CaseStore, open_store
from diagnose.rounds.book import StoreBook
from diagnose.rounds.going import Going, NothingToTakeBack
from diagnose.rounds.sitting import Vehicle
from diagnose.rounds.views import ClearedAsked, RoundStopped
from diagnose.terms import Finding
from diagnose.terms.rounds import TASK_ENDS
from tests.cases.conftest import NOON
from tests.trees.shipped import COMMON, LIBRARY

ROUND = LIBRARY.round("journey")
KNOWN = tuple(Finding(fact, answer) for fact, answer in (("build", "campervan"), ("over-3500", "under")))
WHO = st.sampled_from(["A.", "B."])


class Clock:
    """A clock that goes on by a minute at each look."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self):
        self.now += timedelta(minutes=1)
        return self.now


class ByTwo(RuleBasedStateMachine):
    """What each does, against the plainest account of it: all that was ever said, in order."""

    def __init__(self, stores: dict[str, CaseStore]) -> None:
        super().__init__()
        self.stores, self.clock, self.said = stores, Clock(), []
        self.number = begin_round(stores["A."], "journey", ROUND.digest, "", "", NOON).number
        self.at: dict[str, Going] = {}
        self.asked: dict[str, int] = {}
        for who in stores:
            self.sit_down(who)

    def sit_down(self, who: str) -> None:
        book = StoreBook(self.stores[who], self.number, self.clock)
        if round_kept(self.stores[who], self.number).stage != "stopped":
            set_stage(self.stores[who], self.number, "open", self.clock())
        self.at[who] = Going(ROUND, COMMON, book, self.clock, Vehicle(KNOWN), who=who)
        self.look(who)

    @rule(who=WHO)
    def look(self, who: str) -> None:
        if isinstance(self.at[who].view(), ClearedAsked):
            self.asked[who] = len(self.said)

    @rule(who=WHO, task=st.sampled_from(list(ROUND.tasks)), end=st.sampled_from(TASK_ENDS))
    def mark(self, who: str, task: str, end) -> None:
        self.said.append(("mark", task, end, who))
        self.at[who].mark(task, end)
        self.look(who)

    @rule(who=WHO)
    def take_back(self, who: str) -> None:
        before = len(round_kept(self.stores[who], self.number).lines)
        try:
            self.at[who].back()
        except NothingToTakeBack:
            return
        line = round_kept(self.stores[who], self.number).lines[before]
        taken = self.said[int(line.subject) - 1]
        assert taken[0] == "mark"
        assert taken[3] == who
        self.said.append(("back", line.subject, None, who))
        self.look(who)

    @rule(who=WHO)
    def tell_of_danger(self, who: str) -> None:
        self.at[who].danger()
        self.said.append(("danger", "", "gas-escape", who))

    @rule(who=WHO, answer=st.sampled_from(["yes", "no"]))
    def say_whether_it_was_cleared(self, who: str, answer: str) -> None:
        """Only who was asked can say so, and of no danger that was told since."""
        if who not in self.asked:
            return
        since = self.said[self.asked.pop(who) :]
        self.at[who].cleared(answer)
        if all(noted != "danger" for noted, *_ in since):
            self.said.append(("cleared", "", answer, who))
        self.look(who)

    @rule(who=WHO)
    def leave_and_come_back(self, who: str) -> None:
        self.asked.pop(who, None)
        self.at[who].leave_off()
        self.sit_down(who)

    @invariant()
    def nothing_is_lost(self) -> None:
        for store in self.stores.values():
            lines = round_kept(store, self.number).lines
            assert [(line.noted, line.subject, line.answer, line.who) for line in lines] == self.said

    @invariant()
    def a_stop_holds_for_both_until_it_is_cleared(self) -> None:
        stopped = False
        for noted, _, answer, _ in self.said:
            stopped = noted == "danger" or (stopped and not (noted == "cleared" and answer == "yes"))
        assert (round_kept(self.stores["B."], self.number).stage == "stopped") is stopped
        for going in self.at.values():
            assert (going.stopped_by() is not None) is stopped
        new = Going(
            ROUND, COMMON, StoreBook(self.stores["A."], self.number, self.clock), self.clock, Vehicle(KNOWN)
        )
        assert isinstance(new.view(), ClearedAsked | RoundStopped) is stopped


@pytest.mark.long
@pytest.mark.parametrize("kind", ["sqlite", "postgresql"])
def test_no_mark_and_no_stop_is_lost_between_two(kind: str, request: pytest.FixtureRequest) -> None:
    url = request.getfixturevalue(f"{kind}_url")
    few = settings(
        max_examples=5,
        stateful_step_count=16,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    with open_store(url) as one, open_store(url) as other:
        machine: Callable[[], RuleBasedStateMachine] = partial(ByTwo, {"A.": one, "B.": other})
        run_state_machine_as_test(machine, settings=few)  # type: ignore[no-untyped-call]


def test_a_clearance_is_of_no_danger_that_was_told_after_it_was_asked_for(sqlite_url: str) -> None:
    with open_store(sqlite_url) as one, open_store(sqlite_url) as other:
        machine = ByTwo({"A.": one, "B.": other})
        machine.tell_of_danger("B.")
        machine.leave_and_come_back("A.")
        machine.tell_of_danger("B.")
        machine.say_whether_it_was_cleared("A.", "yes")
        assert [noted for noted, *_ in machine.said] == ["danger", "danger"]
        machine.nothing_is_lost()
        machine.a_stop_holds_for_both_until_it_is_cleared()
