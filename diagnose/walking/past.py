"""What a journal says: which of its lines still hold, and what follows from them.

Going back adds a line that takes an earlier one back; nothing is ever removed. So what holds is worked out
anew from all lines each time, and reading the same lines always gives the same past.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from diagnose.cases.records import CaseRecord, Entry
from diagnose.terms import (
    COULD_NOT,
    CURED,
    NOT_CURED,
    NOT_SURE,
    Check,
    Event,
    Finding,
    Situation,
    Tree,
)
from diagnose.walking.renamed import placed

STEPS = frozenset({"finding", "tried", "cured-when", "unsure"})
"""The kinds of line that somebody's answer makes, and that `back` takes back."""
SMELL_OF_GAS = "smell-of-gas"
CO_ALARM = "co-alarm"
NONE_FITTED = "none-fitted"
BY_TIME = "time"
"""The subject of a `resumed` line that only says that the danger questions are too old."""
DANGER_ANSWERS_HOLD = timedelta(minutes=30)
TRIES_ARE_KEPT = timedelta(days=1)


def check_of(tree: Tree, id: str) -> Check | None:
    """The check or fact of that id, whether the tree expects anything of it or not."""
    return tree.checks.get(id) or tree.facts.get(id)


def causes_of(tree: Tree, cut_set: str) -> tuple[Event, ...]:
    """The causes of a cut set, by its id; empty where the tree has no such cut set."""
    ids = tuple(cut_set.split("+"))
    return tuple(tree.events[id] for id in ids) if ids in tree.cut_sets else ()


def remedy_hazards(tree: Tree, cut_set: str) -> frozenset[str]:
    """Every hazard of a cut set's remedy: those of its causes and of what is done about them."""
    causes = causes_of(tree, cut_set)
    own = [cause.remedy.hazards for cause in causes if cause.remedy is not None]
    return frozenset().union(*(cause.hazards for cause in causes), *own)


def stops(tree: Tree, check: Check, answer: str | None) -> bool:
    """Whether this answer ends a walk; at a danger question *not sure* does, too."""
    return answer in check.stop_on or (answer == NOT_SURE and check.id in tree.ask_first)


@dataclass(frozen=True, slots=True)
class Past:
    """A journal as read with one tree: ids are the tree's own, lines without a place in it are left out."""

    tree: Tree
    journal: tuple[Entry, ...]
    """Every line as it was written."""
    lines: tuple[Entry, ...]
    """All lines that have a place, also those that were taken back."""
    live: tuple[Entry, ...]
    """Those that hold."""

    @property
    def findings(self) -> Mapping[str, Finding]:
        """The latest finding of each check and fact."""
        return {line.subject: as_finding(line) for line in self.live if line.kind == "finding"}

    @property
    def tried(self) -> Mapping[str, str]:
        """Cut set -> `not-cured` or `could-not`; one that waits for its cured question is not here."""
        became: dict[str, str] = {}
        for line in self.live:
            if line.kind == "tried" and line.answer is not None:
                became[line.subject] = line.answer
            elif line.kind == "cured-when" and line.answer == "no":
                became[line.subject] = NOT_CURED
        return {remedy: how for remedy, how in became.items() if how in (NOT_CURED, COULD_NOT)}

    @property
    def situation(self) -> Situation:
        """What the arithmetic is asked about, in the tree's own order, whatever the order of the lines."""
        found, tried = self.findings, self.tried
        remedies = ["+".join(causes) for causes in self.tree.cut_sets]
        return Situation(
            {id: found[id] for id in self.tree.checks if id in found},
            {id: tried[id] for id in remedies if id in tried},
        )

    @property
    def to_be_cured(self) -> str | None:
        """The cut set whose remedy "works now", while the cured question is open.

        A yes holds until the case is taken up again: then it is asked anew.
        """
        waiting: str | None = None
        for line in self.live:
            if line.kind == "tried" and line.answer == CURED:
                waiting = line.subject
            elif line.kind == "cured-when" and line.subject == waiting:
                if line.answer == "no" or line.number > self.last_resumed:
                    waiting = None
            elif line.kind == "tried" and line.subject == waiting:
                waiting = None
        return waiting

    @property
    def cured(self) -> str | None:
        """The cut set that a yes to the cured question points to."""
        yes = [line for line in self.live if line.kind == "cured-when" and line.answer == "yes"]
        return yes[-1].subject if yes and yes[-1].number > self.last_resumed else None

    @property
    def last_resumed(self) -> int:
        """The number of the line by which the case was last taken up again, or 0."""
        again = [line.number for line in self.live if line.kind == "resumed" and line.subject != BY_TIME]
        return max(again, default=0)

    @property
    def danger_answers_from(self) -> int:
        """Answers to danger questions hold from this line on."""
        return max((line.number for line in self.live if line.kind == "resumed"), default=0)

    def asked_since(self, number: int) -> Mapping[str, Entry]:
        """The latest line of each check that was asked after that line (findings given ahead were not)."""
        return {
            line.subject: line
            for line in self.live
            if line.kind == "finding" and not line.ahead and line.number > number
        }

    def danger_answers_old(self, now: datetime) -> bool:
        """Whether a danger question was answered half an hour ago (or later than now: clocks are set)."""
        asked = self.asked_since(self.danger_answers_from)
        ages = [abs(now - asked[id].time) for id in self.tree.ask_first if id in asked]
        return any(age > DANGER_ANSWERS_HOLD for age in ages)

    def gas_remedies(self, live: bool) -> frozenset[str]:
        """Remedies under gas that were said to be done, or left, since gas was last smelt for.

        With `live` those that hold; without, those taken back: hands were on the gas all the same.
        """
        smelt = self.asked_since(0).get(SMELL_OF_GAS)
        since = smelt.number if smelt is not None else 0
        holds = {line.number for line in self.live}
        return frozenset(
            line.subject
            for line in self.lines
            if line.kind == "tried"
            and line.number > since
            and (line.number in holds) == live
            and "gas" in remedy_hazards(self.tree, line.subject)
        )

    def starts(self, now: datetime) -> int:
        """How many tries are used up; those taken back, or without a place by now, are counted for a day."""
        holds = {line.number for line in self.live}
        return sum(
            is_start(self.tree, line)
            for line in self.journal
            if line.number in holds or now - line.time <= TRIES_ARE_KEPT
        )

    @property
    def starts_in_situation(self) -> int:
        """How many of them the arithmetic knows of by itself."""
        situation = self.situation
        checks = [check_of(self.tree, id) for id in situation.findings]
        started = sum(check is not None and check.starts for check in checks)
        return started + sum(how == NOT_CURED for how in situation.tried.values())

    def restored(self) -> bool:
        """Whether the mains were restored in a line that holds or was taken back."""
        return any(restores(self.tree, line) for line in self.lines)

    def places(self) -> frozenset[str]:
        """Where somebody has been already: getting there is paid once."""
        been: set[str] = set()
        for line in self.live:
            if line.kind == "finding" and (check := check_of(self.tree, line.subject)) and check.at:
                been.add(check.at)
            if line.kind == "tried":
                remedies = [cause.remedy for cause in causes_of(self.tree, line.subject)]
                been.update(remedy.at for remedy in remedies if remedy is not None and remedy.at)
        return frozenset(been)


def was_walked(record: CaseRecord) -> bool:
    """Whether anybody walked the case in this store: only a walk is still open, says to whom it was handed or
    what its cure points to, or has lines that somebody was asked for.
    """
    if record.source:
        return False
    ends_as_a_walk = bool(record.referral or record.points_to or record.state in ("open", "left-off"))
    return ends_as_a_walk or any(not entry.ahead for entry in record.entries)


def read_past(tree: Tree, journal: Sequence[Entry]) -> Past:
    """The journal as this tree reads it."""
    taken_back = {int(line.subject) for line in journal if line.kind == "back" and line.subject.isdigit()}
    lines = tuple(line for each in journal if (line := placed(tree, each)) is not None)
    live = tuple(line for line in lines if line.number not in taken_back)
    return Past(tree, tuple(journal), lines, live)


def as_finding(line: Entry) -> Finding:
    """The finding that a line holds."""
    return Finding(line.subject, line.answer, line.value, line.uncertainty)


def is_start(tree: Tree, line: Entry) -> bool:
    """Whether a line used up a try: a check that starts the appliance, or a remedy's trial."""
    if line.kind == "tried":
        return line.answer in (CURED, NOT_CURED)
    check = check_of(tree, line.subject) if line.kind == "finding" else None
    return check is not None and check.starts


def restores(tree: Tree, line: Entry) -> bool:
    """Whether a line switched the mains on again."""
    if line.kind == "tried" and line.answer != COULD_NOT:
        remedies = [cause.remedy for cause in causes_of(tree, line.subject)]
        return any(remedy is not None and remedy.restores_mains for remedy in remedies)
    check = check_of(tree, line.subject) if line.kind == "finding" else None
    return check is not None and check.restores_mains
