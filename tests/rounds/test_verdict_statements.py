"""The record of a round in words: what screen, paper and programs share."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.collection import Library
from diagnose.rounds.verdict import judged
from diagnose.rounds.verdict_statements import LAID_UP, WHO_ANSWERS, told
from diagnose.terms.rounds import ROUNDS, TASK_ENDS, TaskMark
from diagnose.walking.views import NO_CERTIFICATE

TODAY = date(2026, 11, 29)
NOW = datetime(2026, 11, 29, 9, tzinfo=UTC)
LIBRARY = Library()
DATES = {"gas-check": date(2026, 3, 3), "mains-check": date(2025, 3, 3)}


def record(id, ends, dates=DATES, notes=(), **known):
    marks = [
        TaskMark(task, ends.get(task, "fine"), NOW, note=dict(notes).get(task, ""), case=known.get(task))
        for task in LIBRARY.round(id).tasks
    ]
    stopped = known.get("stopped", False)
    return judged(LIBRARY.round(id), marks, VehicleCard(dates=dates), TODAY, stopped=stopped)


def test_a_record_of_a_limited_vehicle_says_why_what_stays_unused_what_is_unchecked_and_who_answers():
    ends = {"w15-hob": "wrong", "w13-toilet": "not-done"}
    dates = {"gas-hose": date(2022, 1, 9), "tyres": date(2020, 3, 2), "alarm": date(2030, 1, 1)}
    found = record("wake-up", ends, {**dates, "gas-check": date(2024, 3, 3)}, [("w15-hob", "yellow flame")])
    assert told(found).lines() == (
        "LIMITED: not everything is ready to be used.",
        "Why:",
        "- Wrong: Light each hob ring, then listen when it is out. Noted: yellow flame.",
        "Must not be used:",
        "- The toilet.",
        "- The hob.",
        "Unchecked:",
        "- Gas: a gas engineer's check is overdue since 3 March 2025, 20 months.",
        "- Mains: the card has no day of an electrician's check.",
        "Not done:",
        "- Try the toilet's seal, blade and flush.",
        "Dates:",
        "- Gas hose: due in 41 days, on 9 January 2027.",
        "- Gas alarm: unknown, no date is on the card. Its end is printed on the alarm.",
        WHO_ANSWERS,
        NO_CERTIFICATE,
    )


def test_what_leaves_it_not_ready_stands_under_why_also_when_it_was_not_done():
    words = told(record("wake-up", {"w4-tyres": "not-done"}))
    assert words.headline == "NOT READY to be used."
    assert words.reasons == ("Not done: Look at every tyre, inner walls too.",)
    assert words.not_done == ("Look at every tyre, inner walls too.",)


@pytest.mark.parametrize(
    ("id", "headline"),
    [
        ("wake-up", "READY to be used: nothing that this round looks at was found wrong."),
        ("journey", "READY for the journey: nothing that this round looks at was found wrong."),
        ("hand-over", "READY to be handed over: nothing that this round looks at was found wrong."),
        ("lay-up", "READY to be left standing: nothing that this round looks at was found wrong."),
    ],
)
def test_ready_says_what_for_and_certifies_nothing(id, headline):
    words = told(record(id, {}))
    assert words.headline == headline
    assert words.reasons == words.must_not_use == words.unchecked == words.not_done == ()
    assert words.closing[-2:] == (WHO_ANSWERS, NO_CERTIFICATE)
    assert words.closing[:-2] == ((LAID_UP,) if id == "lay-up" else ())


@pytest.mark.parametrize(
    ("ends", "known", "says"),
    [
        ({}, {"stopped": True}, "Danger was told, and nobody qualified has cleared the vehicle since."),
        (
            {"w15-hob": "wrong"},
            {"w15-hob": 12},
            "Wrong: Light each hob ring, then listen when it is out (case 12).",
        ),
        (
            {"p19-alarms": "not-fitted"},
            {},
            "No alarm is fitted: nobody sleeps inside and nothing burns inside until there is one for carbon "
            "monoxide.",
        ),
    ],
)
def test_reasons_in_words(ends, known, says):
    assert told(record("wake-up", ends, **known)).reasons == (says,)


def test_a_case_is_told_with_what_is_still_wanted_of_it():
    round = LIBRARY.round("wake-up")
    others = [TaskMark(task, "fine", NOW) for task in round.tasks if task != "w15-hob"]
    wrong, fine = TaskMark("w15-hob", "wrong", NOW, case=3), TaskMark("w15-hob", "fine", NOW)
    card = VehicleCard(dates=DATES)
    still = told(judged(round, [*others, wrong, fine], card, TODAY))
    assert still.reasons[0].endswith("called fine, yet case 3 that it opened has come to no good end.")
    again = told(judged(round, [*others, wrong], card, TODAY, settled={3}))
    assert again.reasons[0].endswith("case 3 came to a good end; look at it once more and mark it.")


def test_a_drivers_paper_is_not_named():
    found = record("journey", {}, {**DATES, "medical": date(2026, 1, 1), "licence": date(2026, 12, 5)})
    assert found.verdict == "not-ready"
    shown = "\n".join(told(found).lines())
    assert "medical" not in shown.lower()
    assert "licence" not in shown.lower()
    assert "A paper of the driver's is past its date; the card says which." in shown


@settings(max_examples=30)
@given(st.sampled_from(ROUNDS), st.data())
def test_nothing_is_ever_called_safe(id, data):
    ends = {task: data.draw(st.sampled_from(TASK_ENDS)) for task in LIBRARY.round(id).tasks}
    found = record(id, ends, data.draw(st.sampled_from([{}, DATES])))
    lines = told(found).lines()
    assert [line for line in lines if "safe" in line.lower()] == [NO_CERTIFICATE]
    assert not any(word in line.lower() for line in lines for word in ("guarantee", "approved", "passed"))
