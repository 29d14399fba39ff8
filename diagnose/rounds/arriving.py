"""What a phone's round adds to the one that is kept here: what is new of it, and never a clearance.

A phone's code tells where its round stands, not how it came to that. So what it says is compared with what is
here: what is here already is not noted again, and what somebody else has marked later stays.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from diagnose.cases.rounds_records import RoundLine
from diagnose.rounds.again import as_noted, only_its_date
from diagnose.rounds.past import RoundPast, past_of
from diagnose.rounds.phone_code import PhoneRound
from diagnose.terms.rounds import Round, Task

DATE_OVER = "A date of the card on the phone was over."
Overdue = Callable[[Task], Sequence[str]]
"""What the card's dates say is due about a task."""


def fresh_lines(
    told: PhoneRound,
    round: Round,
    here: Sequence[RoundLine],
    overdue: Overdue,
    carded: Mapping[str, str],
    now: datetime,
) -> tuple[RoundLine, ...]:
    """The lines to add to those that are here.

    A stop is noted as told now: whatever was cleared here before it came was not cleared of it. What the
    phone has taken back since an earlier code of it counts as not done. An earlier code that comes after a
    later one adds nothing but its stop.
    """
    past = past_of(round, here)
    found: list[RoundLine] = []
    own = [line.time for line in past.lines if line.who == told.label and line.noted in ("mark", "fact")]
    if told.readable and max(own, default=told.began) <= told.changed:
        found += _facts(told, past, carded)
        found += _marks(told, round, past, overdue)
    if told.stop is not None:
        when = f"told on the phone on {told.stop.time:%Y-%m-%d at %H:%M} UTC"
        if not any(line.noted == "danger" and line.note == when for line in here):
            found.append(RoundLine(now, "danger", "", told.stop.referral, told.label, when))
    return tuple(found)


def _facts(told: PhoneRound, past: RoundPast, carded: Mapping[str, str]) -> list[RoundLine]:
    return [
        RoundLine(told.changed, "fact", fact, answer, told.label)
        for fact, answer in told.facts.items()
        if fact not in carded and past.facts.get(fact) != answer
    ]


def _marks(told: PhoneRound, round: Round, past: RoundPast, overdue: Overdue) -> list[RoundLine]:
    found: list[RoundLine] = []
    for id, task in round.tasks.items():
        mark, before = told.marks.get(id), past.marks.get(id)
        own = before is not None and before.by == told.label
        if mark is None:
            if before is not None and own and before.end != "not-done":
                found.append(RoundLine(told.changed, "mark", id, "not-done", told.label))
            continue
        over = tuple(overdue(task))
        end, note = as_noted(mark.end, "", over)
        if mark.of_date:
            end, note = as_noted("fine", "", over or (DATE_OVER,))
        time = told.time_of(mark)
        if before is not None:
            as_before = (before.end, before.of_date, before.time.date())
            same = own and as_before == (end, only_its_date(end, note), mark.day)
            if same or (not own and before.time >= time):
                continue
        found.append(RoundLine(time, "mark", id, end, told.label, note))
    return sorted(found, key=lambda line: line.time)
