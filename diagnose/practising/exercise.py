"""An exercise and its code: a tree, whose steps count, a seed and the fault that is hidden.

The code says all of that in four groups of four or fewer, so a class can be given one and the same vehicle.
The fault stands in it moved on by a number that the seed gives: nobody sees from two codes that the same
fault is hidden. A tag of the tree's figures tells a tree that would answer otherwise. The number that
`cases.codes` writes is packed, first to last: version (even of 3), the symptom's tag (of 1024), the figures'
tag (of 1024), the role (of 2: owner, technician), the seed (of 100,000), and the fault's place plus
`Chance(seed, "mask").below(n)`, modulo the n hypotheses.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.cases.codes import WrongCode, number_of, written
from diagnose.cases.packing import Packer, Unpacker
from diagnose.practising.chance import Chance
from diagnose.practising.vehicle import Vehicle
from diagnose.reasoning.model import Model
from diagnose.terms import DiagnoseError, Role
from diagnose.walking.case_codes import symptom_tag

SEEDS = 100_000
"""Seeds are from 0 to one less."""
VERSION, VERSIONS = 0, 3
TAGS = 1024
ROLES: tuple[Role, ...] = ("owner", "technician")


class OtherFigures(DiagnoseError):
    """The exercise was made with other figures of this tree, so its vehicle would not answer alike."""


@dataclass(frozen=True, slots=True)
class Exercise:
    """One vehicle to practise on; the model says of which tree and for whom."""

    model: Model
    seed: int
    fault: int

    def vehicle(self) -> Vehicle:
        """The vehicle that answers."""
        return Vehicle(self.model, self.fault, self.seed)

    def code(self) -> str:
        """The code that leads to the same exercise."""
        return written(packed(Packer(), self).number())


@dataclass(frozen=True, slots=True)
class ReadExercise:
    """What the beginning of a code says before the tree is at hand."""

    symptom: int
    figures: int
    role: Role
    seed: int
    rest: Unpacker

    def of_symptom(self, ids: Iterable[str]) -> tuple[str, ...]:
        """Those of the trees' ids that the code can be about: nearly always one at most."""
        return tuple(id for id in ids if symptom_tag(id) == self.symptom)

    def with_model(self, model: Model) -> Exercise:
        """The exercise, once the tree is there; raises OtherFigures where it is not the tree it was."""
        if figures_tag(model) != self.figures:
            raise OtherFigures(
                f'this exercise was made with other figures of "{model.tree.id}" than are here, so its '
                "vehicle would answer otherwise; the same version of the program and of the trees is wanted"
            )
        many = len(model.ids)
        hidden = self.rest.even(many)
        return Exercise(model, self.seed, (hidden - _mask(self.seed, many)) % many)


def packed(packer: Packer, exercise: Exercise) -> Packer:
    """The exercise laid into a code that may go on behind it."""
    model = exercise.model
    many = len(model.ids)
    packer.even(VERSION, VERSIONS).even(symptom_tag(model.tree.id), TAGS).even(figures_tag(model), TAGS)
    packer.even(ROLES.index(model.role), len(ROLES)).even(exercise.seed, SEEDS)
    return packer.even((exercise.fault + _mask(exercise.seed, many)) % many, many)


def unpacked(text: str) -> ReadExercise:
    """The exercise at the beginning of a code; raises WrongCode."""
    return unpacked_from(Unpacker(number_of(text)))


def unpacked_from(unpacker: Unpacker) -> ReadExercise:
    """The same from a number that has been read."""
    if unpacker.even(VERSIONS) != VERSION:
        raise WrongCode("this is no code of an exercise, or one of a later version of the program")
    symptom, figures = unpacker.even(TAGS), unpacker.even(TAGS)
    return ReadExercise(symptom, figures, ROLES[unpacker.even(len(ROLES))], unpacker.even(SEEDS), unpacker)


def figures_tag(model: Model) -> int:
    """Everything that a vehicle's answers and an exercise's minutes hang on, as a number below 1024.

    The first eight bytes of the SHA-256 of lines of text, modulo 1024: every hypothesis with its share in
    millionths and its chance of a cure; every check with its cost, its chance of not sure and its rows in
    millionths; every remedy, ending and place with what it costs.
    """
    lines = [
        f"{each.id} {_millionths(share)} {_millionths(each.cures)}"
        for each, share in zip(model.hypotheses, model.prior.tolist(), strict=True)
    ]
    for table in model.checks:
        check = table.check
        rows = " ".join(str(_millionths(part)) for row in table.rows.tolist() for part in row)
        figures = f"{_millionths(table.cost)} {_millionths(check.not_sure)}"
        lines.append(f"{check.id} {figures} {' '.join(check.answer_ids())} {rows}")
    lines += [f"{model.ids[each.hypothesis]} {_millionths(each.cost)}" for each in model.remedies]
    lines += [f"{each.step.kind} {each.step.of} {_millionths(each.minutes)}" for each in model.endings]
    lines += [str(_millionths(minutes)) for minutes in model.access.tolist()]
    return int.from_bytes(hashlib.sha256("\n".join(lines).encode()).digest()[:8], "big") % TAGS


def _millionths(part: float) -> int:
    return round(part * 1e6)


def _mask(seed: int, many: int) -> int:
    return Chance(seed, "mask").below(many)
