"""One walk as a state machine with no screen in it.

Where a walk stands is a function of its tree, what reasons about it, its route and the lines of its journal;
so taking it up again is reading the journal again, and nothing is ever known that was not written down first.
Store, clock and reasoning come in as arguments.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.cases.records import CaseRecord, EntryKind
from diagnose.terms import (
    COULD_NOT,
    CURED,
    NOT_CURED,
    NOT_SURE,
    DiagnoseError,
    Finding,
    Situation,
    Tree,
)
from diagnose.walking.journal import Journal
from diagnose.walking.keeping import Clock, Kept, RouteGiven
from diagnose.walking.leading import Reason, leads_in_words
from diagnose.walking.past import causes_of, check_of
from diagnose.walking.readings import BadReading, band_of, in_range
from diagnose.walking.reasoner import Reasoner
from diagnose.walking.renamed import without_place
from diagnose.walking.scene import CHANGED_TREE, Setting, backwards
from diagnose.walking.standing import standing
from diagnose.walking.stops import danger_referrals
from diagnose.walking.views import (
    ClearedQuestion,
    Cured,
    CuredQuestion,
    End,
    LeftOff,
    Question,
    RemedyOffered,
    Stopped,
    Unsure,
    View,
)

__all__ = ["NotNow", "Reason", "Setting", "Walk"]


class NotNow(DiagnoseError):
    """What was asked of the walk is not possible where it stands; the text says what is."""


class Walk(Kept):
    """One walk. Every operation writes to the journal first and then returns the next view.

    An operation that is not possible where the walk stands raises `NotNow` and changes nothing.
    """

    @classmethod
    def begin(
        cls,
        tree: Tree,
        reasoner: Reasoner,
        journal: Journal,
        clock: Clock,
        *,
        route: RouteGiven = None,
        setting: Setting = Setting(),  # noqa: B008 - frozen
        facts: Sequence[Finding] = (),
        findings: Sequence[Finding] = (),
        tried: Mapping[str, str] | None = None,
    ) -> Walk:
        """A new walk: `facts` are of the vehicle's card, `findings` and `tried` were obtained ahead.

        What this tree has no place for is passed over. A stop answer among them stops the walk at once.
        """
        walk = cls(tree, reasoner, journal, clock, route=route, setting=setting)
        for finding in (*facts, *findings):
            known = check_of(tree, finding.check)
            if known is not None and finding.answer in (*known.answer_ids(), NOT_SURE):
                walk._note_finding(finding, ahead=True)
        for remedy, outcome in (tried or {}).items():
            if causes_of(tree, remedy):
                walk._note("tried", remedy, outcome, ahead=True)
        walk._go_on()
        return walk

    @classmethod
    def resume(
        cls,
        tree: Tree,
        reasoner: Reasoner,
        journal: Journal,
        clock: Clock,
        record: CaseRecord,
        *,
        route: RouteGiven = None,
        setting: Setting = Setting(),  # noqa: B008 - frozen
        facts: Sequence[Finding] = (),
    ) -> Walk:
        """Takes up a case again; the danger questions come first. A changed tree is said in the notices.

        `facts` are of the vehicle's card, as it is by now; what was answered in the case already holds.

        Raises CaseStopped for a stopped case, also for one that broke off just as it was being stopped.
        """
        from diagnose.cases.refusals import CaseStopped

        walk = cls(
            tree,
            reasoner,
            journal,
            clock,
            route=route,
            setting=setting,
            entries=record.entries,
            state=record.state,
        )
        where = standing(walk.past)
        if record.state == "stopped" or where.asking == "stopped":
            if record.state != "stopped":
                journal.settle("stopped", where.of)
            raise CaseStopped(record.case)
        changed = record.tree_digest != tree.digest
        dropped = without_place(tree, record.entries)
        for fact in facts:
            if fact.check not in walk.past.findings:
                walk._note_finding(fact, ahead=True)
        walk._note("resumed", CHANGED_TREE if changed else "")
        for subject, answer in dropped:
            walk._note("dropped", subject, answer)
        walk._go_on()
        return walk

    def answer(self, answer: str) -> View:
        """The id of one of the view's choices, or `not-sure`; for remedies and yes-or-no questions, too."""
        view = self.view()
        if answer == NOT_SURE:
            return self.not_sure()
        if isinstance(view, (Question, Unsure, RemedyOffered, CuredQuestion, ClearedQuestion)):
            choices = [choice.id for choice in view.choices]
            if answer not in choices:
                raise NotNow(f'"{answer}" is no answer here. Answers are: {", ".join(choices)}.')
        if isinstance(view, (Question, Unsure)):
            return self._note_and_go_on("finding", view.check, answer)
        if isinstance(view, RemedyOffered):
            return self._note_and_go_on("tried", view.remedy, answer)
        if isinstance(view, CuredQuestion):
            return self.cured_when(answer == "yes")
        if isinstance(view, ClearedQuestion):
            return self.cleared(answer == "yes")
        raise NotNow("Nothing is asked here.")

    def reading(self, value: float, uncertainty: float | None = None) -> View:
        """A measured value in the check's unit; without an uncertainty the check's own is taken.

        Raises BadReading, which names the range, for a value outside it.
        """
        view = self.view()
        if not isinstance(view, (Question, Unsure)) or view.measures is None:
            raise NotNow("No reading is asked for here.")
        finding = self._measured(view.check, value, uncertainty)
        self._note_finding(finding)
        return self._go_on()

    def not_sure(self) -> View:
        """*Not sure*; at a danger question it first brings the offer of help, then the stop."""
        view = self.view()
        if isinstance(view, Question) and view.ask_first:
            return self._note_and_go_on("unsure", view.check)
        if isinstance(view, (Question, Unsure)):
            return self._note_and_go_on("finding", view.check, NOT_SURE)
        if isinstance(view, CuredQuestion):
            return self.cured_when(False)
        if isinstance(view, ClearedQuestion):
            return self.cleared(False)
        if isinstance(view, RemedyOffered):
            raise NotNow("Say whether it works now, is no better, or could not be done.")
        raise NotNow("Nothing is asked here.")

    def could_not(self) -> View:
        """The remedy could not be done; a check that could not be done is *not sure*."""
        view = self.view()
        if isinstance(view, RemedyOffered):
            return self.answer(COULD_NOT)
        if isinstance(view, Question):
            return self.not_sure()
        raise NotNow("There is nothing here that could not be done.")

    def works_now(self) -> View:
        """The remedy was done and it works: the cured question comes next."""
        return self._outcome(CURED)

    def no_better(self) -> View:
        """The remedy was done and did not help."""
        return self._outcome(NOT_CURED)

    def cured_when(self, yes: bool) -> View:
        """The answer to the cured question; a no means that the remedy did not cure."""
        view = self.view()
        if not isinstance(view, CuredQuestion):
            raise NotNow("Nothing has to be made sure of here.")
        return self._note_and_go_on("cured-when", view.remedy, "yes" if yes else "no")

    def cleared(self, yes: bool) -> View:
        """Whether somebody qualified has cleared the vehicle after its last stop."""
        view = self.view()
        if not isinstance(view, ClearedQuestion):
            raise NotNow("There is no stop to be cleared here.")
        return self._note_and_go_on("cleared", view.stopped_by.id, "yes" if yes else "no")

    def danger(self) -> View:
        """Ends the walk in a stop, without a further question."""
        if isinstance(self.view(), Stopped):
            return self.view()
        return self._note_and_go_on("danger", danger_referrals(self.tree)[0])

    def leave_off(self) -> View:
        """Puts the walk aside, to be resumed."""
        if isinstance(self.view(), End):
            raise NotNow("The walk has ended here already.")
        return self._note_and_go_on("left-off")

    def back(self, n: int = 1) -> View:
        """Takes back the last `n` answers (or as many as there are); never out of a stop."""
        view = self.view()
        if isinstance(view, Stopped):
            raise NotNow("There is no way back out of a stop.")
        if isinstance(view, LeftOff):
            raise NotNow("The walk is left off; take it up again first.")
        numbers = backwards(self.past)[: max(n, 0)]
        if not numbers:
            raise NotNow("There is nothing to go back to.")
        for number in numbers:
            self._note("back", str(number))
        return self._go_on()

    def why(self) -> Reason:
        """Why this step."""
        view, scene = self.view(), self._scene
        if scene is None or scene.step is None or not isinstance(view, (Question, RemedyOffered)):
            raise NotNow("This is asked of everybody, for safety or to be sure, so nothing was reckoned.")
        known = self.situation
        if scene.standing.asking == "again":
            # As if it had not been asked before: the new answer takes the place of the old one.
            found = {id: each for id, each in known.findings.items() if id != scene.step.of}
            known = Situation(found, known.tried)
        why = self._reasoner.why(known, scene.step, scene.starts)
        says = {each.cause: each.says for each in scene.ranking}
        leads_to = self._leads_to(scene.step)
        return Reason(
            why.saves,
            tuple(says.get(id, id) for id in why.separates),
            leads_to,
            scene.ranking[0] if scene.ranking else None,
            leads_in_words(scene.past, scene.step, leads_to),
        )

    def volunteer(self, check: str, answer: str | float, uncertainty: float | None = None) -> View:
        """A finding given ahead; a stop answer stops at once.

        Raises NotNow for what the tree does not know, BadReading for a value outside the range.
        """
        view = self.view()
        if isinstance(view, (Stopped, LeftOff, Cured, ClearedQuestion)):
            raise NotNow("Nothing can be added here.")
        known = check_of(self.tree, check)
        if known is None:
            raise NotNow(f'This tree has no check "{check}".')
        if isinstance(view, (Question, Unsure)) and view.check == check:
            return self.answer(answer) if isinstance(answer, str) else self.reading(answer, uncertainty)
        if isinstance(answer, str) and answer not in (*known.answer_ids(), NOT_SURE):
            raise NotNow(
                f'"{answer}" is no answer of "{check}". Answers are: {", ".join(known.answer_ids())}.'
            )
        given = Finding(check, answer) if isinstance(answer, str) else None
        self._note_finding(given or self._measured(check, float(answer), uncertainty), ahead=True)
        return self._go_on()

    def _outcome(self, outcome: str) -> View:
        if not isinstance(self.view(), RemedyOffered):
            raise NotNow("No remedy is offered here.")
        return self.answer(outcome)

    def _measured(self, check: str, value: float, uncertainty: float | None) -> Finding:
        known = check_of(self.tree, check)
        if known is None or known.reading is None:
            raise NotNow(f'"{check}" takes no reading.')
        if uncertainty is not None and not 0 < uncertainty < float("inf"):
            raise BadReading("An uncertainty is above zero.")
        in_range(value, known.reading)
        return Finding(check, band_of(known, value), value, uncertainty or known.reading.uncertainty)

    def _note_and_go_on(self, kind: EntryKind, subject: str = "", answer: str | None = None) -> View:
        self._note(kind, subject, answer)
        return self._go_on()
