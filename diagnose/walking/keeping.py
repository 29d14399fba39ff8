"""The part of a walk that keeps: lines into the journal, where it stands after them, how its case is settled.

What somebody may do at which view is said in `walk.py`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from diagnose.cases.records import Entry, EntryKind
from diagnose.terms import Finding, Situation, State, Step, Tree
from diagnose.walking.asking_again import to_ask_again
from diagnose.walking.cautioning import not_yet_shown
from diagnose.walking.doubting import doubt_before
from diagnose.walking.journal import Journal
from diagnose.walking.leading import answers_of
from diagnose.walking.past import BY_TIME, Past, read_past
from diagnose.walking.reasoner import Reasoner
from diagnose.walking.scene import Scene, Setting
from diagnose.walking.showing import show
from diagnose.walking.standing import Standing, standing
from diagnose.walking.stepping import RouteLike, Stepping
from diagnose.walking.views import Cured, End, HandedOver, Referred, Stopped, View

Clock = Callable[[], datetime]
RouteGiven = RouteLike | Callable[[], RouteLike | None] | None
"""A route, or what makes it when it is first needed."""

_AT_REST = ("stopped", "cleared", "left-off", "cured", "misfit")
"""Where no danger question is asked anew."""
_WITHOUT_FIGURES = ("stopped", "cleared", "unsure", "danger-question", "fact", "left-off", "misfit")
"""Where nothing is reckoned: a stop must show at once, and the first questions while the rest still loads."""


class Kept:
    """A walk as far as its journal goes: the view is a function of the lines and of nothing else."""

    def __init__(
        self,
        tree: Tree,
        reasoner: Reasoner,
        journal: Journal,
        clock: Clock,
        *,
        route: RouteGiven = None,
        setting: Setting = Setting(),  # noqa: B008 - frozen
        entries: Sequence[Entry] = (),
        state: State = "open",
    ) -> None:
        """Reads `entries` again; `state` is how the case is stored. To start or to take up, see below."""
        self.tree = tree
        self.setting = setting
        self._journal, self._clock = journal, clock
        self._stepping = Stepping(tree, reasoner, route)
        self._reasoner = reasoner
        self._lines = list(entries)
        self._settled: State = state
        self._view: View | None = None
        self._scene: Scene | None = None

    @property
    def past(self) -> Past:
        """What the journal says."""
        return read_past(self.tree, self._lines)

    @property
    def situation(self) -> Situation:
        """What is known: the findings, and what became of the remedies tried."""
        return self.past.situation

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The journal's lines."""
        return tuple(self._lines)

    @property
    def state(self) -> State:
        """How the case stands."""
        view = self.view()
        return view.state if isinstance(view, End) else "open"

    def view(self) -> View:
        """Where the walk stands."""
        if self._view is None:
            self._scene = self._look()
            self._view = show(self._scene)
        return self._view

    def _note_finding(self, found: Finding, ahead: bool = False) -> None:
        self._note("finding", found.check, found.answer, found.value, found.uncertainty, ahead)

    def _note(
        self,
        kind: EntryKind,
        subject: str = "",
        answer: str | None = None,
        value: float | None = None,
        uncertainty: float | None = None,
        ahead: bool = False,
    ) -> None:
        entry = Entry(self._clock(), kind, subject, answer, value, uncertainty, ahead)
        self._lines.append(self._journal.append(entry))
        self._view = self._scene = None

    def _go_on(self) -> View:
        """To the next view: what it brings (old danger answers, a planned step, cautions, an end) is noted.

        Only then is a better plan begun for what follows it, which may be ready for the next answer or not.
        """
        where = standing(self.past, self.setting.stopped_by)
        if where.asking not in _AT_REST and self.past.danger_answers_old(self._clock()):
            self._note("resumed", BY_TIME)
        self._note_planned()
        scene = self._look()
        for caution in not_yet_shown(scene.past, scene.standing, scene.step):
            self._note("shown", caution)
        view = self.view()
        if self.state != self._settled:
            self._settle(view)
        elif scene.standing.asking == "reckoned" and scene.step is not None:
            self._stepping.refine(scene.past, scene.step, scene.starts)
        return view

    def _note_planned(self) -> None:
        step = self._planned(self.past)
        if step is not None:
            self._note("planned", step.of, step.kind)

    def _planned(self, past: Past) -> Step | None:
        """The step that is to be noted before it is shown, if there is one."""
        if standing(past, self.setting.stopped_by).asking != "reckoned":
            return None
        return self._stepping.to_note(past, self._starts(past))

    def _starts(self, past: Past) -> int:
        """How many tries are used up, as far as can be told at the latest line."""
        now = past.journal[-1].time if past.journal else self._clock()
        return past.starts(now) + self.setting.started_before

    def _look(self) -> Scene:
        past = self.past
        starts = self._starts(past)
        where, step, doubts = self._come_to(past, starts)
        ranking = () if where.asking in _WITHOUT_FIGURES else self._stepping.ranking(past.situation)
        return Scene(past, self.setting, where, step, ranking, starts, doubts)

    def _come_to(self, past: Past, starts: int) -> tuple[Standing, Step | None, tuple[str, ...]]:
        """Where a journal leads: what is asked there, the step if one was reckoned, and doubts to be said."""
        where, step = standing(past, self.setting.stopped_by), None
        doubts: tuple[str, ...] = ()
        if where.asking == "reckoned":
            where, step = self._stepping.step(past, starts)
        if where.asking == "reckoned" and (check := to_ask_again(past, self._reasoner, starts)):
            where, step = Standing("again", check), Step("check", check)
        if where.asking == "reckoned" and step is not None:
            doubt = doubt_before(past, self._reasoner, step, starts)
            doubts = () if doubt is None else (doubt.says,)
            if doubt is not None and doubt.ask is not None:
                where, step = Standing("again", doubt.ask), Step("check", doubt.ask)
        return where, step, doubts

    def _leads_to(self, step: Step) -> Mapping[str, Step]:
        """Answer -> what the walk would come to, were it given to that step now; nothing is noted.

        The answer is put behind the journal as one more line. So a route's edges are followed while the walk
        is on it, gas is smelt for again after hands were on it, and what would be asked again is asked again.
        """
        found = {}
        for answer in answers_of(self.tree, step):
            past = self._as_if("finding" if step.kind == "check" else "tried", step.of, answer)
            planned = self._planned(past)
            if planned is not None:
                past = self._as_if("planned", planned.of, planned.kind, past.journal)
            where, following, _ = self._come_to(past, self._starts(past))
            if following is None and where.asking in ("stopped", "danger-question"):
                following = Step("stop" if where.asking == "stopped" else "check", where.of)
            if following is not None:
                found[answer] = following
        return found

    def _as_if(self, kind: EntryKind, subject: str, answer: str, after: Sequence[Entry] = ()) -> Past:
        lines = after or self._lines
        number = max((line.number for line in lines), default=0) + 1
        return read_past(self.tree, [*lines, Entry(self._clock(), kind, subject, answer, number=number)])

    def _settle(self, view: View) -> None:
        state = view.state if isinstance(view, End) else "open"
        if isinstance(view, Stopped):
            self._journal.settle(state, view.referrals[0].id)
        elif isinstance(view, Referred):
            self._journal.settle(state, view.referral.id)
        elif isinstance(view, HandedOver):
            self._journal.settle(state, view.tree)
        elif isinstance(view, Cured):
            self._journal.settle(state, points_to=view.cause)
        else:
            self._journal.settle(state)
        self._settled = state
