"""An invented workshop's past: vehicles of a made-up fleet walked along their routes, written into a store.

Everything is drawn from a seed: what is truly wrong with a vehicle, what is answered, which remedy cures, who
tells afterwards. The truth strays from the files as in `tests.reasoning.fleets`, so that there is something
to learn. No vehicle, owner or workshop is meant.

    python -m tests.reviewing.made_up_past cases.sqlite --number 300 --seed 7

fills a new store with cases of some shipped trees, for documents and benchmarks.
"""

from __future__ import annotations

import argparse
from collections import Counter
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from diagnose.cases.journal import Counted, change_of_sums, counted_answers
from diagnose.cases.records import CaseRecord, Entry
from diagnose.cases.store import open_store
from diagnose.cases.sums import OVER, add_to_sums
from diagnose.cases.tables import answer_sums, cases, cause_sums, entries, key_of_vehicle, unconfirmed_sums
from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model
from diagnose.walking.places import cache_folder
from diagnose.walking.shelf import route_for
from tests.reasoning.fleets import fleet

START = datetime(2024, 3, 1, 9, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
TOLD = {"cured": 0.9, "referred": 0.4, "stopped": 0.25}
"""How often the outcome of a case that ended so becomes known."""


@dataclass(frozen=True)
class MadeUp:
    """One case, and when it was confirmed, if it was."""

    record: CaseRecord
    on: datetime | None = None


class Walker:
    """Walks made-up vehicles along the route of one tree; `model` is an owner's."""

    def __init__(self, model, rng, cache=None, route=None):
        self.model = model
        self.route = route or route_for(model, cache)
        self.fleet = fleet(model, rng)
        self.rng = rng

    def walk(self, opened, vehicle=""):
        """One case from its first question to its end, and the hypothesis that was truly there."""
        truth = int(self.rng.choice(len(self.model.ids), p=self.fleet.shares))
        lines, at, now = [], self.route.start, opened
        state, referral, points_to = "open", "", ""
        while state == "open":
            node = self.route.nodes[at]
            now += MINUTE
            if node.kind in ("check", "remedy"):
                answer, more = self._taken(node, truth)
                lines.append(
                    Entry(now, "finding" if node.kind == "check" else "tried", node.of, answer, *more)
                )
                if answer == "cured":
                    lines.append(Entry(now, "cured-when", node.of, "yes"))
                at = node.edges[answer].to
            else:
                state = {"cured": "cured", "stop": "stopped"}.get(node.kind, "referred")
                referral = "" if state == "cured" else node.of
                points_to = lines[-1].subject if state == "cured" else ""
        journal = tuple(replace(line, number=number) for number, line in enumerate(lines, start=1))
        tree = self.model.tree
        record = CaseRecord(
            0,
            tree.id,
            tree.digest,
            "owner",
            state,
            opened,
            now,
            vehicle,
            referral,
            points_to,
            entries=journal,
        )
        return record, self.model.ids[truth]

    def _taken(self, node, truth):
        """The answer at one step, with value and uncertainty where it is a reading."""
        if node.kind == "remedy":
            at = self.model.index[node.of]
            cured = at == truth and self.rng.random() < self.model.hypotheses[at].cures
            return ("cured" if cured else "not-cured"), ()
        check = self.model.tree.checks[node.of]
        first = check.id in self.model.tree.ask_first
        if not first and self.rng.random() < check.not_sure:
            return "not-sure", ()
        rows = self.model.rows if first else self.fleet.rows
        answer = check.answer_ids()[self.rng.choice(len(check.answers), p=rows[check.id][truth])]
        if check.reading is None:
            return answer, ()
        band = next(each for each in check.bands if each.id == answer)
        return answer, (float(self.rng.uniform(band.low, band.high)), check.reading.uncertainty)


def made_up(walkers, rng, number, years=2.0, told=TOLD):
    """So many cases evenly over some years, each confirmed within a few weeks or not at all; by opening."""
    moments = np.sort(rng.random(number)) * years * 365
    for place, day in enumerate(moments):
        walker = walkers[int(rng.integers(len(walkers)))]
        record, cause = walker.walk(START + timedelta(days=float(day)), f"van {rng.integers(1, 13)}")
        if rng.random() < told[record.state]:
            wait = 0.01 if record.state == "cured" else rng.exponential(10)
            record = replace(record, confirmed=True, cause=cause)
            yield MadeUp(replace(record, case=place + 1), record.changed + timedelta(days=float(wait)))
        else:
            yield MadeUp(replace(record, case=place + 1))


def fill(store, past, at_once=2000):
    """Writes cases into a store with their sums, in few transactions: a hundred thousand take seconds."""
    part = []
    for each in past:
        part.append(each)
        if len(part) == at_once:
            _write(store, part)
            part = []
    _write(store, part)


def _write(store, past):
    if not past:
        return
    sums = [Counter(), Counter(), Counter()]
    for each in past:
        record = each.record
        if record.confirmed:
            answers = counted_answers(record.entries)
            counted = Counted(record.symptom, record.cause, record.opened.year, record.state, answers)
            for total, change in zip(sums, change_of_sums(None, counted), strict=False):
                total.update(change)
        elif record.state in OVER:
            sums[2][record.symptom, record.opened.year, record.state] += 1
    with store.writing() as connection:
        connection.execute(cases.insert(), [_row(each) for each in past])
        lines = [
            {
                "case_id": each.record.case,
                **{name: getattr(line, name) for name in Entry.__dataclass_fields__},
            }
            for each in past
            for line in each.record.entries
        ]
        if lines:
            connection.execute(entries.insert(), lines)
        for table, total in zip((cause_sums, answer_sums, unconfirmed_sums), sums, strict=True):
            add_to_sums(connection, table, total)


def _row(each):
    record = each.record
    values = {column.name: getattr(record, column.name, None) for column in cases.columns}
    return values | {
        "id": record.case,
        "confirmed_on": each.on,
        "confirmed_lines": len(record.entries) if record.confirmed else 0,
        "lines": len(record.entries),
        "vehicle_key": key_of_vehicle(record.vehicle),
        "source": record.source or None,
        "source_case": record.source_case or None,
    }


def main():
    """Fills a new store; prints how many cases it holds."""
    parser = argparse.ArgumentParser(description="Fill a new store with an invented past.")
    parser.add_argument("store", type=Path)
    parser.add_argument("--number", type=int, default=300)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--trees", nargs="*", default=["water-pump", "leisure-battery-weak", "no-hot-water"])
    given = parser.parse_args()
    if given.store.exists():
        parser.error(f"{given.store} is there already")
    library, rng = Library(), np.random.default_rng(given.seed)
    models = [build_model(library.tree(id), other_trees=frozenset(library.ids())) for id in given.trees]
    walkers = [Walker(model, rng, cache_folder()) for model in models]
    with open_store(str(given.store)) as store:
        fill(store, made_up(walkers, rng, given.number))
    print(f"{given.number} invented cases of {len(walkers)} symptoms")


if __name__ == "__main__":
    main()
