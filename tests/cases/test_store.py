"""Cases and their journals, in each kind of store."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone

import pytest
from sqlalchemy.exc import StatementError

from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.refusals import CaseStopped, NoSuchCase
from diagnose.cases.store import CaseStore, open_store

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)
Found = Callable[..., Entry]


def test_a_case_comes_back_as_it_was_put_in(store: CaseStore, url: str) -> None:
    case = store.open_case("hob-goes-out", "abc", "owner", "the blue van – «Zoë»", NOON)
    reading = Entry(NOON + HOUR, "finding", "volts", "low", 11.3, 0.15, ahead=True)
    assert store.append(case, Entry(NOON, "shown", "gas")) == Entry(NOON, "shown", "gas", number=1)
    store.append(case, reading)
    store.close()
    with open_store(url) as again:
        assert again.case(case) == CaseRecord(
            case=case,
            symptom="hob-goes-out",
            tree_digest="abc",
            role="owner",
            state="open",
            opened=NOON,
            changed=NOON + HOUR,
            vehicle="the blue van – «Zoë»",
            entries=(
                Entry(NOON, "shown", "gas", number=1),
                Entry(NOON + HOUR, "finding", "volts", "low", 11.3, 0.15, ahead=True, number=2),
            ),
        )


def test_times_come_back_in_utc_to_the_microsecond(store: CaseStore) -> None:
    here = datetime(2026, 7, 1, 1, 2, 3, 456789, tzinfo=timezone(2 * HOUR))
    case = store.open_case("hob", "d", "owner", "", here)
    assert store.case(case).opened == here
    assert store.case(case).opened.isoformat() == "2026-06-30T23:02:03.456789+00:00"


def test_a_time_without_a_zone_is_not_taken(store: CaseStore) -> None:
    with pytest.raises(StatementError, match="has no time zone"):
        store.open_case("hob", "d", "owner", "", datetime(2026, 7, 1))
    assert store.cases() == ()


def test_an_end_and_a_reopening_are_kept(store: CaseStore, found: Found) -> None:
    case = store.open_case("hob", "d", "owner", "", NOON)
    store.append(case, found("a", "yes"))
    store.end_case(case, "cured", NOON + HOUR, points_to="cylinder-empty")
    ended = store.case(case)
    assert (ended.state, ended.points_to, ended.referral, ended.changed) == (
        "cured",
        "cylinder-empty",
        "",
        NOON + HOUR,
    )
    store.outcome_asked(case)
    store.reopen(case, NOON + 2 * HOUR)
    open_again = store.case(case)
    assert (open_again.state, open_again.points_to, open_again.asked_outcome) == ("open", "", False)
    assert len(open_again.entries) == 1
    store.end_case(case, "referred", NOON + 3 * HOUR, referral="gas-engineer")
    assert store.case(case).referral == "gas-engineer"


def test_there_is_no_way_back_out_of_a_stop(store: CaseStore) -> None:
    case = store.open_case("hob", "d", "owner", "", NOON)
    store.end_case(case, "stopped", NOON, referral="gas-escape")
    store.end_case(case, "stopped", NOON, referral="gas-escape")
    said = (
        f"case {case} was stopped for danger and cannot be taken up again; once somebody qualified has "
        "cleared the vehicle, start a new walk"
    )
    for attempt in (lambda: store.reopen(case, NOON), lambda: store.end_case(case, "cured", NOON)):
        with pytest.raises(CaseStopped) as refused:
            attempt()
        assert str(refused.value) == said
    assert store.case(case).state == "stopped"


def test_a_case_does_not_end_as_open(store: CaseStore) -> None:
    case = store.open_case("hob", "d", "owner", "", NOON)
    with pytest.raises(ValueError, match="does not end as open"):
        store.end_case(case, "open", NOON)


def test_a_number_without_a_case_is_told_by_every_command(store: CaseStore, found: Found) -> None:
    store.open_case("hob", "d", "owner", "", NOON)
    for attempt in (
        lambda: store.case(7),
        lambda: store.append(7, found("a", "yes")),
        lambda: store.end_case(7, "cured", NOON),
        lambda: store.reopen(7, NOON),
        lambda: store.confirm(7, "x", NOON),
        lambda: store.outcome_asked(7),
        lambda: store.case(10**30),
        lambda: store.case(-1),
    ):
        with pytest.raises(
            NoSuchCase, match=r"^there is no case [-0-9]+; `diagnose cases list` shows those there are$"
        ):
            attempt()


def test_cases_are_listed_newest_first_and_by_what_is_asked_for(store: CaseStore, found: Found) -> None:
    old = store.open_case("hob", "d", "owner", "", NOON)
    new = store.open_case("pump", "d", "technician", "", NOON + HOUR)
    same = store.open_case("hob", "d", "owner", "", NOON + HOUR)
    store.append(new, found("a", "yes"))
    store.append(old, found("b", "no"))
    store.end_case(old, "referred", NOON)
    store.confirm(old, "regulator", NOON)
    assert [case.case for case in store.cases()] == [same, new, old]
    assert [len(case.entries) for case in store.cases()] == [0, 1, 1]
    assert [case.case for case in store.cases(symptom="hob")] == [same, old]
    assert [case.case for case in store.cases(states=("referred", "cured"))] == [old]
    assert [case.case for case in store.cases(confirmed=False)] == [same, new]
    assert [case.case for case in store.cases(confirmed=True, symptom="pump")] == []
    limited = store.cases(limit=2)
    assert [(case.case, len(case.entries)) for case in limited] == [(same, 0), (new, 1)]


def test_a_vehicles_cases_come_by_their_last_lines_however_many_there_are(store: CaseStore) -> None:
    """A walk that was taken up again, and stopped, has to come before a newer one."""
    older = store.open_case("hob-goes-out", "abc", "owner", "van", NOON)
    newer = store.open_case("hob-goes-out", "abc", "owner", "VAN", NOON + HOUR)
    for day in range(12):
        store.open_case("hob-goes-out", "abc", "owner", "van", NOON - (day + 1) * 24 * HOUR)
    store.append(older, Entry(NOON + 2 * HOUR, "danger", "gas-escape"))
    came = [record.case for record in store.newest_first("van")]
    assert came == [older, newer, *range(3, 15)]


def test_the_oldest_ended_case_is_asked_about_once(store: CaseStore) -> None:
    assert store.awaiting_outcome() is None
    cases = [store.open_case("hob", "d", "owner", "", NOON + n * HOUR) for n in range(6)]
    early = store.open_case("hob", "d", "owner", "", NOON - HOUR)
    states = ("open", "left-off", "referred", "stopped", "cured", "referred")
    for case, state in zip(cases, states, strict=True):
        if state != "open":
            store.end_case(case, state, NOON)  # type: ignore[arg-type]
    store.end_case(early, "cured", NOON)
    store.confirm(cases[5], "x", NOON)
    asked = []
    while (waiting := store.awaiting_outcome()) is not None:
        asked.append(waiting.case)
        store.outcome_asked(waiting.case)
    assert asked == [early, cases[2], cases[3], cases[4]]
    assert store.case(early).asked_outcome


def test_text_from_a_walk_is_data_and_never_part_of_a_command(store: CaseStore, found: Found) -> None:
    nasty = "'); DROP TABLE cases; -- :x %(y)s \\"
    case = store.open_case(nasty, nasty, "owner", nasty, NOON)
    store.append(case, found(nasty, nasty))
    store.confirm(case, nasty, NOON)
    kept = store.case(case)
    assert (kept.symptom, kept.vehicle, kept.cause, kept.entries[0].subject) == (nasty,) * 4
    assert store.tally(nasty, NOON).answers == {(nasty, nasty, nasty): 1.0}
