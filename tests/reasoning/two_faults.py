"""Simulated vehicles with one fault or two, and three ways of finding them.

A vehicle has a set of faults. Each fault has its own answer to every check, drawn once from its row of the
tree; while two faults are there the check shows the answer that the tree expects less often (what is out of
the ordinary is what one sees). A remedy takes its fault away, or fails to for good by its chance of a cure.
The vehicle is cured when no fault is left. Nobody is ever unsure here.

`cost_of` walks one vehicle with the program's own planner, asking again or not. `KnowingOfBoth` is the best
plan there is for somebody who knows that there are two faults: it tries everything, so small trees only.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from diagnose.reasoning.faults_at_once import asked_again_after, worth_asking_again
from diagnose.reasoning.planning import next_step
from diagnose.terms import NOT_CURED, NOT_LISTED, Finding, Situation, Step


@dataclass(frozen=True)
class Vehicle:
    faults: frozenset
    shows: dict
    """(fault, check) -> answer."""
    works: dict
    """Fault -> whether its remedy takes it away."""

    def answer(self, model, check, left):
        """What a check shows while those faults are left."""
        told = sorted({self.shows[fault, check] for fault in left})
        common = {
            a: float(model.prior @ model.rows[check][:, at]) for at, a in enumerate(answers(model, check))
        }
        return min(told, key=lambda answer: (common[answer], answer))


def answers(model, check):
    return model.tree.checks[check].answer_ids()


def asked(model):
    return [table.check.id for table in model.checks if not table.first]


def faults_of(model, number):
    """Every set of so many faults that may be there, with its chance; with two, both are listed ones."""
    ids = [id for id in model.ids if number == 1 or id != NOT_LISTED]
    sets = [frozenset(each) for each in combinations(ids, number)]
    weights = np.array([np.prod([model.prior[model.index[id]] for id in each]) for each in sets])
    return sets, weights / weights.sum()


def drawn(model, number, seed, vehicles):
    """Vehicles with so many faults."""
    rng = np.random.default_rng(seed)
    sets, weights = faults_of(model, number)
    for _ in range(vehicles):
        faults = sets[int(rng.choice(len(sets), p=weights))]
        shows = {
            (fault, check): answers(model, check)[
                int(rng.choice(len(answers(model, check)), p=model.rows[check][model.index[fault]]))
            ]
            for fault in sorted(faults)
            for check in asked(model)
        }
        works = {f: bool(rng.random() < model.hypotheses[model.index[f]].cures) for f in sorted(faults)}
        yield Vehicle(faults, shows, works)


def every(model, number):
    """Every vehicle with so many faults, with its chance; small trees only."""
    for faults, weight in zip(*faults_of(model, number), strict=True):
        told = [(fault, check) for fault in sorted(faults) for check in asked(model)]
        for shown in product(*(range(len(answers(model, check))) for _, check in told)):
            chance = weight
            for (fault, check), at in zip(told, shown, strict=True):
                chance *= model.rows[check][model.index[fault], at]
            shows = {key: answers(model, key[1])[at] for key, at in zip(told, shown, strict=True)}
            for worked in product((True, False), repeat=len(faults)):
                works = dict(zip(sorted(faults), worked, strict=True))
                cures = {f: model.hypotheses[model.index[f]].cures for f in faults}
                likely = np.prod([cures[f] if works[f] else 1 - cures[f] for f in faults])
                if chance * likely > 0:
                    yield Vehicle(faults, shows, works), float(chance * likely)


class Program:
    """The program's planner, its answers kept, since many vehicles come by the same situations."""

    def __init__(self, model, again=True):
        self.model, self.again = model, again
        self._steps, self._named = {}, {}

    def step(self, situation, starts):
        """The step to take."""
        key = (_key(situation), starts)
        if key not in self._steps:
            self._steps[key] = next_step(self.model, situation, starts)
        return self._steps[key]

    def to_ask_again(self, situation, remedy, already, starts):
        """The check to ask again right after that remedy, or None."""
        key = (_key(situation), remedy, already, starts)
        if self.again and key not in self._named:
            named = (id for id in asked_again_after(self.model, situation, remedy) if id not in already)
            worth = (id for id in named if worth_asking_again(self.model, situation, id, starts))
            self._named[key] = next(worth, None)
        return self._named.get(key)


def _key(situation):
    return (
        tuple(sorted((id, each.answer) for id, each in situation.findings.items())),
        tuple(sorted(situation.tried.items())),
    )


def cost_of(program, vehicle):
    """What a walk with this vehicle costs, in minutes with waiting and money at their rates."""
    model, left = program.model, vehicle.faults
    findings = {t.check.id: Finding(t.check.id, t.check.answer_ids()[0]) for t in model.checks if t.first}
    spent = sum(table.cost for table in model.checks if table.first)
    tried, been, starts = {}, 0, 0
    remedy, again = None, frozenset()
    while True:
        situation = Situation(dict(findings), dict(tried))
        once_more = remedy and program.to_ask_again(situation, remedy, again, starts)
        if once_more:
            step, again = Step("check", once_more), again | {once_more}
        else:
            step, remedy = program.step(situation, starts), None
        if step.kind == "check":
            table = model.checks[model.check_index[step.of]]
            starts += table.check.starts
            findings[step.of] = Finding(step.of, vehicle.answer(model, step.of, left))
            if findings[step.of].answer in table.check.stop_on:
                return spent + table.cost + ending(model, "referral", table.check.refer, left)
        elif step.kind == "remedy":
            table = model.remedies[model.remedy_index[step.of]]
            starts += 1
            left = left - {step.of} if vehicle.works.get(step.of) else left
            tried[step.of] = NOT_CURED
            remedy, again = step.of, frozenset()
        else:
            return spent + ending(model, step.kind, step.of, left)
        spent += table.cost + way(model, table.places & ~been)
        been |= table.places
        if not left:
            return spent


def way(model, places):
    """Minutes of getting to places."""
    return sum(minutes for bit, minutes in enumerate(model.access) if places >> bit & 1)


def ending(model, kind, of, left):
    """A referral or hand-over, with `refer_to` behind it unless it serves every fault that is left."""
    matching = [each for each in model.endings if each.step.kind == kind and each.step.of == of]
    serves = any(all(each.serves[model.index[fault]] for fault in left) for each in matching)
    return matching[0].minutes + (0.0 if serves else model.refer_cost)


class KnowingOfBoth:
    """The best plan for somebody who knows that each vehicle has two faults, by trying everything.

    What it knows is which vehicles are still possible, with the faults that each would have left; a check
    may be asked again after any remedy. Waiting, money and places count as they do in the program.
    """

    def __init__(self, model):
        self.model = model
        self._values = {}

    def cost(self):
        """Expected cost from the start."""
        here = [(vehicle, chance, vehicle.faults) for vehicle, chance in every(self.model, 2)]
        first = sum(table.cost for table in self.model.checks if table.first)
        return first + self._value(here, frozenset(), frozenset(), 0) / sum(chance for _, chance, _ in here)

    def _value(self, here, fresh, tried, been):
        """Cost times chance; `fresh` are the checks asked since the last remedy."""
        key = (tuple((id(vehicle), left) for vehicle, _, left in here), fresh, tried, been)
        if key not in self._values:
            self._values[key] = min(self._options(here, fresh, tried, been))
        return self._values[key]

    def _options(self, here, fresh, tried, been):
        model = self.model
        mass = sum(chance for _, chance, _ in here)
        yield sum(c * ending(model, "referral", model.tree.refer_to, left) for _, c, left in here)
        for check in asked(model):
            if check not in fresh:
                table = model.checks[model.check_index[check]]
                split = {}
                for vehicle, chance, left in here:
                    split.setdefault(vehicle.answer(model, check, left), []).append((vehicle, chance, left))
                if len(split) > 1:
                    spent = mass * (table.cost + way(model, table.places & ~been))
                    yield spent + sum(
                        self._value(each, fresh | {check}, tried, been | table.places)
                        for each in split.values()
                    )
        for at, table in enumerate(model.remedies):
            if at not in tried:
                cause = model.ids[table.hypothesis]
                after = [(v, c, left - {cause} if v.works.get(cause) else left) for v, c, left in here]
                going_on = [each for each in after if each[2]]
                spent = mass * (table.cost + way(model, table.places & ~been))
                to_come = (
                    self._value(going_on, frozenset(), tried | {at}, been | table.places) if going_on else 0.0
                )
                yield spent + to_come
