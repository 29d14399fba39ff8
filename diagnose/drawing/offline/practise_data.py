"""What a page needs for exercises: what can be chosen, what it costs, and the words said of every exercise.

The hidden vehicle answers on the page as it does in the program (`practising.chance`, `practising.vehicle`),
so one code is the same exercise in both. What has to be planned is worked out beforehand: what the route
costs with each fault, and which faults are the harder ones to find.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from diagnose.drawing.offline.tree_data import figure
from diagnose.practising import exercise
from diagnose.practising.choosing import Choice, choices
from diagnose.practising.exercise import figures_tag
from diagnose.practising.hiding import LEVELS, OF_WHAT_WAS_MISSED, difficulty
from diagnose.practising.practice import ENDS
from diagnose.practising.scoring import MISLEADING, WORTH_TELLING
from diagnose.practising.traps import MOST_TRAPS, TRAPS
from diagnose.practising.words import HEADINGS, NO_CERTIFICATE, ONLY_PRACTICE, RULES, THE_WAY, TRAPS_AMONG
from diagnose.reasoning.figures import Parts, figures
from diagnose.reasoning.model import Ending, Model
from diagnose.reasoning.robustness import cost_by_cause
from diagnose.reasoning.route import Route
from diagnose.walking.stops import tree_hazards

Values = dict[str, Any]


def practise_common() -> Values:
    """What holds for exercises on every tree."""
    return {
        "headings": HEADINGS,
        "words": {
            # A page has no command to name: its own walks are meant.
            "only": ONLY_PRACTICE.replace(" (diagnose walk)", ""),
            "rules": RULES,
            "traps": TRAPS_AMONG,
            "way": THE_WAY,
            "certificate": NO_CERTIFICATE,
        },
        "traps": [
            {
                "id": trap.id,
                "among": trap.among,
                "says": trap.says,
                "because": trap.because,
                "can": trap.can,
                "instead": trap.instead,
            }
            for trap in TRAPS
        ],
        "mostTraps": MOST_TRAPS,
        "ends": ENDS,
        "levels": LEVELS,
        "ofWhatWasMissed": OF_WHAT_WAS_MISSED,
        "misleading": MISLEADING,
        "worthTelling": WORTH_TELLING,
        "version": [exercise.VERSION, exercise.VERSIONS],
        "tags": exercise.TAGS,
        "roles": exercise.ROLES,
        "seeds": exercise.SEEDS,
    }


def practise_tree(model: Model, route: Route, titles: Mapping[str, str]) -> Values:
    """What holds for exercises on one tree; `titles` are the symptoms of trees that it may go on in."""
    hazards = tree_hazards(model.tree)
    listed = [each for each in choices(model, 0, titles) if each.trap is None]
    return {
        "figures": figures_tag(model),
        "choices": [_choice(each) for each in listed],
        "traps": [trap.id for trap in TRAPS if not trap.hazards.isdisjoint(hazards)],
        "checks": [{"id": table.check.id, "cost": figure(table.cost)} for table in model.checks],
        "remedies": [
            {
                "of": table.hypothesis,
                "cost": figure(table.cost),
                "places": model.hypotheses[table.hypothesis].places,
                "restoresMains": table.restores_mains,
            }
            for table in model.remedies
        ],
        "endings": [_ending(ending) for ending in model.endings],
        "referrals": model.referrals,
        "handOvers": model.hand_overs,
        "expected": _parts(figures(route, model).expected),
        "costs": [figure(cost) for cost in cost_by_cause(route, model).tolist()],
        "harder": difficulty(model, route).argsort(kind="stable").tolist(),
    }


def _choice(choice: Choice) -> Values:
    return {
        "kind": choice.kind,
        "id": choice.id,
        "group": choice.group,
        "says": choice.says.strip(),
        "minutes": figure(choice.minutes),
        "wait": figure(choice.wait),
        "price": figure(choice.price),
        "at": choice.at,
    }


def _ending(ending: Ending) -> Values:
    serves = [place for place, served in enumerate(ending.serves.tolist()) if served]
    return {
        "kind": ending.step.kind,
        "of": ending.step.of,
        "minutes": figure(ending.minutes),
        "serves": serves,
    }


def _parts(parts: Parts) -> list[float | int]:
    return [figure(each) for each in (parts.cost, parts.hands_on, parts.wait, parts.price)]
