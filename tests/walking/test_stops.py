"""Stops: at once, with the firmest words, and without a way back."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.refusals import CaseStopped
from diagnose.terms import Finding
from diagnose.walking.earlier import stopped_by
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.stops import danger_referrals
from diagnose.walking.views import ClearedQuestion, Question, Stopped
from diagnose.walking.walk import NotNow, Setting, Walk
from tests.walking.small_trees import HAZARDS, MONDAY, HandClock, Order, heater


def begun(tree=None, **more):
    tree = tree or heater()
    journal = MemoryJournal()
    return Walk.begin(tree, Order(tree), journal, HandClock(), **more), journal


def at_the_hob(tree=None):
    walk, journal = begun(tree)
    for answer in ("no", "quiet", "gas"):
        walk.answer(answer)
    assert walk.view().check == "hob"
    return walk, journal


def test_a_stop_answer_stops_at_once_with_its_own_referral():
    walk, journal = at_the_hob()
    stopped = walk.answer("yellow")
    assert isinstance(stopped, Stopped)
    assert [referral.id for referral in stopped.referrals] == ["gas-engineer"]
    assert stopped.because == "How does the hob burn? Yellow."
    assert (journal.state, journal.referral) == ("stopped", "gas-engineer")


def test_the_stop_is_written_down_before_it_is_shown():
    class Breaks(MemoryJournal):
        def append(self, entry):
            if entry.kind == "danger":
                raise OSError("the disk is full")
            return super().append(entry)

    tree = heater()
    walk = Walk.begin(tree, Order(tree), Breaks(), HandClock())
    with pytest.raises(OSError, match="disk"):
        walk.danger()
    assert isinstance(walk.view(), Question)


def test_danger_stops_at_every_question_without_a_further_one():
    answers = ("no", "quiet", "gas", "none", "ticks", "good", "cured", "no")
    for stage in range(len(answers) + 1):
        walk, journal = begun()
        for answer in answers[:stage]:
            walk.answer(answer)
        assert not isinstance(walk.view(), Stopped)
        assert isinstance(walk.danger(), Stopped), stage
        assert journal.state == "stopped"


def test_danger_counts_at_an_end_too():
    walk, journal = at_the_hob()
    for answer in ("none", "ticks", "good", "could-not", "no", "could-not", "no", "could-not"):
        walk.answer(answer)
    assert journal.state == "referred"
    assert isinstance(walk.danger(), Stopped)
    assert journal.state == "stopped"


def test_there_is_no_way_back_out_of_a_stop():
    walk, _ = at_the_hob()
    stopped = walk.answer("yellow")
    for leave in (walk.back, walk.leave_off, walk.not_sure, lambda: walk.volunteer("start", "ticks")):
        with pytest.raises(NotNow):
            leave()
        assert walk.view() == stopped


def test_under_gas_the_stop_is_for_gas_and_for_monoxide_since_nothing_more_is_asked():
    walk, journal = at_the_hob()
    stopped = walk.danger()
    assert [referral.id for referral in stopped.referrals] == ["gas-escape", "co-suspected"]
    assert "Everybody out" in stopped.first
    assert "112" in stopped.first
    assert journal.referral == "gas-escape"


@pytest.mark.parametrize(
    ("hazards", "expected"),
    [
        (("gas",), ("gas-escape", "co-suspected")),
        (("mains",), ("mains-danger",)),
        (("gas", "mains"), ("gas-escape", "co-suspected", "mains-danger")),
        (("high-current",), ("auto-electrician",)),
        (("mains", "high-current"), ("mains-danger",)),
        ((), ("workshop",)),
    ],
)
def test_where_danger_leads_follows_from_the_hazards_of_the_tree(hazards, expected):
    from dataclasses import replace

    tree = heater(refer_to="workshop", checks={}, ask_first=())
    bare = {
        id: replace(
            event,
            hazards=frozenset(hazards),
            remedy=event.remedy and replace(event.remedy, hazards=frozenset(hazards)),
        )
        for id, event in tree.events.items()
    }
    assert set(hazards) <= set(HAZARDS)
    assert danger_referrals(replace(tree, events=bare)) == expected


def test_several_stops_show_all_their_texts_the_firmest_first():
    walk, _ = begun(findings=[Finding("hob", "yellow"), Finding("co-alarm", "sounds-or-ill")])
    assert [referral.id for referral in walk.view().referrals] == ["co-suspected", "gas-engineer"]


def test_a_volunteered_stop_answer_stops_at_once():
    walk, _ = at_the_hob()
    walk.answer("none")
    assert isinstance(walk.volunteer("hob", "yellow"), Stopped)


def record(entries, state="open", case=1, vehicle="", referral="", opened=MONDAY):
    return CaseRecord(
        case,
        "heater",
        "digest-1",
        "owner",
        state,
        opened,
        opened,
        vehicle,
        referral,
        entries=tuple(entries),
    )


def test_a_stopped_case_cannot_be_resumed():
    walk, journal = at_the_hob()
    walk.danger()
    with pytest.raises(CaseStopped):
        Walk.resume(walk.tree, Order(walk.tree), journal, HandClock(), record(journal.lines, "stopped"))


def test_a_case_that_broke_off_while_it_was_being_stopped_cannot_be_resumed_either():
    walk, journal = at_the_hob()
    walk.danger()
    journal.state = "open"
    with pytest.raises(CaseStopped):
        Walk.resume(walk.tree, Order(walk.tree), journal, HandClock(), record(journal.lines, "open"))
    assert journal.state == "stopped"


def test_a_new_walk_after_a_stop_first_asks_whether_the_vehicle_was_cleared():
    walk, journal = begun(setting=Setting(stopped_by="gas-escape"))
    asked = walk.view()
    assert isinstance(asked, ClearedQuestion)
    assert asked.stopped_by.id == "gas-escape"
    assert walk.answer("yes").check == "smell-of-gas"
    assert journal.lines[0].kind == "cleared"


def test_a_stop_since_the_case_was_left_off_has_to_be_cleared_though_an_older_one_was():
    walk, journal = begun(setting=Setting(stopped_by="gas-escape"))
    walk.cleared(True)
    walk.leave_off()
    again = Walk.resume(
        walk.tree,
        Order(walk.tree),
        journal,
        HandClock(),
        record(journal.lines, "left-off"),
        setting=Setting(stopped_by="co-suspected"),
    )
    assert isinstance(again.view(), ClearedQuestion)
    assert again.view().stopped_by.id == "co-suspected"


@pytest.mark.parametrize(
    "say_no", [lambda w: w.answer("no"), lambda w: w.not_sure(), lambda w: w.cleared(False)]
)
def test_without_a_clear_yes_it_stays_stopped(say_no):
    walk, journal = begun(setting=Setting(stopped_by="gas-escape"))
    stopped = say_no(walk)
    assert isinstance(stopped, Stopped)
    assert [referral.id for referral in stopped.referrals] == ["gas-escape"]
    assert "until somebody qualified has cleared it" in stopped.first
    assert journal.state == "stopped"


def test_the_last_case_of_the_vehicle_tells_whether_it_was_stopped():
    stop = record([], "stopped", 1, "blue van", "gas-escape")
    later = MONDAY.replace(hour=12)
    cleared = record(
        [Entry(later, "cleared", "gas-escape", "yes", number=1)], "open", 2, "Blue Van", opened=later
    )
    empty = record([], "open", 3, "blue van", opened=later)
    assert stopped_by([stop], "blue van") == "gas-escape"
    assert stopped_by([stop], "red van") is None
    assert stopped_by([cleared, stop], "blue van") is None
    assert stopped_by([empty, stop], "blue van") == "gas-escape"


def test_what_was_only_known_ahead_clears_no_older_stop():
    stop = record([], "stopped", vehicle="blue van", referral="gas-escape")
    ahead = Entry(MONDAY, "finding", "hob", "none", ahead=True, number=1)
    for state in ("open", "left-off", "cured"):
        logged = record([ahead], state, case=2, vehicle="blue van")
        assert stopped_by([logged, stop], "blue van") == "gas-escape"
    later = MONDAY.replace(hour=12)
    told = Entry(later, "finding", "hob", "none", number=2)
    answered = record([ahead, told], "left-off", case=2, opened=later)
    assert stopped_by([answered, record([], "stopped", referral="gas-escape")], "") is None


def test_a_walk_that_was_taken_up_again_stops_the_vehicle_though_a_newer_one_was_walked_meanwhile():
    at = [MONDAY + timedelta(hours=hour) for hour in range(5)]
    walked = Entry(at[2], "finding", "hob", "none", number=1)
    stop = replace(record([], "stopped", 1, referral="gas-escape", opened=at[0]), changed=at[3])
    newer = replace(record([walked], "left-off", 2, opened=at[1]), changed=at[2])
    assert stopped_by([stop, newer], "") == "gas-escape"
    # The newer one may be walked on beside it, by somebody else; only its clearance would count.
    told = replace(walked, time=at[4], number=2)
    assert stopped_by([replace(newer, entries=(walked, told), changed=at[4]), stop], "") == "gas-escape"
    yes = Entry(at[4], "cleared", "gas-escape", "yes", number=2)
    assert stopped_by([replace(newer, entries=(walked, yes), changed=at[4]), stop], "") is None
    # A stop that was cleared already when the newer walk was begun stays cleared.
    assert stopped_by([newer, replace(stop, changed=at[0])], "") is None


def test_a_stop_that_was_only_just_written_down_counts_for_the_next_walk():
    walk, journal = at_the_hob()
    walk.answer("yellow")
    assert stopped_by([record(journal.lines, "open")], "", lambda _: walk.tree) == "gas-engineer"
