"""An exercise on paper: the first page for the class, the second, with every answer, for the trainer."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.practising.choosing import Choice
from diagnose.practising.practice import Practice, best_of
from diagnose.practising.scoring import MISLEADING
from diagnose.practising.traps import Trap
from diagnose.practising.vehicle import shown
from diagnose.practising.words import (
    HEADINGS,
    NO_CERTIFICATE,
    ONLY_PRACTICE,
    RULES,
    THE_WAY,
    TRAPS_AMONG,
    story,
    unchecked,
)
from diagnose.reasoning.figures import figures
from diagnose.terms import NOT_SURE

TITLE = "Practice"
FOR_THE_CLASS = "Say the number of what you would do. Whoever leads reads out what the vehicle answers."
FOR_THE_TRAINER = "For the trainer alone"
WHAT_YOU_DID = ("Number", "What you found", "Minutes")
NAMED_AT_THE_END = "At the end: what is wrong with it, or whom is it handed over to?"
ROWS = 8


@dataclass(frozen=True, slots=True)
class Offered:
    """One choice on the class's page, with what it takes."""

    number: int
    says: str
    takes: str


@dataclass(frozen=True, slots=True)
class Told:
    """One choice on the trainer's page, with what comes of it on this vehicle."""

    number: int
    says: str
    answer: str
    misleads: bool
    """Whether the answer speaks clearly against the fault that is there."""


@dataclass(frozen=True, slots=True)
class Paper:
    """Everything on both pages, as texts."""

    symptom: str
    code: str
    story: tuple[str, ...]
    rules: tuple[str, ...]
    offered: tuple[tuple[str, tuple[Offered, ...]], ...]
    fault: str
    share: float
    told: tuple[tuple[str, tuple[Told, ...]], ...]
    traps: tuple[tuple[int, Trap], ...]
    route: tuple[str, ...]
    """The numbers of the best route's choices on this vehicle, with the word of its end."""
    minutes: float
    expected: float
    end: str = NO_CERTIFICATE


def on_paper(practice: Practice) -> Paper:
    """Both pages of an exercise that has not begun."""
    model = practice.exercise.model
    groups = [
        (heading, [each for each in practice.choices if each.group == group])
        for group, heading in HEADINGS.items()
    ]
    best = best_of(practice.exercise, practice.route, practice.titles)
    return Paper(
        symptom=model.tree.symptom,
        code=practice.exercise.code(),
        story=story(practice),
        rules=(
            *filter(None, [unchecked(practice)]),
            ONLY_PRACTICE,
            RULES,
            TRAPS_AMONG,
            THE_WAY,
            FOR_THE_CLASS,
        ),
        offered=tuple(
            (heading, tuple(_offered(practice, each) for each in own)) for heading, own in groups if own
        ),
        fault=model.hypotheses[practice.exercise.fault].says,
        share=float(model.prior[practice.exercise.fault]),
        told=tuple(
            (heading, tuple(_told(practice, each) for each in own if each.trap is None))
            for heading, own in groups
            if own and own[0].group != "hand over"
        ),
        traps=tuple((each.number, each.trap) for each in practice.choices if each.trap is not None),
        route=tuple(str(turn.choice.number) for turn in best.turns),
        minutes=best.spent().cost,
        expected=figures(practice.route, model).expected.cost,
    )


def _offered(practice: Practice, choice: Choice) -> Offered:
    return Offered(choice.number, choice.says.strip(), takes_in_figures(practice, choice))


def takes_in_figures(practice: Practice, choice: Choice) -> str:
    """Minutes, waiting, money and the way there, in as few signs as can be; nothing for a forbidden act."""
    if choice.kind in ("trap", "stop"):
        return ""
    places = [practice.exercise.model.tree.places[place] for place in choice.at]
    way = sum(place.access for place in places)
    parts = [f"{choice.minutes:g} min" + (f" +{way:g}" if way else "")]
    if choice.wait > 0:
        parts.append(f"wait {choice.wait:g} min")
    if choice.price > 0:
        parts.append(f"costs {choice.price:g}")
    return "; ".join([*parts, *(place.says for place in places)])


def _told(practice: Practice, choice: Choice) -> Told:
    vehicle = practice.vehicle
    if choice.kind == "remedy":
        cured = vehicle.cures(choice.id)
        missed = choice.id == vehicle.fault_id and not cured
        return Told(choice.number, choice.says.strip(), "cured" if cured else "not cured", missed)
    finding = vehicle.finding(choice.id)
    check = practice.exercise.model.tree.checks[choice.id]
    misleads = speaks_against(practice, choice.id, str(finding.answer))
    return Told(choice.number, choice.says.strip(), shown(finding, check), misleads)


def speaks_against(practice: Practice, check: str, answer: str) -> bool:
    """Whether an answer comes clearly less often with the hidden fault than over all vehicles."""
    model, fault = practice.exercise.model, practice.exercise.fault
    if answer == NOT_SURE:
        return False
    column = model.rows[check][:, model.tree.checks[check].answer_ids().index(answer)]
    return float(column[fault]) < MISLEADING * float(model.prior @ column)
