"""What the page needs for rounds: tasks, the order for this vehicle, what the card's dates mean, the words.

The order is worked out here, once, by what the card knows: a phone has no planner. What is answered and
marked on the phone only leaves tasks out of it. The rules of the verdict stand in `rounds.verdict`, their
sentences in `rounds.verdict_statements`; what of them hangs neither on the day nor on a mark is worked out
beforehand.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from diagnose.drawing.offline.rounds_code_data import round_code_format, round_code_places
from diagnose.drawing.offline.rounds_worth_data import WorthLooking, shorts
from diagnose.drawing.offline.tree_data import figure
from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import DATES
from diagnose.knowledge.common import Common
from diagnose.rounds.again import COUNTS_FOR
from diagnose.rounds.due import MATTERS
from diagnose.rounds.due_statements import FIND_IT, then
from diagnose.rounds.ordering import planned
from diagnose.rounds.past import MILD
from diagnose.rounds.presence import is_never_missing, tasks_there
from diagnose.rounds.stopping import ANY
from diagnose.rounds.verdict import (
    ALARMS,
    BADNESS,
    CHECKS,
    OVER_ANYWHERE,
    by_what_is_unused,
    weight,
    worse,
)
from diagnose.rounds.verdict_statements import DUE_SOON, NO_ALARM, closing, headline
from diagnose.terms.rounds import ROUNDS, TASK_ENDS, Round, RoundId, Task
from diagnose.walking.carded import due_on, overdue
from diagnose.walking.stops import BY_HAZARD

Values = dict[str, Any]

TITLES: Mapping[RoundId, str] = {
    "wake-up": "Waking it up",
    "journey": "Before a journey",
    "hand-over": "Handing it over",
    "lay-up": "Laying it up",
}
"""What a round is called, as at the prompt."""


def rounds_data(
    rounds: Mapping[RoundId, Round],
    common: Common,
    card: VehicleCard | None,
    made: date,
    worth: WorthLooking | None = None,
) -> Values | None:
    """The part of the page's data that is about rounds; None where it holds none."""
    if not rounds:
        return None
    wake_up = rounds.get("wake-up")
    facts = _facts(card)
    held = [rounds[id] for id in ROUNDS if id in rounds]
    return {
        "tasks": {task.id: _task(task) for round in held for task in round.tasks.values()},
        "rounds": {round.id: _round(round, common, facts, worth, wake_up) for round in held},
        "facts": facts,
        "dates": _dates(card, made),
        "checks": CHECKS,
        "badness": BADNESS,
        "ends": TASK_ENDS,
        "mild": sorted(MILD),
        "anyDanger": ANY,
        "byHazard": BY_HAZARD,
        "code": round_code_format(card.name if card is not None else ""),
        "words": {"noAlarm": NO_ALARM, "dueSoon": DUE_SOON},
    }


def _facts(card: VehicleCard | None) -> dict[str, str]:
    return {fact.check: fact.answer for fact in (card.facts if card is not None else ()) if fact.answer}


def _round(
    round: Round,
    common: Common,
    facts: Mapping[str, str],
    looking: WorthLooking | None,
    wake_up: Round | None,
) -> Values:
    there = tasks_there(round, facts)
    left_out = round.tasks.keys() - there.keys()
    worths = looking.of(round, there, facts, wake_up) if looking is not None else ()
    plan = planned(round.tasks, round.after, common.places, left_out)
    return {
        "title": TITLES[round.id],
        "says": round.says,
        "digest": round.digest,
        "countsFor": COUNTS_FOR[round.id],
        "shipped": round.shipped,
        "tasks": list(round.tasks),
        "after": {task: sorted(before) for task, before in round.after.items() if before},
        "order": [*plan.order, *(task for task in round.tasks if task not in plan.order)],
        "shorts": shorts(round, there, common.places, worths) if looking is not None else [],
        "worth": looking.told(worths, there, facts) if looking is not None else [],
        "wants": dict(round.wants),
        "weight": {id: weight(task, round.id) for id, task in round.tasks.items()},
        "over": _over(round),
        "code": round_code_places(round, common),
        "headlines": {verdict: headline(verdict, round.id) for verdict in BADNESS},
        "closing": closing(round.id),
    }


def _over(round: Round) -> Values:
    """Date -> what it means once it is over; see `rounds.verdict`."""
    found: Values = {}
    for of in DATES:
        tasks = [task for task in round.tasks.values() if of in task.dates]
        everywhere = OVER_ANYWHERE.get(of)
        if of in CHECKS or not (tasks or everywhere):
            continue
        counts, unused = everywhere or ("limited", next((task.must_not_use for task in tasks), ""))
        counts = worse(counts, by_what_is_unused(unused, round.id))
        for task in tasks:
            counts = worse(counts, weight(task, round.id))
        found[of] = {"counts": counts, "mustNotUse": unused}
    return found


def _task(task: Task) -> Values:
    return {
        "what": task.what,
        "how": task.how,
        "at": task.at,
        "by": task.by,
        "minutes": figure(task.minutes),
        "wait": figure(task.wait),
        "price": figure(task.price),
        "hands": task.hands,
        "hazards": sorted(task.hazards),
        "wants": task.wants,
        "appliesTo": {fact: sorted(fits) for fact, fits in task.applies_to.items()},
        "opens": task.opens,
        "refer": task.refer,
        "dates": task.dates,
        "safety": task.safety,
        "mustNotUse": task.must_not_use,
        "part": task.part,
        "needs": task.needs,
        "buy": task.parts_to_buy,
        "was": task.was,
        "neverMissing": is_never_missing(task),
        "alarm": bool(ALARMS & set(task.dates)),
    }


def _dates(card: VehicleCard | None, made: date) -> list[Values]:
    """The dates of the card, and those that it lacks and that matter, in the order of the kinds."""
    written = card.dates if card is not None else {}
    found = []
    for of, kind in DATES.items():
        day = written.get(of)
        if day is None and of not in MATTERS:
            continue
        first = due_on(kind, day) if day is not None else None
        due = day if kind.means == "ends" else first
        found.append(
            {
                "of": of,
                "says": kind.says,
                "written": day.isoformat() if day is not None else None,
                "due": due.isoformat() if first is not None and due is not None else None,
                "from": first.isoformat() if first is not None else None,
                "then": then(kind) if kind.due else "",
                "findIt": FIND_IT.get(of, ""),
                "driver": kind.driver,
                "told": _told(of, card, max(first, made)) if first is not None else "",
            }
        )
    return found


def _told(of: str, card: VehicleCard | None, day: date) -> str:
    """What is said of a date beside the tasks that hang on it, from that day on."""
    return next((due.says for due in overdue(card, day) if due.of == of), "")
