"""One round as a state machine: what an answer does, how the round goes on and ends.

Everything that was answered stands in the lines of the book, durable before the next view is made; so a round
can be left at any time, and two people may go through it at once. Book, clock and whatever else the world
holds come in as arguments.
"""

from __future__ import annotations

from diagnose.cases.rounds_records import RoundLine
from diagnose.rounds.again import as_noted
from diagnose.rounds.sitting import Sitting
from diagnose.rounds.stopping import stopped
from diagnose.rounds.views import RoundStopped, View
from diagnose.terms import DiagnoseError
from diagnose.terms.rounds import TASK_ENDS, TaskEnd
from diagnose.walking.danger_words import ANY_DANGER, Heard


class NothingToTakeBack(DiagnoseError):
    """No answer of this sitting is there to be taken back."""


class Going(Sitting):
    """A round that is gone through."""

    def mark(self, task: str, end: TaskEnd, note: str = "", case: int | None = None) -> View:
        """A task has come to an end; the mark is durable before the next view is made."""
        if task not in self.round.tasks or end not in TASK_ENDS:
            raise ValueError(f"{task!r} does not end {end!r} here")
        end, note = as_noted(end, note, self.overdue(self.round.tasks[task]))
        self._cautioned |= {caution.id for caution in self.cautions_of(self.round.tasks[task])}
        self._note(RoundLine(self.clock(), "mark", task, end, self.who, note, case))
        return self.view()

    def answer_fact(self, fact: str, answer: str) -> View:
        """What is true of the vehicle."""
        self._note(RoundLine(self.clock(), "fact", fact, answer, self.who))
        return self.view()

    def cleared(self, answer: str) -> View:
        """Whether somebody qualified has cleared the vehicle: `yes`, or anything else for no.

        Danger that was told since this was asked is not cleared by the answer.
        """
        line = RoundLine(self.clock(), "cleared", "", "yes" if answer == "yes" else "no", self.who)
        self.book.note_unless_danger(line, self._asked_cleared)
        self._shown, self._back_to = None, ""
        return self.view()

    def danger(self, task: str = "", heard: Heard = ANY_DANGER) -> RoundStopped:
        """Somebody tells of danger: the round stops, and whoever else goes through it is stopped with it."""
        referrals = self.danger_referrals(task, heard)
        self._note(RoundLine(self.clock(), "danger", task, referrals[0], self.who))
        return stopped(self.common, heard, referrals, self.numbers, f'You wrote "{heard.words}".')

    def back(self) -> View:
        """Takes back the latest mark or fact of one's own in this sitting. Raises NothingToTakeBack."""
        line = self._latest_own(self.past)
        if line is None:
            raise NothingToTakeBack("There is nothing to go back to in this sitting.")
        self._note(RoundLine(self.clock(), "back", str(line.number), None, self.who))
        self._back_to = line.subject
        return self.view()

    def leave_off(self) -> None:
        """Put it aside; a round of which nothing is left, and no walk waits, is ended instead."""
        past = self.past
        if past.stopped_by is None:
            finished = not (self.open_tasks(past) or self.left(past) or self.waiting_walks(past))
            self.book.set_stage("ended" if finished else "left-off")

    def _note(self, line: RoundLine) -> None:
        self.book.note((line,))
        self._shown, self._back_to = None, ""
