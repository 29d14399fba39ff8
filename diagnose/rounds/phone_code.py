"""The code of a round that was gone through on a phone: everything that came of it, for the program's store.

Behind what all codes of rounds begin with stand, first to last: the phone's short name (of 16^4), the minute
in which the round began, in UTC, since 1970 (of 2^23: it comes round after nearly sixteen years), how many
minutes later its last answer was (sized), whether danger stopped it (weights 15 for no, 1 for yes) and, if
so, to whom that led (of 6) and how many minutes after the beginning (sized); a tag of the round's texts (of
1024); the days over which it was marked, less one (sized). Then each fact (weights with n answers: 2n for not
asked, 2 for each answer, 1 for *not sure*), and each task (4 for no mark, then 8, 2, 2, 1 for the ends, and 1
for what was wrong by nothing but a date of the card), a mark that may be of several days followed by its own,
counted from the first (of as many as there are).

What is sized comes in one of three sizes, the first of which is the likeliest. A mark is known by its day
alone. Where its time matters, such as for a wait that has to run, the latest that it can have been is taken.
A code holds no note, no name and no clearance: nothing in it says that a stopped vehicle may be used again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta

from diagnose.cases.codes import WrongCode, written
from diagnose.cases.packing import Packer, Unpacker
from diagnose.rounds.brought import facts_of
from diagnose.rounds.code_parts import TAGS, Head, begun, tag
from diagnose.terms import NOT_SURE, Check
from diagnose.terms.rounds import TASK_ENDS, Round, TaskEnd

ORIGINS = 16**4
MINUTES = 2**23
LATER = (512, 32768, MINUTES)
"""Minutes after the beginning come in these sizes."""
DAYS = (1, 16, 1024)
SIZES_WEIGHTS = (6, 3, 1)
STOPS = ("gas-escape", "co-suspected", "mains-danger", "auto-electrician", "recovery", "workshop")
"""Whom danger leads to; anybody else counts as the last."""
STOPPED_WEIGHTS = (15, 1)
OF_DATE = "of-date"
ENDS = (*TASK_ENDS, OF_DATE)
ENDS_WEIGHTS = (4, 8, 2, 2, 1, 1)
"""No mark, then the ends in their order, then *wrong* for nothing but a date that was over."""
_MINUTE = timedelta(minutes=1)
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Stop:
    """Danger, and when it was told."""

    referral: str
    time: datetime


@dataclass(frozen=True, slots=True)
class DayMark:
    """How a task ended, and the day on which it was marked, in UTC."""

    end: TaskEnd
    day: date
    of_date: bool = False
    """Whether it was wrong for nothing but a date of the card that was over."""


@dataclass(frozen=True, slots=True)
class PhoneRound:
    """What a phone's code says."""

    origin: str
    """The phone's short name, four hexadecimal digits."""
    began: datetime
    changed: datetime
    """When the last answer was given, to the minute."""
    stop: Stop | None = None
    texts: int = 0
    """A tag of the round's texts as the phone has them."""
    facts: Mapping[str, str] = field(default_factory=dict)
    marks: Mapping[str, DayMark] = field(default_factory=dict)
    readable: bool = True
    """Whether facts and marks could be read: not where the round asks something else than the phone does."""

    @property
    def label(self) -> str:
        """What stands beside its marks for whoever made them."""
        return f"phone {self.origin}"

    def time_of(self, mark: DayMark) -> datetime:
        """The latest time at which a mark can have been made."""
        return min(datetime.combine(mark.day, time(23, 59), UTC), self.changed)


def texts_tag(round: Round) -> int:
    """All files of a round as a short number."""
    return tag(round.digest, TAGS)


def fact_weights(check: Check) -> tuple[int, ...]:
    """How likely it is that a fact was not asked, has each answer, is not sure."""
    many = len(check.answer_ids())
    return (2 * many, *[2] * many, 1)


def phone_code(told: PhoneRound, round: Round, checks: Mapping[str, Check], vehicle: str) -> str:
    """The code as the phone writes it; raises ValueError for a round that is too long for one."""
    first = told.began.date()
    packer = begun("phone", round, checks, vehicle).even(int(told.origin, 16), ORIGINS)
    packer.even(_minutes(told.began) % MINUTES, MINUTES)
    _sized(packer, _minutes(told.changed) - _minutes(told.began), LATER)
    packer.weighed(0 if told.stop is None else 1, STOPPED_WEIGHTS)
    if told.stop is not None:
        leads = STOPS.index(told.stop.referral) if told.stop.referral in STOPS else len(STOPS) - 1
        packer.even(leads, len(STOPS))
        _sized(packer, _minutes(told.stop.time) - _minutes(told.began), LATER)
    packer.even(told.texts, TAGS)
    days = {id: (mark.day - first).days for id, mark in told.marks.items()}
    span = max(days.values(), default=0)
    _sized(packer, span, DAYS)
    for id, check in facts_of(round, checks).items():
        packer.weighed(_place(told.facts.get(id), (*check.answer_ids(), NOT_SURE)), fact_weights(check))
    for id in round.tasks:
        mark = told.marks.get(id)
        end = None if mark is None else OF_DATE if mark.of_date else mark.end
        packer.weighed(_place(end, ENDS), ENDS_WEIGHTS)
        if mark is not None and span:
            packer.even(days[id], span + 1)
    return written(packer.number())


def read_phone(head: Head, round: Round, checks: Mapping[str, Check], now: datetime) -> PhoneRound:
    """What a phone's code says; raises WrongCode for what no round can have come to.

    Where the round asks something else now than when the page was made, that there was danger is still read,
    and neither facts nor marks are.
    """
    rest = head.rest
    origin = f"{rest.even(ORIGINS):04x}"
    began = _began(rest.even(MINUTES), now)
    changed = began + _unsized(rest, LATER) * _MINUTE
    stop = None
    if rest.weighed(STOPPED_WEIGHTS):
        referral = STOPS[rest.even(len(STOPS))]
        stop = Stop(referral, began + _unsized(rest, LATER) * _MINUTE)
    texts = rest.even(TAGS)
    if not head.fits(round, checks):
        return PhoneRound(origin, began, changed, stop, texts, readable=False)
    span = _unsized(rest, DAYS)
    facts: dict[str, str] = {}
    marks: dict[str, DayMark] = {}
    for id, check in facts_of(round, checks).items():
        if place := rest.weighed(fact_weights(check)):
            facts[id] = (*check.answer_ids(), NOT_SURE)[place - 1]
    for id in round.tasks:
        if place := rest.weighed(ENDS_WEIGHTS):
            day = began.date() + timedelta(days=rest.even(span + 1) if span else 0)
            of_date = ENDS[place - 1] == OF_DATE
            marks[id] = DayMark("wrong" if of_date else TASK_ENDS[place - 1], day, of_date)
    if rest.left or changed > now + timedelta(days=1):
        raise WrongCode("this code is not right; look at it again, or have it read out")
    return PhoneRound(origin, began, changed, stop, texts, facts, marks)


def _began(minute: int, now: datetime) -> datetime:
    """The latest such minute up to a day from now: a phone's clock may be a little ahead of this one."""
    latest = _minutes(now) + 24 * 60
    return _EPOCH + (latest - (latest - minute) % MINUTES) * _MINUTE


def _minutes(moment: datetime) -> int:
    return (moment - _EPOCH) // _MINUTE


def _place(answer: str | None, answers: Sequence[str]) -> int:
    return answers.index(answer) + 1 if answer in answers else 0


def _sized(packer: Packer, number: int, sizes: Sequence[int]) -> None:
    """A number in the smallest size that holds it. Raises ValueError for one that none holds."""
    below = 0
    for place, many in enumerate(sizes):
        if number < below + many:
            packer.weighed(place, SIZES_WEIGHTS).even(number - below, many)
            return
        below += many
    raise ValueError(f"{number} is more than any code holds")


def _unsized(unpacker: Unpacker, sizes: Sequence[int]) -> int:
    place = unpacker.weighed(SIZES_WEIGHTS)
    return sum(sizes[:place]) + unpacker.even(sizes[place])
