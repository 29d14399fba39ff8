"""Where a round stands in one person's sitting, and what is shown there.

Where it stands is a function of the lines in the book, also of those that others add meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from diagnose.cases.rounds_records import RoundLine
from diagnose.knowledge.common import Common
from diagnose.rounds.again import to_look_at_again, too_long_ago, why_again
from diagnose.rounds.book import Book
from diagnose.rounds.jobs import START
from diagnose.rounds.ordering import planned
from diagnose.rounds.past import RoundPast, held_back, past_of
from diagnose.rounds.presence import kept_all_the_same, tasks_there, to_ask
from diagnose.rounds.stopping import ask_cleared, danger_referrals, stopped, uncleared
from diagnose.rounds.views import AllSeen, FactAsked, TaskShown, View
from diagnose.terms import Caution, Finding
from diagnose.terms.rounds import Round, Task, TaskMark
from diagnose.walking.calling import EVERYWHERE
from diagnose.walking.danger_words import ANY_DANGER, Heard
from diagnose.walking.views import Choice


@dataclass(frozen=True, slots=True)
class Vehicle:
    """What is known of the vehicle before the round begins."""

    facts: tuple[Finding, ...] = ()
    where: Mapping[str, str] = field(default_factory=dict)
    """Part -> where it is."""
    overdue: Mapping[str, str] = field(default_factory=dict)
    """Date of the card that is due -> a sentence about it."""
    holding: frozenset[str] = frozenset()
    """Dates that are on the card and hold."""
    stopped_by: str | None = None
    """The referral that stopped this vehicle last, where nobody has cleared it."""


class Sitting:
    """One person's sitting at a round; what an answer does is said in `going.py`."""

    def __init__(
        self,
        round: Round,
        common: Common,
        book: Book,
        clock: Callable[[], datetime],
        vehicle: Vehicle = Vehicle(),
        *,
        who: str = "",
        only: frozenset[str] | None = None,
        state_of: Callable[[int], str] = lambda _: "",
        numbers: tuple[str, ...] = EVERYWHERE,
    ) -> None:
        """`only` are the tasks of a short round; `state_of` tells how a case stands; `numbers` are called."""
        self.round, self.common, self.book, self.clock = round, common, book, clock
        self.vehicle, self.who, self.only, self.state_of = vehicle, who, only, state_of
        self.numbers = numbers
        self.reasons: Mapping[str, Sequence[str]] = {}
        """Task -> what the fleet's own cases, and the trees, say for it, in sentences."""
        self._since = max((line.number for line in book.lines()), default=0)
        """What was noted before this sitting; what was put off then is offered again."""
        self._asked_cleared = self._since
        """The last line that was there when it was asked whether the vehicle was cleared."""
        self._cautioned: set[str] = set()
        self._order: tuple[str, ...] = ()
        self._shown: TaskShown | None = None
        self._back_to = ""
        """The task that was gone back to: it is shown first, wherever the order has it."""

    @property
    def past(self) -> RoundPast:
        """What the lines come to."""
        return past_of(self.round, self.book.lines(), self.vehicle.facts, self.vehicle.overdue)

    def there(self, past: RoundPast | None = None) -> dict[str, Task]:
        """The tasks that are there for this vehicle."""
        return tasks_there(self.round, (past or self.past).facts)

    def open_tasks(self, past: RoundPast | None = None) -> dict[str, Task]:
        """The tasks that are still to be shown: not marked yet, put off earlier, or put right since."""
        past = past or self.past
        there = self.there(past)
        again = self.again(past)
        marks = {id: mark for id, mark in past.marks.items() if id not in again}
        held = held_back(self.round, there, marks)
        return {
            id: task
            for id, task in there.items()
            if id not in held
            and (self.only is None or id in self.only)
            and (id not in past.marks or id in again or self._put_off_earlier(past, id))
        }

    def held(self, past: RoundPast | None = None) -> dict[str, tuple[str, ...]]:
        """Tasks that are not to be done now, and for whose sake; those that have an end already left out."""
        past = past or self.past
        again = self.again(past)
        marks = {id: mark for id, mark in past.marks.items() if id not in again}
        held = held_back(self.round, self.there(past), marks)
        return {id: why for id, why in held.items() if id not in marks or marks[id].end == "not-done"}

    def again(self, past: RoundPast | None = None) -> frozenset[str]:
        """Tasks that are looked at once more: they were wrong, or it was too long ago."""
        marks, vehicle = (past or self.past).marks, self.vehicle
        found = to_look_at_again(self.round.tasks, marks, self.state_of, vehicle.overdue, vehicle.holding)
        today = self.clock().astimezone().date()
        return found | {id for id, mark in marks.items() if too_long_ago(mark, self.round.id, today)}

    def stopped_by(self, past: RoundPast | None = None) -> str | None:
        """The referral of the danger that stops this round, told on it or before it; None once cleared."""
        past = past or self.past
        return past.stopped_by or (None if self._cleared(past) else self.vehicle.stopped_by)

    def view(self) -> View:
        """What is to be shown now."""
        past = self.past
        referral = self.stopped_by(past)
        if referral is not None:
            if self._told_danger_now(past):
                told = "Danger was told on this round, here or by whoever goes through it with you."
                return stopped(self.common, ANY_DANGER, self.danger_referrals(), self.numbers, told)
            if self._said_no(past):
                return uncleared(self.common, referral, self.numbers)
            self._asked_cleared = max((line.number for line in past.lines), default=0)
            return ask_cleared(self.common, referral)
        while True:
            next_task = self._next(past)
            if next_task is None:
                return AllSeen(
                    number=self._behind(past), of=len(self._of(past)), can_go_back=self._can_go_back(past)
                )
            fact = to_ask(next_task, past.facts, self.common.facts)
            return self._ask_fact(past, fact, next_task) if fact else self._show(past, next_task)

    def left(self, past: RoundPast | None = None) -> dict[str, Task]:
        """The tasks that are still to be looked at, in the order of the round.

        Those as well that are wrong only for a date: once the card has a new one they are looked at again.
        """
        past = past or self.past
        again = self.again(past)
        return {
            id: task
            for id, task in self.there(past).items()
            if id in again or (mark := past.marks.get(id)) is None or mark.end == "not-done" or mark.of_date
        }

    def waiting_walks(self, past: RoundPast | None = None) -> tuple[int, ...]:
        """Cases that something wrong has opened and that were not walked to an end."""
        marks = (past or self.past).marks.values()
        cases = (mark.case for mark in marks if mark.end == "wrong" and mark.case is not None)
        return tuple(case for case in cases if self.state_of(case) in ("open", "left-off"))

    def overdue(self, task: Task) -> tuple[str, ...]:
        """What the card's dates say is due about a task."""
        return tuple(self.vehicle.overdue[date] for date in task.dates if date in self.vehicle.overdue)

    def marks(self) -> Mapping[str, TaskMark]:
        """Task -> its latest mark."""
        return self.past.marks

    def danger_referrals(self, task: str = "", heard: Heard = ANY_DANGER) -> tuple[str, ...]:
        """Whom a danger leads to: what was told of, and what the task itself can do; never nobody."""
        hazards = self.round.tasks[task].hazards if task in self.round.tasks else frozenset()
        return danger_referrals(self.common, heard, hazards)

    def cautions_of(self, task: Task) -> tuple[Caution, ...]:
        """Every caution that belongs to a task."""
        ids = dict.fromkeys(self.common.hazards[id].caution for id in self.common.carried(task.hazards))
        return tuple(self.common.cautions[id] for id in ids if id is not None)

    def _put_off_earlier(self, past: RoundPast, id: str) -> bool:
        return past.marks[id].end == "not-done" and past.seen[id] <= self._since

    def _next(self, past: RoundPast) -> Task | None:
        """The next open task; the order is reckoned anew when somebody leaves it."""
        there = self.open_tasks(past)
        if not there:
            return None
        if self._back_to in there:
            return there[self._back_to]
        left = tuple(id for id in self._order if id in there)
        if set(left) != set(there) or left != self._order[len(self._order) - len(left) :]:
            here = self._here(past) or START
            behind = frozenset(self.round.tasks) - there.keys()
            left = planned(
                self.round.tasks, self.round.after, self.common.places, behind, here, self._running(past)
            ).order
        self._order = left
        return there[left[0]]

    def _here(self, past: RoundPast) -> str:
        """The place of the task that was marked last in this sitting; nothing before the first."""
        last = next(reversed(past.marks), None)
        return self.round.tasks[last].at if last is not None and past.seen[last] > self._since else ""

    def _running(self, past: RoundPast) -> dict[str, float]:
        """Task -> minutes that its wait has still to run."""
        now, found = self.clock(), {}
        for id, mark in past.marks.items():
            still = self.round.tasks[id].wait - (now - mark.time).total_seconds() / 60
            if mark.end in ("fine", "wrong") and still > 0:
                found[id] = still
        return found

    def _behind(self, past: RoundPast) -> int:
        open_tasks = self.open_tasks(past)
        return sum(id in past.marks and id not in open_tasks for id in self._of(past))

    def _of(self, past: RoundPast) -> list[str]:
        """The tasks that are counted: those of a short round, without what is held back."""
        held = self.held(past)
        there = (id for id in self.there(past) if self.only is None or id in self.only or id in past.marks)
        return [id for id in there if id not in held or id in past.marks]

    def _show(self, past: RoundPast, task: Task) -> TaskShown:
        """Its cautions are those of no task that was answered in this sitting."""
        if self._shown is not None and self._shown.task.id == task.id:
            return self._shown
        cautions = self.cautions_of(task)
        running = self._running(past)
        still = max((running.get(id, 0.0) for id in self.round.after.get(task.id, ())), default=0.0)
        open_questions = kept_all_the_same(task, past.facts, self.common.facts)
        mark = past.marks.get(task.id)
        kept = tuple(f"It is kept, since this is not known of the vehicle: {ask}" for ask in open_questions)
        self._shown = TaskShown(
            number=self._behind(past) + 1,
            of=len(self._of(past)),
            notices=(*kept, *why_again(mark, self.state_of)),
            shipped=self.round.shipped,
            can_go_back=self._can_go_back(past),
            task=task,
            place=self.common.places[task.at].says,
            there=self._here(past) == task.at,
            whereabouts=self.vehicle.where.get(task.part or "", ""),
            cautions=tuple(each for each in cautions if each.id not in self._cautioned),
            read_before=tuple(each for each in cautions if each.id in self._cautioned),
            wants=tuple(self.round.wants[want] for want in task.wants if want in self.round.wants),
            still=still,
            overdue=self.overdue(task),
            reasons=tuple(self.reasons.get(task.id, ())),
            before=mark.end if mark is not None else None,
            by_owner=task.by == "owner",
        )
        return self._shown

    def _ask_fact(self, past: RoundPast, fact: str, task: Task) -> FactAsked:
        check = self.common.facts[fact]
        return FactAsked(
            number=self._behind(past),
            of=len(self._of(past)),
            can_go_back=self._can_go_back(past),
            fact=fact,
            ask=check.ask,
            how=check.how,
            choices=tuple(Choice(answer.id, answer.says) for answer in check.answers),
            what=task.what,
        )

    def _cleared(self, past: RoundPast) -> bool:
        """Whether in this sitting somebody said that the vehicle was cleared."""
        lately = (line for line in past.lines if line.number > self._since)
        return any(line.noted == "cleared" and line.answer == "yes" for line in lately)

    def _said_no(self, past: RoundPast) -> bool:
        """Whether in this sitting it was answered that nobody has cleared it."""
        lately = [line for line in past.lines if line.number > self._since and line.noted == "cleared"]
        return bool(lately) and lately[-1].answer != "yes"

    def _told_danger_now(self, past: RoundPast) -> bool:
        """Whether danger was told in this sitting, here or by somebody else on the same round."""
        return any(line.noted == "danger" and line.number > self._since for line in past.lines)

    def _latest_own(self, past: RoundPast) -> RoundLine | None:
        for line in reversed(past.lines):
            if line.number <= self._since or line.noted in ("danger", "cleared"):
                return None
            if line.noted in ("mark", "fact") and line.who == self.who:
                return line
        return None

    def _can_go_back(self, past: RoundPast) -> bool:
        return self._latest_own(past) is not None
