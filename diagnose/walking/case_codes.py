"""What the code of an ended case carries, and how it is read again: on the sheet as letters and digits.

A code says which case of which store it is, of what symptom, by which version of its tree, how it ended and
in which month it began, what was found and what was tried. It has no vehicle in it, and no reading: a reading
goes as the band that held it. docs/codes.md describes the format with an example.

What was found is told by places in the tree's own order. So a code can only be read in full with a tree that
asks the same and knows the same causes: the code carries a short digest of just that, its *shape*, under the
first names that ids ever had. Shares, texts and renamings may change; a new check or cause is another shape.
With another shape the case is still known, but neither its findings nor the numbers of its outcomes are: that
is said, and nothing is guessed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime

from diagnose.cases.codes import WrongCode, number_of, written
from diagnose.cases.packing import Packer, Unpacker
from diagnose.cases.records import CaseRecord, Entry
from diagnose.terms import COULD_NOT, NOT_CURED, NOT_SURE, DiagnoseError, Finding, Role, State, Tree
from diagnose.walking.past import check_of, read_past
from diagnose.walking.renamed import placed

ENDS: tuple[State, ...] = ("referred", "stopped", "cured")
"""The ends that have a code, in the order in which it numbers them."""
ROLES: tuple[Role, ...] = ("owner", "technician")
TRIED = (NOT_CURED, COULD_NOT)

# The format. A change to any of these is another version.
VERSION, VERSIONS = 0, 3
ROUND = 2
"""Stands in the place of the version where a code is of a round (`rounds.code_parts`), not of a walk."""
MONTHS = 120
"""A code is good for nearly ten years: months are counted in a circle."""
ORIGINS = 16**4
SYMPTOMS = SHAPES = 1024
CASES = (16, 256, 16384, 2**31)
"""Numbers of cases come in four sizes; small ones are the likelier."""
CASES_WEIGHTS = (4, 4, 3, 1)
_NOT_TRIED = 8


class CodeOfARound(WrongCode):
    """The code is of a round, not of a walk."""

    def __init__(self) -> None:
        super().__init__(
            "this is the code of a round, not of a walk; to bring it in: diagnose round --code CODE"
        )


class LaterCode(DiagnoseError):
    """The code was made by a later version of the program."""

    def __init__(self) -> None:
        super().__init__("this code was made by a later version of the program; update this one to read it")


@dataclass(frozen=True, slots=True)
class CaseCode:
    """What a code says of itself, whatever tree is at hand."""

    state: State
    role: Role
    month: int
    """Months since the year nought, in a circle of ten years."""
    origin: str
    """The beginning of the store's name, four hexadecimal digits."""
    case: int
    """The case's number there."""
    symptom: int
    shape: int
    rest: int = field(repr=False)
    """What was found and tried; read by `contents`."""

    def opened(self, now: datetime) -> datetime:
        """The first day of the month in which the case was opened, in UTC: the latest that it can be.

        A clock that is a little ahead of this one may have put it into the month to come.
        """
        latest = _months(now) + 1
        year, month = divmod(latest - (latest - self.month) % MONTHS, 12)
        return datetime(year, month + 1, 1, tzinfo=UTC)

    def of_symptom(self, ids: Iterable[str]) -> tuple[str, ...]:
        """Those of the trees' ids that the code can be about: nearly always one at most."""
        return tuple(id for id in ids if symptom_tag(id) == self.symptom)

    def fits(self, record: CaseRecord) -> bool:
        """Whether a case is of this code's symptom and month."""
        same_month = _months(record.opened) % MONTHS == self.month
        return same_month and symptom_tag(record.symptom) == self.symptom


@dataclass(frozen=True, slots=True)
class Contents:
    """What was found and tried, in the ids of the tree that the code was made with, in its order."""

    findings: Mapping[str, str]
    """Check or fact -> answer, a band or *not sure*."""
    tried: Mapping[str, str]
    """Cut set -> `not-cured` or `could-not`."""
    readings: Mapping[str, Finding] = field(default_factory=dict)
    """Check -> the exact reading, where one came along beside the code."""

    def entries(self, time: datetime) -> tuple[Entry, ...]:
        """As lines of a journal, all of one time."""
        lines = [self._entry(time, check, answer) for check, answer in self.findings.items()]
        return (*lines, *(Entry(time, "tried", remedy, became) for remedy, became in self.tried.items()))

    def _entry(self, time: datetime, check: str, answer: str) -> Entry:
        exact = self.readings.get(check, Finding(check))
        return Entry(time, "finding", check, answer, exact.value, exact.uncertainty)


def code_of(record: CaseRecord, tree: Tree, origin: str) -> str:
    """The code of a case that has ended, in groups of four; nothing for any other, or one from elsewhere.

    Nothing, too, where more was found than a code can hold, which takes far over a hundred findings. `tree`
    is the case's tree as it is now, `origin` the name of the store (`CaseStore.origin`).
    """
    if record.state not in ENDS or record.source:
        return ""
    past = read_past(tree, record.entries)
    packer = Packer().even(VERSION, VERSIONS)
    packer.even(ENDS.index(record.state), len(ENDS)).even(ROLES.index(record.role), len(ROLES))
    packer.even(_months(record.opened) % MONTHS, MONTHS)
    packer.even(int(origin_tag(origin), 16), ORIGINS)
    packer.even(symptom_tag(tree.id), SYMPTOMS).even(shape_tag(tree), SHAPES)
    _pack_case(packer, record.case)
    found = {id: finding.answer for id, finding in past.findings.items()}
    for slot in finding_slots(tree):
        packer.weighed(slot.place(found.get(slot.id)), slot.weights)
    for slot in trial_slots(tree):
        packer.weighed(slot.place(past.tried.get(slot.id)), slot.weights)
    with suppress(ValueError):
        return written(packer.number())
    return ""


def read_code(text: str) -> CaseCode:
    """What a code says; `text` in any spelling. Raises WrongCode, LaterCode."""
    unpacker = Unpacker(number_of(text))
    version = unpacker.even(VERSIONS)
    if version == ROUND:
        raise CodeOfARound
    if version != VERSION:
        raise LaterCode
    state, role = ENDS[unpacker.even(len(ENDS))], ROLES[unpacker.even(len(ROLES))]
    month, origin = unpacker.even(MONTHS), f"{unpacker.even(ORIGINS):04x}"
    symptom, shape = unpacker.even(SYMPTOMS), unpacker.even(SHAPES)
    case = _unpack_case(unpacker)
    return CaseCode(state, role, month, origin, case, symptom, shape, unpacker.left)


def contents(code: CaseCode, tree: Tree) -> Contents | None:
    """What was found and tried, or None if the tree is not of the shape that the code was made with.

    Raises WrongCode for what no walk of this tree can have come to.
    """
    if code.symptom != symptom_tag(tree.id) or code.shape != shape_tag(tree):
        return None
    unpacker = Unpacker(code.rest)
    found = {slot.id: slot.answer(unpacker.weighed(slot.weights)) for slot in finding_slots(tree)}
    tried = {slot.id: slot.answer(unpacker.weighed(slot.weights)) for slot in trial_slots(tree)}
    if unpacker.left:
        raise WrongCode("this code is not right; have it read out again")
    return Contents(
        {id: answer for id, answer in found.items() if answer is not None},
        {id: became for id, became in tried.items() if became is not None},
    )


def in_todays_tree(lines: Sequence[Entry], tree: Tree) -> tuple[tuple[Entry, ...], tuple[str, ...]]:
    """The lines under the ids of this tree, and what has no place in it any more (an id with its answer)."""
    both = [(line, placed(tree, line)) for line in lines]
    gone = tuple(f"{line.subject}: {line.answer}" for line, today in both if today is None)
    return tuple(today for _, today in both if today is not None), gone


def origin_tag(origin: str) -> str:
    """The beginning of a store's name, by which codes know it."""
    return origin[:4]


def symptom_tag(id: str) -> int:
    """A tree's id as a short number."""
    return _tag(id, SYMPTOMS)


def shape_tag(tree: Tree) -> int:
    """What a tree asks and which causes it knows, in its order and by their first names, as a short number.

    The order of `was` is that in which names were given up: the first is the oldest.
    """
    firsts = {event.id: event.was[0] for event in tree.events.values() if event.was}
    firsts |= {check.id: check.was[0] for check in tree.checks.values() if check.was}
    parts = [["asked"], ["causes"]]
    for slot in finding_slots(tree):
        parts[0] += [firsts.get(slot.id, slot.id), *slot.answers, *map(str, slot.weights)]
    for causes in tree.cut_sets:
        tried = "tried" if _can_be_tried(tree, causes) else "left"
        parts[1] += ["+".join(firsts.get(id, id) for id in causes), tried]
    return _tag("\n".join(" ".join(part) for part in parts), SHAPES)


@dataclass(frozen=True, slots=True)
class Slot:
    """A place for one finding or trial: what can stand there, and how likely that is. Nothing comes first."""

    id: str
    answers: tuple[str, ...]
    weights: tuple[int, ...]

    def place(self, answer: str | None) -> int:
        """Where an answer stands; 0 for none, and for one that has no place here."""
        return self.answers.index(answer) + 1 if answer in self.answers else 0

    def answer(self, place: int) -> str | None:
        """The answer at that place, nothing at 0."""
        return self.answers[place - 1] if place else None


def finding_slots(tree: Tree) -> list[Slot]:
    """The tree's checks and facts in their order, then facts that only say which vehicles it is for."""
    found = []
    for id in dict.fromkeys([*tree.checks, *tree.applies_to]):
        check = check_of(tree, id)
        if check is None:
            continue
        ids = check.answer_ids()
        if id in tree.ask_first:
            weights = [1, 10, *[1] * len(ids)]  # nearly always asked, with the first answer
        elif check.fact:
            weights = [4 * len(ids), *[1] * len(ids), 1]
        else:
            weights = [2 * len(ids), *[2] * len(ids), 1]
        found.append(Slot(id, (*ids, NOT_SURE), tuple(weights)))
    return found


def trial_slots(tree: Tree) -> list[Slot]:
    """The cut sets that somebody can have tried to put right, in the tree's order."""
    weights = (_NOT_TRIED, *[1] * len(TRIED))
    return [Slot("+".join(causes), TRIED, weights) for causes in tree.cut_sets if _can_be_tried(tree, causes)]


def _can_be_tried(tree: Tree, causes: Sequence[str]) -> bool:
    remedies = [tree.events[id].remedy for id in causes]
    return all(remedy is not None and remedy.kind == "do" for remedy in remedies)


def _pack_case(packer: Packer, case: int) -> None:
    below = 1
    for place, many in enumerate(CASES):
        if case < below + many:
            packer.weighed(place, CASES_WEIGHTS).even(case - below, many)
            return
        below += many
    raise ValueError(f"no store has a case {case}")


def _unpack_case(unpacker: Unpacker) -> int:
    place = unpacker.weighed(CASES_WEIGHTS)
    return 1 + sum(CASES[:place]) + unpacker.even(CASES[place])


def _months(moment: datetime) -> int:
    utc = moment.astimezone(UTC)
    return utc.year * 12 + utc.month - 1


def _tag(text: str, many: int) -> int:
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big") % many
