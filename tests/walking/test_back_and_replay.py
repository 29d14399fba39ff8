"""Laws of a walk, whatever is done in whatever order."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.walking.journal import MemoryJournal
from diagnose.walking.readings import BadReading
from diagnose.walking.views import Cured, Question, RemedyOffered, Stopped
from diagnose.walking.walk import NotNow, Setting, Walk
from tests.walking.small_trees import HandClock, Order, heater
from tests.walking.test_danger_questions import resumed

CHECKS = ("hob", "start", "volts", "heater-fuel", "smell-of-gas", "co-alarm")

FIRST = ("answer", 0)
OPERATIONS = st.one_of(
    # Mostly harmless answers, or most walks would stop at once.
    *[st.just(FIRST)] * 6,
    st.tuples(st.just("answer"), st.integers(0, 2)),
    st.tuples(st.just("answer"), st.integers(0, 2)),
    st.tuples(st.just("outcome"), st.sampled_from(["cured", "not-cured", "could-not", "no", "yes"])),
    st.tuples(st.just("outcome"), st.sampled_from(["cured", "not-cured"])),
    st.tuples(st.just("answer last"), st.integers(0, 20)),
    st.tuples(st.just("not sure"), st.integers(0, 3)),
    st.tuples(st.just("reading"), st.integers(-1, 18)),
    st.tuples(st.just("back"), st.integers(1, 4)),
    st.tuples(st.just("back"), st.just(1)),
    st.tuples(st.just("volunteer"), st.integers(0, 5)),
    st.tuples(st.just("danger"), st.integers(0, 30)),
    st.tuples(st.just("leave off"), st.integers(0, 3)),
    st.tuples(st.just("resume"), st.integers(0, 3)),
    st.tuples(st.just("wait"), st.integers(1, 40)),
)


class Played:
    """A walk on which operations are played, with what was seen on the way."""

    def __init__(self):
        self.tree = heater()
        self.journal, self.clock = MemoryJournal(), HandClock()
        self.walk = Walk.begin(self.tree, Order(self.tree), self.journal, self.clock)
        self.views = [self.walk.view()]

    def play(self, operation, figure):
        try:
            self._play(operation, figure)
        except (NotNow, BadReading):
            assert self.walk.view() == self.views[-1], "a refusal changes nothing"
            return
        self.views.append(self.walk.view())

    def _play(self, operation, figure):
        walk = self.walk
        choices = getattr(walk.view(), "choices", ())
        if operation == "answer":
            walk.answer(choices[min(figure, len(choices) - 1)].id if choices else "nothing")
        elif operation == "answer last" and figure == 0:
            walk.answer(choices[-1].id if choices else "nothing")
        elif operation == "outcome":
            walk.answer(figure)
        elif operation == "not sure" and figure == 0:
            walk.not_sure()
        elif operation == "reading":
            walk.reading(figure)
        elif operation == "back":
            walk.back(figure)
        elif operation == "volunteer":
            check = CHECKS[figure]
            walk.volunteer(check, self.tree.checks[check].answer_ids()[0])
        elif operation == "danger" and figure == 0:
            walk.danger()
        elif operation == "leave off" and figure == 0:
            walk.leave_off()
        elif operation == "resume" and figure == 0 and self.journal.state != "stopped":
            self.walk = resumed(walk, self.journal, self.clock)
        elif operation == "wait":
            self.clock.move(minutes=figure)

    def replayed(self):
        return Walk(
            self.tree, Order(self.tree), MemoryJournal(), self.clock, entries=tuple(self.journal.lines)
        )


# The first answers lead past the danger questions to the hob, the start and the first remedy.
PLAYS = st.builds(
    lambda harmless, others: [FIRST] * harmless + others,
    st.sampled_from([0, 3, 5, 6, 6, 6, 7, 8]),
    st.lists(OPERATIONS, max_size=30),
)


@given(PLAYS)
@settings(max_examples=60)
def test_reading_the_journal_again_gives_the_same_view(operations):
    played = Played()
    for operation in operations:
        played.play(*operation)
        assert played.replayed().view() == played.walk.view()


@given(PLAYS)
@settings(max_examples=60)
def test_no_operation_leads_out_of_a_stop(operations):
    played = Played()
    for operation in operations:
        played.play(*operation)
    if any(isinstance(view, Stopped) for view in played.views):
        assert isinstance(played.walk.view(), Stopped)
        assert played.journal.state == "stopped"


@given(PLAYS)
@settings(max_examples=60)
def test_no_start_is_offered_beyond_the_tries(operations):
    played = Played()
    started = 0
    for operation in operations:
        view = played.walk.view()
        if isinstance(view, RemedyOffered) or (isinstance(view, Question) and view.starts):
            assert started < 3
        before = len(played.journal.lines)
        played.play(*operation)
        for line in played.journal.lines[before:]:
            started += line.kind == "tried" and line.answer in ("cured", "not-cured")
            started += line.kind == "finding" and line.subject == "start"


@given(PLAYS)
@settings(max_examples=60)
def test_nothing_is_cured_before_the_cured_question_is_answered_yes(operations):
    played = Played()
    for operation in operations:
        played.play(*operation)
        if isinstance(played.walk.view(), Cured):
            lines = played.journal.lines
            taken_back = {line.subject for line in lines if line.kind == "back"}
            holds = [line for line in lines if str(line.number) not in taken_back]
            last = [line for line in holds if line.kind in ("tried", "cured-when")][-2:]
            assert [(line.kind, line.answer) for line in last] == [("tried", "cured"), ("cured-when", "yes")]
            assert last[0].subject == last[1].subject == played.walk.view().cause
            # What was taken back has been done all the same.
            on_gas = [
                line.number for line in lines if line.kind == "tried" and line.subject in ("empty", "shut")
            ]
            smelt = [
                line.number for line in holds if line.kind == "finding" and line.subject == "smell-of-gas"
            ]
            assert max(smelt) > max(on_gas, default=0)


@given(PLAYS)
@settings(max_examples=60)
def test_nothing_but_danger_questions_is_asked_before_they_are_answered(operations):
    played = Played()
    for operation in operations:
        played.play(*operation)
        view = played.walk.view()
        if isinstance(view, Question) and not view.ask_first:
            last_resumed = max((x.number for x in played.journal.lines if x.kind == "resumed"), default=0)
            taken_back = {x.subject for x in played.journal.lines if x.kind == "back"}
            asked = {
                x.subject
                for x in played.journal.lines
                if x.kind == "finding"
                and not x.ahead
                and x.number > last_resumed
                and str(x.number) not in taken_back
            }
            assert {"smell-of-gas", "co-alarm"} <= asked


@given(PLAYS)
@settings(max_examples=60)
def test_back_and_forth_never_changes_what_the_same_findings_give(operations):
    played = Played()
    for operation in operations:
        played.play(*operation)
    known = played.walk.situation
    fresh = Walk.begin(
        played.tree,
        Order(played.tree),
        MemoryJournal(),
        HandClock(),
        findings=list(reversed(known.findings.values())),
        tried=known.tried,
    )
    assert fresh.situation == known
    assert list(fresh.situation.findings) == list(known.findings)
    assert fresh._stepping.ranking(fresh.situation) == played.walk._stepping.ranking(known)


@given(PLAYS, st.integers(1, 3))
@settings(max_examples=60)
def test_going_back_and_answering_the_same_again_leads_to_the_same_findings(operations, steps):
    played = Played()
    for operation in operations:
        played.play(*operation)
    walk = played.walk
    steps = min(steps, len([x for x in played.journal.lines if x.kind == "finding" and not x.ahead]))
    before = walk.situation
    view = walk.view()
    if not isinstance(view, Question) or view.ask_first or not view.can_go_back or steps == 0:
        return
    from diagnose.walking.scene import backwards

    numbers = backwards(walk.past)[:steps]
    lines = [line for line in walk.past.live if line.number in numbers]
    walk.back(steps)
    for line in lines:
        if line.kind == "finding":
            walk._note_finding(_finding(line))
        else:
            walk._note(line.kind, line.subject, line.answer)
    walk._go_on()
    assert walk.situation == before


def _finding(line):
    from diagnose.walking.past import as_finding

    return as_finding(line)


def test_the_setting_does_not_change_what_a_journal_says():
    played = Played()
    for _ in range(6):
        played.play("answer", 0)
    elsewhere = Walk(
        played.tree,
        Order(played.tree),
        MemoryJournal(),
        played.clock,
        entries=tuple(played.journal.lines),
        setting=Setting(case=7, numbers=("999",)),
    )
    assert elsewhere.situation == played.walk.situation
    assert elsewhere.view().numbers == ("999",)
