"""What is most likely wrong on a round, and the minutes expected to be saved by looking for it now.

For a task t, over the trees S that a *wrong* opens and their causes h:

    x(t, S) = sum over h of  share(h) lift(h) shown(t, h)
    saved(t) = sum over S of  rate(S) sum over h of  share(h) lift(h) shown(t, h) (later(h) - now(h))
    chance(t) = 1 - product over S of  (b / (b + x(t, S)))^a

- `share`, `now`, `later`, `lift` are those of the tree (`stakes`): its shares with this fleet's confirmed
  cases, and, for facts that are known of the vehicle, how many times as often such a vehicle has the cause.
- `rate` is how often a vehicle has the symptom in a round's year: Gamma(a, b) with a = 1/2 + cases, the shape
  of Jeffreys's prior for a Poisson rate, and b = `PRIOR_YEARS` + vehicle-years seen. Its mean is a / b. The
  chance that no case comes is then (b / (b + x))^a, the zero term of a negative binomial.
- `shown` is the part of what the cause amounts to that this task brings to light. Of the tasks that open a
  tree, those of other rounds too, the fullest (hands on before looking, then the longest) shows the symptom
  itself, so every cause, less what the others of this round have shown before it. Another shows what the
  tree's own checks at its place would tell, `TOLD_ELSEWHERE` where there is none. So no cause counts twice.

`PRIOR_YEARS`, `STANDING`, `UNKNOWN`, `TOLD_ELSEWHERE` and `stakes.AWAY` are judgement, with no source; a
figure says how much of its rate came from cases.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import fsum, prod

from diagnose.rounds.stakes import Look, Stake
from diagnose.terms import Hands
from diagnose.terms.rounds import Task

SHAPE = 0.5
PRIOR_YEARS = 10.0
"""Vehicle-years that the prior is worth: with the shape, one case in twenty years of a vehicle."""
STANDING = {"short": 0.5, "season": 1.0, "long": 2.0}
"""How many times as often something is wrong after a lay-up of under 3, under 9 and more months."""
MONTHS = "months-laid-up"
UNKNOWN = 0.5
"""The part of vehicles that a tree is for, where the fact that decides it is not known of this one."""
TOLD_ELSEWHERE = 0.1
"""The part of a cause that a task brings to light where its tree has no check at that place."""
_HANDS: tuple[Hands, ...] = ("look", "controls", "tools")


@dataclass(frozen=True, slots=True)
class Likely:
    """One cause that a task may bring to light."""

    tree: str
    cause: str
    expected: float
    """How many such cases per vehicle the task is expected to bring to light."""
    saved: float
    """Minutes that this is expected to save."""


@dataclass(frozen=True, slots=True)
class Worth:
    """What a task is worth on one vehicle."""

    task: str
    chance: float
    """That it is found wrong."""
    saved: float
    """Minutes expected to be saved by doing it now."""
    per_minute: float
    """The same per minute of the task, ways and waits apart."""
    cases: float
    """Confirmed cases of its trees; nought: the figure is judgement alone."""
    from_cases: float
    """How much of the rate rests on what this fleet has seen, from 0 (all judgement) to 1."""
    likely: tuple[Likely, ...]
    """The causes, those that save the most first."""

    @property
    def judgement(self) -> bool:
        """Whether nothing that this fleet has seen is in it."""
        return self.cases == 0 and self.from_cases == 0


def ranked(
    tasks: Mapping[str, Task],
    stakes: Mapping[str, Stake],
    vehicle_years: float = 0.0,
    facts: Mapping[str, str] | None = None,
    others: Mapping[str, Task] | None = None,
) -> tuple[Worth, ...]:
    """The tasks by falling minutes saved per minute spent; those of which nothing is known come last.

    `stakes` are those of the trees by their ids (one that is missing counts for nothing), `vehicle_years` how
    long the confirmed cases in them were looked out for, vehicles times years, and `facts` the answers known
    of this vehicle (fact -> answer or band). Tasks and trees that do not fit the facts count for nothing.
    `others` are the tasks of the wake-up where this is another round: what is only glanced at here and tried
    there is then not taken for a trial. For a lay-up leave them out: its tasks prevent what their trees tell.
    """
    known = facts or {}
    shown = _shown(tasks, stakes, others or {})
    found = [_worth(task, stakes, shown, vehicle_years, known) for task in tasks.values()]
    return tuple(sorted(found, key=lambda worth: -worth.per_minute))


def saved_by(worths: Sequence[Worth]) -> dict[str, float]:
    """The minutes that each task is expected to save, as `shortest.short` takes them."""
    return {worth.task: worth.saved for worth in worths}


def _worth(
    task: Task,
    stakes: Mapping[str, Stake],
    shown: Mapping[tuple[str, str], tuple[float, ...]],
    years: float,
    facts: Mapping[str, str],
) -> Worth:
    likely: list[Likely] = []
    none_wrong, cases = [1.0], 0.0
    for id in task.opens:
        stake = stakes.get(id)
        if stake is None or not (fits(task.applies_to, facts) and fits(stake.applies_to, facts)):
            continue
        a, b = SHAPE + stake.cases, PRIOR_YEARS + years
        parts = parts_shown(stake, shown[task.id, id], facts)
        none_wrong.append((b / (b + fsum(parts))) ** a)
        cases += stake.cases
        likely += [
            Likely(id, cause, a / b * part, a / b * part * (later - now))
            for cause, part, now, later in zip(stake.causes, parts, stake.now, stake.later, strict=True)
            if part > 0
        ]
    saved = fsum(each.saved for each in likely)
    likely.sort(key=lambda each: -each.saved)
    from_cases = years / (PRIOR_YEARS + years)
    return Worth(
        task.id,
        1 - prod(none_wrong),
        saved,
        saved / task.minutes,
        cases,
        from_cases if likely else 0.0,
        tuple(likely),
    )


def parts_shown(stake: Stake, shown: Sequence[float], facts: Mapping[str, str]) -> list[float]:
    """For each cause its share, times what the facts make of it, times what the task shows of it."""
    lifts = [
        stake.lifts[fact][answer] for fact, answer in facts.items() if answer in stake.lifts.get(fact, {})
    ]
    vehicle = STANDING.get(facts.get(MONTHS, ""), 1.0)
    vehicle *= prod(UNKNOWN for fact in stake.applies_to if fact not in facts)
    return [
        vehicle * share * part * prod(lift[n] for lift in lifts)
        for n, (share, part) in enumerate(zip(stake.shares, shown, strict=True))
    ]


def fits(applies_to: Mapping[str, Collection[str]], facts: Mapping[str, str]) -> bool:
    """Whether a tree or task may be for a vehicle of which that is known."""
    return all(facts[fact] in answers for fact, answers in applies_to.items() if fact in facts)


def _shown(
    tasks: Mapping[str, Task], stakes: Mapping[str, Stake], others: Mapping[str, Task]
) -> dict[tuple[str, str], tuple[float, ...]]:
    """What each task shows of each cause of each tree that it opens."""
    shown: dict[tuple[str, str], tuple[float, ...]] = {}
    for id, stake in stakes.items():
        opening = [task for task in tasks.values() if id in task.opens]
        if not opening:
            continue
        elsewhere = [task for task in others.values() if id in task.opens and task.id not in tasks]
        fullest = max([*opening, *elsewhere], key=lambda task: (_HANDS.index(task.hands), task.minutes))
        left = [1.0] * len(stake.causes)
        for task in opening:
            if task is not fullest:
                told = [part * rest for part, rest in zip(_told(task, stake), left, strict=True)]
                left = [rest - part for rest, part in zip(left, told, strict=True)]
                shown[task.id, id] = tuple(told)
        if fullest in opening:
            shown[fullest.id, id] = tuple(left)
    return shown


def _told(task: Task, stake: Stake) -> list[float]:
    """What the tree's own checks at the task's place, with no more than its hands, tell of each cause."""
    there = [look.tells for look in stake.looks if _brings(task, look)]
    return [max(tells) for tells in zip(*there, strict=True)] or [TOLD_ELSEWHERE] * len(stake.causes)


def _brings(task: Task, look: Look) -> bool:
    return (
        look.at == task.at
        and _HANDS.index(look.hands) <= _HANDS.index(task.hands)
        and (look.by == "owner" or task.by == "technician")
    )
