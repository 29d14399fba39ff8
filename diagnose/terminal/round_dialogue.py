"""One round at a prompt: shows a view, understands what is typed, opens walks, and comes back from them.

Each answer is durable before the next screen shows. Ctrl-C and the end of the input leave the round off where
it stands, and a walk that was open as well.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field

from diagnose.rounds.going import Going, NothingToTakeBack
from diagnose.rounds.outcome import Outcome
from diagnose.rounds.presence import is_never_missing
from diagnose.rounds.verdict import Judged
from diagnose.rounds.views import AllSeen, ClearedAsked, FactAsked, RoundStopped, TaskShown, View
from diagnose.terminal.console import Console
from diagnose.terminal.dangers import YES_OR_NO, DangerTold, told_danger
from diagnose.terminal.desk import Desk, Opened
from diagnose.terminal.endings import stopped_end
from diagnose.terminal.layout import Line, Manner, Page
from diagnose.terminal.picking import pick
from diagnose.terminal.round_end import outcome_page
from diagnose.terminal.round_of_walk import known_on_the_round
from diagnose.terminal.round_pages import (
    CAUTION,
    cautions_page,
    choices_of_task,
    cleared_page,
    fact_page,
    help_page,
    referral_page,
    task_page,
    waiting_page,
    wrong_page,
)
from diagnose.terminal.understanding import Chosen, Ordered, meaning, plain_words
from diagnose.terminal.visiting import CTRL_C, Visit
from diagnose.terms import NOT_SURE, DiagnoseError
from diagnose.terms.rounds import TASK_ENDS, Task, TaskEnd
from diagnose.walking.views import NO_CERTIFICATE, Choice, Stopped

NOT_NOW = "not-now"
NEVER_MISSING = "Every vehicle has that, so nobody has looked at it: it is kept as not done."
_WITH_A_NOTE = re.compile(r"\s*([^:]{1,30}?)\s*:\s*(\S.*)", re.DOTALL)
LONGEST_NOTE = 300


class LeftOff(Exception):
    """Somebody leaves the round off."""


class StoppedInAWalk(Exception):
    """Danger was told in a walk that the round had opened; its stop was shown there."""


@dataclass(slots=True)
class RoundDialogue:
    """A round and the console at which it is gone through; `run` returns the exit code."""

    going: Going
    console: Console
    desk: Desk
    again: str
    """The command by which the round is taken up again."""
    come_to: Callable[[], tuple[Outcome, Judged]]
    opening: Page | None = None
    walked: list[Opened] = field(default_factory=list)
    """The walks of this sitting, for what they have found."""
    _visit: Visit | None = None

    def run(self) -> int:
        """Go through it until it ends, stops or is left off."""
        try:
            if self.opening is not None and not isinstance(self.going.view(), ClearedAsked | RoundStopped):
                self._show(self.opening)
            self._go_on(self.going.view())
        except LeftOff:
            self._close()
        except StoppedInAWalk:
            return 0
        except DangerTold as told:
            self._show_stop(self.going.danger("", told.heard))
        except EOFError:
            return self._interrupted(0)
        except KeyboardInterrupt:
            return self._interrupted(CTRL_C)
        except DiagnoseError:
            self._show(Page(self.console.width()).say("All that you answered is kept. To go on, type:"))
            self._show(Page(self.console.width()).say(self.again, indent=2))
            raise
        return 0

    def _go_on(self, view: View) -> None:
        while not isinstance(view, AllSeen | RoundStopped):
            view = self._asked(view)
        if isinstance(view, RoundStopped):
            self._show_stop(view)
            return
        self._close()

    def _asked(self, view: ClearedAsked | FactAsked | TaskShown) -> View:
        """Show one view and read lines until one of them takes the round on."""
        width = self.console.width()
        match view:
            case ClearedAsked():
                page = cleared_page(view, width)
            case FactAsked():
                page = fact_page(view, width)
            case TaskShown():
                page = task_page(view, width)
                height = self.console.height()
                if view.cautions and height is not None and len(page.lines) > height - 2:
                    page.say("The cautions stand above: scroll up to read them.", "strong")
        self._show(page)
        while True:
            following = self._take(view, self.console.ask())
            if following is not None:
                return following

    def _take(self, view: ClearedAsked | FactAsked | TaskShown, typed: str) -> View | None:
        """Say one line to the round; None if the same view stands."""
        choices = _choices(view)
        meant = meaning(typed, choices, whole=isinstance(view, ClearedAsked))
        if isinstance(meant, Chosen):
            return self._answer(view, meant.choice.id)
        if isinstance(meant, Ordered):
            return self._order(view, meant)
        if isinstance(view, TaskShown) and plain_words(typed) == CAUTION:
            self._show(cautions_page(view, self.console.width()))
            return None
        task = view.task.id if isinstance(view, TaskShown) else ""
        heard = told_danger(self.console, typed)
        if heard is not None:
            return self.going.danger(task, heard)
        noted = _WITH_A_NOTE.fullmatch(typed)
        if noted and isinstance(view, TaskShown):
            end = meaning(noted[1], choices)
            if isinstance(end, Chosen):
                return self._answer(view, end.choice.id, " ".join(noted[2].split())[:LONGEST_NOTE])
        self._say(_what_would_be_right(view))
        return None

    def _order(self, view: ClearedAsked | FactAsked | TaskShown, meant: Ordered) -> View | None:
        task = view.task.id if isinstance(view, TaskShown) else ""
        match meant.command:
            case "danger":
                return self.going.danger(task)
            case "leave off":
                raise LeftOff
            case "back":
                try:
                    return self.going.back()
                except NothingToTakeBack as refusal:
                    self._say(str(refusal))
                    return None
            case "help":
                self._show(help_page(self.console.width()))
                return None
            case "not sure" | "could not" if isinstance(view, FactAsked):
                return self.going.answer_fact(view.fact, NOT_SURE)
            case "not sure" | "could not" if isinstance(view, ClearedAsked):
                return self.going.cleared("no")
            case "not sure" | "could not":
                self._say("If you could not look, type: not done. If you looked and doubt it, type: wrong.")
                return None
            case _:
                self._say(_what_would_be_right(view))
                return None

    def _answer(self, view: ClearedAsked | FactAsked | TaskShown, answer: str, note: str = "") -> View:
        if isinstance(view, ClearedAsked):
            return self.going.cleared(answer)
        if isinstance(view, FactAsked):
            return self.going.answer_fact(view.fact, answer)
        end: TaskEnd = next(end for end in TASK_ENDS if end == answer)
        following = self.going.mark(view.task.id, end, note)
        if end == "wrong":
            return self._wrong(view.task, note)
        if end == "fine" and view.overdue:
            referral = self.desk.trees.common().referrals.get(view.task.refer or "")
            self._show(wrong_page(view.task, referral, self._waiting_for(view.task), self.console.width()))
            return following
        if end == "not-fitted" and is_never_missing(view.task):
            self._say(NEVER_MISSING, "strong")
        waiting = self._waiting_for(view.task)
        if waiting:
            self._show(waiting_page(waiting, "done", self.console.width()))
        return following

    def _wrong(self, task: Task, note: str) -> View:
        """What stays unused, and the walk that finds out why, or whom it is left to."""
        referrals, width = self.desk.trees.common().referrals, self.console.width()
        referral = referrals.get(task.refer or "")
        trees = [id for id in task.opens if id in self.desk.trees.ids()]
        self._show(wrong_page(task, referral if trees else None, self._waiting_for(task), width))
        if not trees:
            if referral is not None:
                own = self.desk.own_numbers.get(referral.id, "")
                self._show(referral_page(referral, own, self.desk.calling.register, width))
            return self.going.view()
        names = {heading.id: heading.symptom for heading in self.desk.trees.headings()}
        choices = [Choice(id, names[id]) for id in trees]
        self._say("Find out why now? The round waits for you.", "strong")
        try:
            picked = pick(
                self.console, [*choices, Choice(NOT_NOW, "Not now; go on with the round")], skip=NOT_NOW
            )
        except DangerTold as told:
            return self.going.danger(task.id, told.heard)
        return self.going.view() if picked == NOT_NOW else self._walk(task, picked, note)

    def _walk(self, task: Task, symptom: str, note: str) -> View:
        """The walk of what is wrong, with what is known; then the round goes on, unless danger stopped it."""
        known = known_on_the_round(self.going, self.walked, self.desk.tree(symptom))
        opened = self.desk.open_walk(symptom, findings=known)
        self.going.mark(task.id, "wrong", note, opened.case)
        self._visit = Visit(self.console, self.desk, spoken=True)
        try:
            end, walked = self._visit.walk(opened)
        finally:
            # Noted however the walk is left: a stop is no less one where Ctrl-C follows its screen.
            last = self._visit.last or opened
            if last.case != opened.case:
                self.going.mark(task.id, "wrong", note, last.case)
            if last.record().state == "stopped":
                self.going.danger(task.id)
        self._visit = None
        self.walked += walked
        if isinstance(end, Stopped):
            self._say("The round stops here too. Once somebody qualified has cleared the vehicle, type:")
            self._say(self.again)
            raise StoppedInAWalk
        self._say("Back to the round.", "strong")
        return self.going.view()

    def _waiting_for(self, task: Task) -> int:
        """How many tasks are held back by this one."""
        return sum(task.id in why for why in self.going.held().values())

    def _show_stop(self, view: RoundStopped) -> None:
        """The stop screen of a walk, and how the round is taken up once the vehicle is cleared."""
        calling = self.desk.calling
        end = Stopped(
            symptom="",
            state="stopped",
            numbers=calling.numbers,
            referrals=view.referrals,
            because=view.because,
            first=view.first,
            own_numbers=self.desk.own_numbers,
        )
        self._show(stopped_end(end, self.console.width()))
        self._say("Once somebody qualified has cleared it, the round goes on with:", "quiet")
        self._say(self.again, "quiet")

    def _close(self) -> None:
        """Leave it off or end it, and say where it stands."""
        self.going.leave_off()
        outcome, judged = self.come_to()
        walks = [self.desk.resume_command(case) for case in self.going.waiting_walks()]
        again = self.again if outcome.left or walks else ""
        width, vehicle = self.console.width(), self.desk.vehicle
        self._show(outcome_page(self.going.round, outcome, judged, width, vehicle, again, walks))

    def _interrupted(self, code: int) -> int:
        if self._visit is not None:
            self._visit.interrupted(code)
        self.going.leave_off()
        page = Page(self.console.width()).say("All that you answered is kept. To go on with the round, type:")
        self._show(page.say(self.again, indent=2).gap().say(NO_CERTIFICATE))
        return code

    def _say(self, text: str, manner: Manner = "plain") -> None:
        self._show(Page(self.console.width()).say(text, manner))

    def _show(self, page: Page) -> None:
        if page.lines:
            self.console.show([Line(""), *page.lines])


def _choices(view: ClearedAsked | FactAsked | TaskShown) -> tuple[Choice, ...]:
    if isinstance(view, ClearedAsked):
        return YES_OR_NO
    return view.choices if isinstance(view, FactAsked) else choices_of_task(view)


def _what_would_be_right(view: ClearedAsked | FactAsked | TaskShown) -> str:
    if isinstance(view, ClearedAsked):
        return "Here it has to be the whole word: yes or no."
    if isinstance(view, FactAsked):
        return f"Type a number from 1 to {len(view.choices)}, or: not sure, leave off, danger."
    return "Type a number from 1 to 4, or: back, help, leave off, danger."
