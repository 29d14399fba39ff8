"""After a remedy that did not cure, checks that it may have changed are asked again, safely."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.terms import Finding, Step
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.reasoner import RoomReasoner
from diagnose.walking.views import Cured, Question, RemedyOffered, Stopped
from diagnose.walking.walk import Walk
from tests.reasoning.by_hand import cause, check, content_of, do, faults
from tests.reasoning.made_up_trees import read
from tests.walking.small_trees import HandClock, Order, heater
from tests.walking.test_danger_questions import through_the_danger_questions
from tests.walking.test_doubting import taken_up


@dataclass
class Asking(Order):
    """A changed cylinder may have changed the hob's flame and, less surely, what a start does."""

    worth: tuple[str, ...] = ("hob",)

    def asked_again_after(self, situation, remedy):
        named = {"empty": ("hob", "start"), "fuse": ("volts",)}.get(remedy, ())
        return tuple(id for id in named if id in situation.findings)

    def worth_asking_again(self, situation, check, starts=0):
        return check in self.worth


ORDER = tuple(Step("check", id) for id in ("hob", "start")) + tuple(
    Step("remedy", id) for id in ("empty", "fuse", "shut")
)


def after_the_cylinder(worth=("hob",), **more):
    """The cylinder was changed, it is no better, and no gas is smelt."""
    tree = heater(**more)
    planner = Asking(tree, (*ORDER, Step("check", "volts"), Step("referral", "gas-engineer")), worth=worth)
    walk = Walk.begin(tree, planner, MemoryJournal(), HandClock())
    through_the_danger_questions(walk)
    walk.answer("none")
    walk.answer("ticks")
    walk.no_better()
    assert walk.view().check == "smell-of-gas", "gas is smelt for before anything else"
    return walk, walk.answer("no")


def test_the_check_is_asked_again_with_a_word_why():
    _, view = after_the_cylinder()
    assert isinstance(view, Question)
    assert (view.check, view.again, view.ask_first) == ("hob", True, False)
    assert view.notices == (
        "What was just done may have changed this, so look anew (it was: No flame). "
        "If you cannot, say not sure: the earlier answer then no longer counts.",
    )


def test_the_new_answer_takes_the_place_of_the_old_one_and_the_walk_goes_on():
    walk, _ = after_the_cylinder()
    view = walk.answer("steady")
    assert isinstance(view, RemedyOffered)
    assert walk.situation.findings["hob"] == Finding("hob", "steady")
    assert dict(walk.situation.tried) == {"empty": "not-cured"}


def test_who_cannot_look_again_says_not_sure_and_the_old_answer_counts_no_longer():
    walk, _ = after_the_cylinder()
    walk.not_sure()
    assert walk.situation.findings["hob"].answer == "not-sure"


def test_going_back_brings_the_old_answer_and_the_question_back():
    walk, asked = after_the_cylinder()
    walk.answer("steady")
    assert walk.back() == asked
    assert walk.situation.findings["hob"].answer == "none"


def test_each_check_is_asked_again_once():
    walk, _ = after_the_cylinder(worth=("hob", "start"), tries=None)
    assert walk.answer("none").check == "start"
    assert isinstance(walk.answer("ticks"), RemedyOffered)


def test_a_danger_seen_then_stops_at_once():
    walk, _ = after_the_cylinder()
    assert isinstance(walk.answer("yellow"), Stopped)


def test_cautions_stand_before_what_is_asked_again_after_a_resumption():
    walk, _ = after_the_cylinder()
    view = taken_up(walk).view()
    assert (view.check, view.again) == ("hob", True)
    assert "gas" in [caution.id for caution in view.cautions]


def test_without_an_alarm_its_caution_stands_before_a_start_that_is_asked_again():
    tree = heater(tries=None)
    walk = Walk.begin(tree, Asking(tree, ORDER, worth=("start",)), MemoryJournal(), HandClock())
    walk.answer("no")
    walk.answer("none-fitted")
    walk.answer("gas")
    walk.answer("none")
    walk.answer("ticks")
    walk.no_better()
    view = walk.answer("no")
    assert (view.check, view.starts) == ("start", True)
    assert view.cautions[0].id == "carbon-monoxide"


def test_what_could_not_be_done_changed_nothing():
    walk, _ = after_the_cylinder()
    walk.back(2)
    assert walk.view().remedy == "empty"
    assert walk.could_not().check == "smell-of-gas"
    assert isinstance(walk.answer("no"), RemedyOffered)


def test_once_the_walk_has_gone_on_nothing_is_asked_again():
    walk, _ = after_the_cylinder(worth=())
    walk.could_not()
    walk._reasoner.worth = ("hob",)
    walk._view = None
    assert getattr(walk.view(), "check", "") != "hob"


def test_remedies_that_were_known_ahead_bring_no_question():
    tree = heater()
    walk = Walk.begin(
        tree,
        Asking(tree, ORDER),
        MemoryJournal(),
        HandClock(),
        findings=[Finding("hob", "none")],
        tried={"empty": "not-cured"},
    )
    assert through_the_danger_questions(walk).check == "start"


def test_reading_the_journal_again_gives_the_same_question():
    walk, asked = after_the_cylinder()
    again = Walk(
        walk.tree, Asking(walk.tree, ORDER), MemoryJournal(), HandClock(), entries=tuple(walk.entries)
    )
    assert again.view() == asked


def test_with_the_programs_own_arithmetic_a_charged_battery_is_measured_again():
    """Two faults: the battery was flat, and the fuse had gone behind it."""
    tree = flat_and_blown()
    reasoner = RoomReasoner(tree)
    walk = Walk.begin(tree, reasoner, MemoryJournal(), HandClock(), route=reasoner.route)
    asked = []
    charged = False
    while not isinstance(view := walk.view(), Cured):
        if isinstance(view, Question):
            asked.append((view.check, view.again, charged))
            walk.answer("good" if charged else "low")
        elif isinstance(view, RemedyOffered):
            charged = charged or view.remedy == "battery"
            walk.answer("cured" if charged and view.remedy == "fuse" else "not-cured")
        else:
            walk.answer("yes")
    assert asked == [("volts", False, False), ("volts", True, True)]
    assert walk.view().cause == "fuse"


def flat_and_blown():
    """Low volts speak for the battery; once they are good, the fuse comes first among the rest."""
    content = content_of(
        faults(
            battery=cause(50, do(minutes=30)), fuse=cause(20, do(minutes=8)), wiring=cause(25, do(minutes=25))
        ),
        {
            "volts": check(
                answers={"low": "Low", "good": "Good"},
                not_sure=0,
                expect={"battery": {"low": 0.95}, "wiring": {"low": 0.6}, "fuse": {"good": 0.95}},
            )
        },
    )
    return read(content, "flat-and-blown")
