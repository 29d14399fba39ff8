"""`diagnose round --code` with what a phone shows: one round however often; a stop stops, none is cleared."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from diagnose.cases.rounds_records import RoundLine
from diagnose.cases.rounds_store import note, rounds_kept
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.rounds.code_parts import begun
from diagnose.rounds.phone_code import DayMark, PhoneRound, Stop, phone_code, texts_tag

LIBRARY = Library()
FACTS = LIBRARY.common().facts
JOURNEY = LIBRARY.round("journey")
BEGAN = datetime.now(UTC).replace(second=0, microsecond=0) - timedelta(days=3)
FIRST, THIRD = BEGAN.date(), BEGAN.date() + timedelta(days=2)
TOLD = PhoneRound(
    "3fa9",
    BEGAN,
    BEGAN + timedelta(days=2, hours=1),
    None,
    texts_tag(JOURNEY),
    {"build": "caravan"},
    {
        "j4-lamps": DayMark("fine", FIRST),
        "w4-tyres": DayMark("wrong", FIRST),
        "j2-gas": DayMark("not-done", THIRD),
    },
)


@pytest.fixture
def brought(run, tmp_path):
    """`brought(told)` brings a phone's round of van 7; the run and the rounds that are kept then."""

    def bring(told, *words, vehicle="van 7", round=JOURNEY):
        code = phone_code(told, round, FACTS, "Van 7")
        ran = run("round", "--code", code, *(("--vehicle", vehicle) if vehicle else ()), *words)
        with open_store(str(tmp_path / "cases.sqlite")) as store:
            return ran, list(rounds_kept(store))[::-1]

    return bring


def marked(record):
    return {line.subject: (line.answer, line.time.date()) for line in record.lines if line.noted == "mark"}


def test_all_of_a_phones_round_comes_in_with_its_days_and_the_same_code_twice_is_one_round(brought):
    ran, (record,) = brought(TOLD)
    assert (ran.code, ran.err) == (0, "")
    assert f"3 marks of the phone 3fa9, begun on {BEGAN:%Y-%m-%d at %H:%M} UTC, kept in round 1.\n" in ran.out
    assert "NOT READY" in ran.out
    assert (record.begun, record.who, record.stage, record.digest) == (
        BEGAN,
        "phone 3fa9",
        "left-off",
        JOURNEY.digest,
    )
    assert marked(record) == {id: (mark.end, mark.day) for id, mark in TOLD.marks.items()}
    facts = [(line.subject, line.answer) for line in record.lines if line.noted == "fact"]
    assert facts == [("build", "caravan")]
    assert max(line.time for line in record.lines) == TOLD.changed
    again, rounds = brought(TOLD, vehicle="VAN 7")
    assert again.out.startswith("Nothing new: this is here already, in round 1.")
    assert rounds == [record]


def test_a_later_code_of_the_round_adds_what_is_new_and_an_earlier_one_nothing(brought):
    brought(TOLD)
    marks = {**TOLD.marks, "j2-gas": DayMark("fine", THIRD)}
    del marks["j4-lamps"]
    later = replace(TOLD, changed=TOLD.changed + timedelta(hours=1), marks=marks)
    _, (record,) = brought(later)
    # What was taken back on the phone since is not done.
    assert marked(record) == {
        "j4-lamps": ("not-done", later.changed.date()),
        "w4-tyres": ("wrong", FIRST),
        "j2-gas": ("fine", THIRD),
    }
    ran, rounds = brought(TOLD)
    assert "Nothing new" in ran.out
    assert rounds == [record]


def test_what_somebody_marked_later_here_stays(brought, tmp_path):
    brought(TOLD)
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        note(store, 1, [RoundLine(datetime.now(UTC), "mark", "j4-lamps", "wrong", "A.")])
    _, (record,) = brought(replace(TOLD, changed=TOLD.changed + timedelta(minutes=1)))
    assert marked(record)["j4-lamps"][0] == "wrong"


def test_a_stop_stops_the_vehicle_here_and_coming_again_it_undoes_no_clearance(run, brought):
    stopped = replace(TOLD, stop=Stop("gas-escape", TOLD.changed))
    # Cleared of something else, after the danger and before anybody here knew of it.
    run("round", "journey", "--vehicle", "van 7", typed="danger\n")
    run("round", "journey", "--vehicle", "van 7", typed="on\nyes\nleave off\n")
    ran, rounds = brought(stopped)
    assert (ran.code, rounds[0].who, rounds[0].stage) == (0, "phone 3fa9", "stopped")
    assert "Danger stopped it on the phone, so the vehicle is stopped here too." in ran.out
    asked = run("round", "--resume", "2", typed="yes\nleave off\n")
    assert "Danger stopped this vehicle. Has somebody qualified looked at that" in asked.out
    again, rounds = brought(stopped)
    assert "Nothing new" in again.out
    assert rounds[0].stage != "stopped"
    assert (
        "Has somebody qualified"
        not in run("walk", "hob-goes-out", "--vehicle", "van 7", typed="leave off\n").out
    )


def test_a_phones_round_of_a_vehicle_that_is_stopped_here_comes_in_and_clears_nothing(run, brought):
    run("walk", "hob-goes-out", "--vehicle", "van 7", typed="danger\n")
    marks = dict.fromkeys(JOURNEY.tasks, DayMark("fine", THIRD))
    ran, _ = brought(replace(TOLD, marks=marks))
    assert ran.code == 0
    assert "NOT READY" in ran.out
    assert "nobody qualified has cleared" in " ".join(ran.out.split())
    again = run("round", "journey", "--vehicle", "van 7", typed="no\n")
    assert "Has somebody qualified" in again.out


def test_of_a_round_that_asks_something_else_by_now_only_its_stop_is_taken(brought):
    tasks = dict(list(JOURNEY.tasks.items())[1:])
    other = replace(JOURNEY, tasks=tasks)
    marks = {id: mark for id, mark in TOLD.marks.items() if id in tasks}
    ran, rounds = brought(replace(TOLD, marks=marks), round=other)
    assert (ran.code, ran.out, rounds) == (1, "", [])
    assert ran.err.startswith("nothing was kept: the journey round asks something else now than when")
    ran, (record,) = brought(replace(TOLD, marks=marks, stop=Stop("recovery", TOLD.changed)), round=other)
    assert (ran.code, record.stage, marked(record)) == (1, "stopped", {})
    assert ran.err.startswith("danger stopped this round, so round 1 is stopped here; the journey round asks")


def test_texts_that_have_changed_since_are_told(brought):
    ran, (record,) = brought(replace(TOLD, texts=(TOLD.texts + 1) % 1024))
    assert "Texts of this round have changed since the phone's page was made" in ran.out
    assert record.digest != JOURNEY.digest


def test_a_date_that_is_over_is_wrong_by_itself(brought, tmp_path):
    (tmp_path / "van.yaml").write_text(
        "label: Van 7\nfacts: {build: motorhome}\ndates: {tyres: 2010-03-01}\n"
    )
    marks = {"w4-tyres": DayMark("fine", FIRST)}
    _, (record,) = brought(replace(TOLD, marks=marks), vehicle="./van.yaml")
    assert marked(record) == {"w4-tyres": ("wrong", FIRST)}
    assert record.lines[0].note.endswith("Nothing else was wrong.")
    # The card wins over what was answered on the phone.
    assert [line.noted for line in record.lines] == ["mark"]


@pytest.mark.parametrize(
    ("words", "vehicle", "told"),
    [
        ((), "", "this code is of a vehicle that has a name: name it with --vehicle"),
        ((), "van 8", 'this code is of another vehicle than "van 8"'),
        (("--by", "A."), "van 7", "leave out --resume and --by"),
    ],
)
def test_what_does_not_go_with_a_phones_code_is_told(brought, words, vehicle, told):
    ran, rounds = brought(TOLD, *words, vehicle=vehicle)
    assert (ran.code, ran.out, rounds) == (2, "", [])
    assert told in ran.err


@pytest.mark.parametrize("wrong", ["days", "rest"])
def test_a_code_that_no_round_can_have_come_to_is_refused(run, wrong):
    from diagnose.cases.codes import written

    if wrong == "days":
        code = phone_code(replace(TOLD, changed=BEGAN + timedelta(days=40)), JOURNEY, FACTS, "Van 7")
    else:
        code = written(begun("phone", JOURNEY, FACTS, "Van 7").even(10**90 - 1, 10**90).number())
    ran = run("round", "--code", code, "--vehicle", "van 7")
    assert (ran.code, ran.out) == (2, "")
    assert "this code is not right" in ran.err


def test_a_day_is_read_as_it_was_written_whatever_the_hour():
    told = replace(
        TOLD, began=datetime(2026, 3, 1, 23, 59, tzinfo=UTC), changed=datetime(2026, 3, 2, 0, 1, tzinfo=UTC)
    )
    assert told.time_of(DayMark("fine", date(2026, 3, 1))) == told.began
    assert told.time_of(DayMark("fine", date(2026, 3, 2))) == told.changed
