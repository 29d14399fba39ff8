"""The code of a result: the exercise and everything that was chosen, so that a trainer's program sees it all.

Behind the exercise (see `exercise`) stand the numbers of the choices in order, each even of one more than
there are choices, a nought behind the last; then the place of the named fault plus one (nought: none), even
of one more than there are hypotheses. Minutes and marks are not in it: they are worked out again from the
choices. Whose it is, is not in it either: a learner's label stands in front of it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from diagnose.cases.codes import WrongCode, number_of, written
from diagnose.cases.packing import Packer, Unpacker
from diagnose.practising.exercise import ReadExercise, packed, unpacked_from
from diagnose.practising.practice import CannotChoose, Practice
from diagnose.reasoning.model import Model
from diagnose.reasoning.route import Route
from diagnose.terms import Role

Models = Callable[[int, Role], tuple[Model, Route, Mapping[str, str]]]
"""A symptom's tag and a role -> the model, its route and the titles of other trees."""


def result_code(practice: Practice) -> str:
    """The code, in groups of four."""
    many, model = len(practice.choices), practice.exercise.model
    packer = packed(Packer(), practice.exercise)
    for turn in practice.turns:
        packer.even(turn.choice.number, many + 1)
    packer.even(0, many + 1)
    named = 0 if practice.named is None else model.index[practice.named] + 1
    return written(packer.even(named, len(model.ids) + 1).number())


def read_result(text: str, models: Models) -> Practice:
    """The exercise as it was done. Raises WrongCode, OtherFigures, and what `models` raises."""
    unpacker = Unpacker(number_of(text))
    head = unpacked_from(unpacker)
    model, route, titles = models(head.symptom, head.role)
    return _replayed(head, unpacker, Practice(head.with_model(model), route, titles))


def _replayed(head: ReadExercise, unpacker: Unpacker, practice: Practice) -> Practice:
    many, model = len(practice.choices), practice.exercise.model
    while number := unpacker.even(many + 1):
        try:
            practice.choose(practice.choices[number - 1])
        except CannotChoose:
            raise WrongCode("this code is of no exercise that can have gone so; read it again") from None
    if not practice.turns:
        raise WrongCode("this is the code of an exercise, not of a result: nothing has been chosen in it")
    named = unpacker.even(len(model.ids) + 1)
    if unpacker.left:
        raise WrongCode("this is no code of a result; read it again")
    practice.named = model.ids[named - 1] if named else None
    return practice


def practice_of(text: str, models: Models) -> Practice:
    """The exercise of a code as it begins, be it of an exercise or of a result. Raises as `read_result`."""
    head = unpacked_from(Unpacker(number_of(text)))
    model, route, titles = models(head.symptom, head.role)
    return Practice(head.with_model(model), route, titles)
