"""A round as one JSON document, and the rounds that are kept."""

from __future__ import annotations

import json
import shutil
from typing import Any

import click

from diagnose.cases.rounds_records import RoundRecord
from diagnose.cases.rounds_store import round_kept, rounds_kept
from diagnose.cli.round_at_hand import AtHand
from diagnose.cli.round_prevention import as_values, marked_in
from diagnose.rounds.book import LooseBook, StoreBook
from diagnose.rounds.going import Going
from diagnose.rounds.ordering import planned
from diagnose.rounds.outcome import Outcome
from diagnose.rounds.verdict import Judged
from diagnose.rounds.verdict_statements import told
from diagnose.terms.rounds import Task


def print_document(there: AtHand, number: int | None, resume: bool) -> None:
    """The round that was named, or a kept one; nothing is begun."""
    if resume:
        record = there.record(number)
        book = StoreBook(there.desk.store, record.number, there.desk.clock)
        going = there.going(there.whole_round(record.round, marked_in(record)), book)
        _print(as_document(there, going, record))
    else:
        _print(as_document(there, there.going(there.whole_round(), LooseBook())))


def print_as_json(there: AtHand, going: Going, number: int) -> None:
    """A kept round as it stands now."""
    _print(as_document(there, going, round_kept(there.desk.store, number)))


def print_kept(there: AtHand, number: int | None, as_json: bool) -> None:
    """Every kept round (of a vehicle, of a name), or one of them with all its tasks."""
    from diagnose.terminal.round_end import kept_list, outcome_page, record_page

    width = shutil.get_terminal_size().columns
    if number is None:
        label = there.desk.vehicle or None
        name = there.round().id if there.name is not None else None
        records = rounds_kept(there.desk.store, round=name, vehicle=label)
        if as_json:
            _print({"rounds": [_of_record(record) for record in records]})
        else:
            click.echo(kept_list(records, width).text())
        return
    record = round_kept(there.desk.store, number)
    there.record(number)
    going = there.going(
        there.whole_round(record.round, marked_in(record), ended=record.stage == "ended"),
        LooseBook(record.lines),
    )
    if as_json:
        _print(as_document(there, going, record))
        return
    outcome, judged = there.come_to(going)
    page = record_page(going.round, record, going.past, width)
    again = there.again(number) if outcome.left else ""
    walks = [there.desk.resume_command(case) for case in going.waiting_walks()]
    end = outcome_page(going.round, outcome, judged, width, record.vehicle, again, walks)
    click.echo(page.text() + "\n" + end.text())


def as_document(there: AtHand, going: Going, record: RoundRecord | None = None) -> dict[str, Any]:
    """All that is known of a round, with nothing of a person but the labels that were given."""
    past = going.past
    outcome, judged = there.come_to(going, past)
    open_tasks = going.open_tasks(past)
    round = going.round
    done = frozenset(round.tasks) - open_tasks.keys()
    plan = planned(round.tasks, round.after, there.desk.trees.common().places, done)
    document: dict[str, Any] = {"round": round.id, "vehicle": there.desk.vehicle}
    if record is not None:
        document |= _of_record(record)
    if there.short is not None:
        document["short"] = {
            "saved": there.short.saved,
            "left_out": list(there.short.left_out),
            "too_long": there.short.too_long,
        }
    return document | {
        "order": list(plan.order),
        "minutes": plan.minutes,
        "least_minutes": plan.bound,
        "proved": plan.exact,
        "tasks": [_of_task(going, task) for task in going.there(past).values()],
        **as_values(there, round),
        **_judged(outcome, judged),
    }


def _of_record(record: RoundRecord) -> dict[str, Any]:
    return {
        "number": record.number,
        "round": record.round,
        "vehicle": record.vehicle,
        "stage": record.stage,
        "begun": record.begun.isoformat(),
        "by": record.who,
        "marked": len({line.subject for line in record.lines if line.noted == "mark"}),
    }


def _of_task(going: Going, task: Task) -> dict[str, Any]:
    mark = going.marks().get(task.id)
    return {
        "task": task.id,
        "what": task.what,
        "how": task.how,
        "at": task.at,
        "hands": task.hands,
        "by": task.by,
        "hazards": sorted(task.hazards),
        "minutes": task.minutes,
        "wait": task.wait,
        "wants": list(task.wants),
        "after": sorted(going.round.after.get(task.id, ())),
        "opens": list(task.opens),
        "prevents": {tree: sorted(causes) for tree, causes in task.prevents.items()},
        "from_the_trees": task.gathered,
        "reasons": list(going.reasons.get(task.id, ())),
        "refer": task.refer,
        "safety": task.safety,
        "overdue": list(going.overdue(task)),
        "held_by": list(going.held().get(task.id, ())),
        "end": mark.end if mark is not None else None,
        "only_its_date": mark.of_date if mark is not None else False,
        "time": mark.time.isoformat() if mark is not None else None,
        "marked_by": mark.by if mark is not None else "",
        "note": mark.note if mark is not None else "",
        "case": mark.case if mark is not None else None,
    }


def _judged(outcome: Outcome, judged: Judged) -> dict[str, Any]:
    record = told(judged)
    return {
        "verdict": judged.verdict,
        "says": record.headline,
        "reasons": list(record.reasons),
        "must_not_use": list(judged.must_not_use),
        "unchecked": list(judged.unchecked),
        "left": [{"task": id, "held_by": list(why)} for id, why in outcome.left.items()],
        "left_minutes": outcome.minutes,
        "parts": [{"buy": part, "for": task} for part, task in outcome.parts],
        "referrals": [{"refer": each.id, "for": list(tasks)} for each, tasks in outcome.referrals],
        "certificate": record.closing[-1],
    }


def _print(document: dict[str, Any]) -> None:
    click.echo(json.dumps(document, ensure_ascii=False, indent=2))
