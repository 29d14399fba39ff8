"""Orders of remedies, once more and as plainly as possible: by set, by rule, and one after another.

A belief is put as jobs. Each job takes minutes, needs some places, and cures a share of all vehicles; the
first job at a place pays the way there for all. Whoever is not cured after the last job is referred. Nothing
here knows the package.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations


@dataclass(frozen=True)
class Job:
    minutes: float
    cured: float
    """The share of all vehicles that it cures: chance of its cause times chance of a cure."""
    places: frozenset = frozenset()


@dataclass(frozen=True)
class Belief:
    jobs: tuple[Job, ...]
    access: dict
    referral: float

    def way(self, job, been):
        return sum(self.access[place] for place in job.places - been)


def cost_of(belief, order):
    """Expected minutes of these jobs in this order and a referral behind them."""
    left, been, spent = 1.0, frozenset(), 0.0
    for at in order:
        job = belief.jobs[at]
        spent += left * (job.minutes + belief.way(job, been))
        been |= job.places
        left -= job.cured
    return spent + left * belief.referral


def of_best_prefix(belief, order):
    """The same, the referral coming where it is cheapest."""
    return min(cost_of(belief, order[:number]) for number in range(len(order) + 1))


def best_of_all(belief):
    """The least over every order of every set of jobs.

    What is left and where one has been depend on the set of jobs done and not on their order. So sets are
    gone through from the whole down, and each remembers the best that can follow.
    """
    number = len(belief.jobs)
    to_come = {}
    for done in reversed(range(1 << number)):
        jobs = [belief.jobs[at] for at in range(number) if done >> at & 1]
        left = 1.0 - sum(job.cured for job in jobs)
        been = frozenset().union(*(job.places for job in jobs))
        to_come[done] = min(
            left * belief.referral,
            *(
                left * (job.minutes + belief.way(job, been)) + to_come[done | 1 << at]
                for at, job in enumerate(belief.jobs)
                if not done >> at & 1
            ),
            left * belief.referral,
        )
    return to_come[0]


def best_one_after_another(belief):
    """The least over every order of every set of jobs, each written out and costed."""
    some = range(len(belief.jobs))
    return min(
        cost_of(belief, order) for number in range(len(some) + 1) for order in permutations(some, number)
    )


def blind(belief):
    """By falling chance of a cure over minutes, as if every place were at hand."""
    jobs = belief.jobs
    return sorted(range(len(jobs)), key=lambda at: -jobs[at].cured / jobs[at].minutes)


def one_by_one(belief):
    """The job with the best chance of a cure over minutes and its way from here, then the same again."""
    order, been = [], frozenset()
    while len(order) < len(belief.jobs):
        rest = [at for at in range(len(belief.jobs)) if at not in order]
        nth = max(
            rest,
            key=lambda at: (
                belief.jobs[at].cured / (belief.jobs[at].minutes + belief.way(belief.jobs[at], been))
            ),
        )
        order.append(nth)
        been |= belief.jobs[nth].places
    return order


def in_bundles(belief):
    """Jobs with the same needs of places bundled: the best first few of them pay the way together.

    Bundles and the jobs left over go by their ratios. A pair of places counts as a place of its own.
    """

    def ratio(some, way=0.0):
        return sum(belief.jobs[at].cured for at in some) / (way + sum(belief.jobs[at].minutes for at in some))

    groups = []
    for places in sorted({job.places for job in belief.jobs}, key=sorted):  # of equal ones always the same
        members = [at for at in blind(belief) if belief.jobs[at].places == places]
        way = sum(belief.access[place] for place in places)
        if way:
            first = max(range(1, len(members) + 1), key=lambda number: ratio(members[:number], way))
            groups.append((ratio(members[:first], way), members[:first]))
            members = members[first:]
        groups += [(ratio([at]), [at]) for at in members]
    return [at for _, members in sorted(groups, key=lambda group: -group[0]) for at in members]
