"""What the codes of rounds have in common: how they begin, and the short numbers by which they know things.

A code of a round is packed as `cases.packing` does, first to last: `ROUNDS` of `VERSIONS` (what says in a
walk's code which version it is says here that it is none), the version of this format (of 3), the kind (of 2:
a printed list, a phone's round), which round (of 4), the vehicle's tag (of 1024; nought: no name), the tag of
what the round asks (of 1024), then what the kind has. Tags are the first eight bytes of a SHA-256, modulo
what they are taken of.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from diagnose.cases.codes import WrongCode, number_of
from diagnose.cases.packing import Packer, Unpacker
from diagnose.rounds.brought import facts_of
from diagnose.terms import Check, WrongUsage
from diagnose.terms.rounds import ROUNDS, Round, RoundId, Task
from diagnose.walking.case_codes import ROUND, VERSIONS, LaterCode

FORMAT, FORMATS = 0, 3
Kind = Literal["list", "phone"]
KINDS: tuple[Kind, ...] = ("list", "phone")
TAGS = 1024


class OtherVehicleOfCode(WrongUsage):
    """The code is of a vehicle of another name than the one that was given."""


@dataclass(frozen=True, slots=True)
class Head:
    """How a code of a round begins."""

    kind: Kind
    round: RoundId
    vehicle: int
    shape: int
    rest: Unpacker

    def fits(self, round: Round, checks: Mapping[str, Check]) -> bool:
        """Whether the round has the tasks and facts that it had when the code was made, in the same order."""
        return self.shape == shape_tag(round, checks)

    def of_vehicle(self, label: str, option: str = "--vehicle") -> None:
        """Raises OtherVehicleOfCode unless the code is of a vehicle so called, or of one without a name."""
        if self.vehicle in (0, vehicle_tag(label)):
            return
        if not label:
            raise OtherVehicleOfCode(f"this code is of a vehicle that has a name: name it with {option}")
        raise OtherVehicleOfCode(f'this code is of another vehicle than "{label}": name that with {option}')


def read_head(text: str) -> Head:
    """How a code begins, in whatever way it is typed or spelled. Raises WrongCode, LaterCode."""
    unpacker = Unpacker(number_of(text))
    if unpacker.even(VERSIONS) != ROUND:
        raise WrongCode(
            "this is no code of a round; the code of a walk is for: diagnose cases confirm CODE, that of an "
            "exercise for: diagnose practise"
        )
    if unpacker.even(FORMATS) != FORMAT:
        raise LaterCode
    kind, round = KINDS[unpacker.even(len(KINDS))], ROUNDS[unpacker.even(len(ROUNDS))]
    return Head(kind, round, unpacker.even(TAGS), unpacker.even(TAGS), unpacker)


def begun(kind: Kind, round: Round, checks: Mapping[str, Check], vehicle: str) -> Packer:
    """A code up to where its kind has something of its own."""
    packer = Packer().even(ROUND, VERSIONS).even(FORMAT, FORMATS).even(KINDS.index(kind), len(KINDS))
    packer.even(ROUNDS.index(round.id), len(ROUNDS))
    return packer.even(vehicle_tag(vehicle), TAGS).even(shape_tag(round, checks), TAGS)


def vehicle_tag(label: str) -> int:
    """A vehicle's name as a short number; 0 for none. Capitals and spaces at the ends make no difference."""
    key = label.strip().casefold()
    return 1 + tag(key, TAGS - 1) if key else 0


def shape_tag(round: Round, checks: Mapping[str, Check]) -> int:
    """The round's tasks by their first names, and the facts that they hang on with answers, in order."""
    tasks = [first_name(task) for task in round.tasks.values()]
    facts = [" ".join((id, *check.answer_ids())) for id, check in facts_of(round, checks).items()]
    return tag("\n".join([round.id, *tasks, "", *facts]), TAGS)


def first_name(task: Task) -> str:
    """The first id that a task ever had; the order of `was` is that in which names were given up."""
    return task.was[0] if task.was else task.id


def tag(text: str, many: int) -> int:
    """A text as a number below that."""
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big") % many
