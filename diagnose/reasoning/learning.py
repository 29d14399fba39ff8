"""What confirmed cases teach: a tally under this tree's ids, and every case at its right weight.

Sums stay under the ids that held when a case was confirmed. A tree that has renamed a cause or a check
names the old id under `was`; a cause that exists no more counts for nothing, and can be named.

Outcomes do not come back alike. A cure reports itself; what an engineer found is often never heard of. Plain
counts would then drift towards what owners can cure. So each confirmed case stands for the cases of its own
ending that were never told (weight one over the ending's rate of return: Horvitz & Thompson 1952, from
memory). Two things keep the evidence honest:

- Over causes, weights are scaled until the heaviest is one: no case ever counts for more than itself, and
  those of endings that report well count for less. Scaling to Kish's effective number (the square of the sum
  over the sum of squares, Kish 1965, from memory) would keep more, but it fits weights that have nothing to
  do with the cause; here they decide which causes are seen at all, and intervals of what engineers find came
  out too narrow (some 84 % held the true share in place of 90 %).
- Over the answers seen with one cause, weights hardly matter and Kish's number fits: cases of a cause that
  all ended in one way count as they are, however few came back.

Nothing is known of an ending from which no case came back, nor corrected by this; `returns` tells of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import fsum
from typing import TypeVar

from diagnose.terms import NOT_LISTED, EndedCases, Tally, Tree

ENDINGS = ("cured", "referred", "stopped")
"""The ways in which a case is over; any other is not yet an ending, and has no rate of return."""

MOST_APART = 20.0
"""No ending's cases weigh more than this many times another's: beyond, one report would drown all others."""

Answered = tuple[str, str, str]
"""(cut set id, check id, answer id)"""
Key = TypeVar("Key", str, Answered)


@dataclass(frozen=True, slots=True)
class Return:
    """How the outcomes of one ending came back, and what a confirmed case of it therefore counts."""

    ending: str
    ended: float
    confirmed: float
    weight: float
    """From 0 to 1; 0 where none came back."""

    @property
    def unknown(self) -> float:
        """Cases that ended so and of which nobody told what it was."""
        return max(0.0, self.ended - self.confirmed)

    @property
    def rate(self) -> float | None:
        """The part that came back; None where no case ended so."""
        return self.confirmed / self.ended if self.ended > 0 else None


def returns(tally: Tally) -> tuple[Return, ...]:
    """The rate of return and the weight of each ending, in alphabetical order; none where it is unknown.

    A rate is taken as (confirmed + 1) / (ended + 1), so that one report out of a few does not weigh as if it
    were sure. Cases that were confirmed before they ended have the rate of all ended ones together.
    """
    raw = _heaviness(tally.endings)
    heaviest = max(raw.values(), default=1.0)
    return tuple(
        Return(id, each.ended, each.confirmed, raw.get(id, 0.0) / heaviest)
        for id, each in sorted(tally.endings.items())
    )


def _heaviness(endings: Mapping[str, EndedCases]) -> dict[str, float]:
    """How many cases each confirmed one stands for, by ending; one without a confirmed case is left out."""
    told = {id: each for id, each in endings.items() if each.confirmed > 0}
    over = [each for id, each in told.items() if id in ENDINGS]
    together = _stands_for(fsum(each.ended for each in over), fsum(each.confirmed for each in over))
    raw = {
        id: _stands_for(each.ended, each.confirmed) if id in ENDINGS else together
        for id, each in sorted(told.items())
    }
    most = MOST_APART * min(raw.values(), default=1.0)
    return {id: min(each, most) for id, each in raw.items()}


def _stands_for(ended: float, confirmed: float) -> float:
    return (max(ended, confirmed) + 1) / (confirmed + 1)


def weighed(tally: Tally) -> Tally:
    """The sums to learn from: each ending's cases by its rate of return, the total never more than came in.

    Where every outcome is known, or nothing is known of endings, the sums are those of the tally.

    >>> cured = EndedCases(ended=99, confirmed=99, causes={"fuse": 99.0})
    >>> referred = EndedCases(ended=99, confirmed=24, causes={"pump": 24.0})
    >>> weighed(Tally(endings={"cured": cured, "referred": referred})).causes
    {'fuse': 24.75, 'pump': 24.0}
    """
    weights = {each.ending: each.weight for each in returns(tally) if each.weight > 0}
    if all(weight == 1 for weight in weights.values()):
        return Tally(tally.causes, tally.answers)
    parts = [(weight, tally.endings[id]) for id, weight in weights.items()]
    causes = _added([(weight, each.causes) for weight, each in parts])
    return Tally(causes, _effective([(weight, each.answers) for weight, each in parts]))


def _added(parts: Iterable[tuple[float, Mapping[Key, float]]]) -> dict[Key, float]:
    """Weighted sums by key, in the order of the keys; the order of the parts does not touch a last digit."""
    terms: dict[Key, list[float]] = defaultdict(list)
    for weight, sums in parts:
        for key, count in sums.items():
            terms[key].append(weight * count)
    return {key: fsum(terms[key]) for key in sorted(terms)}


def _effective(parts: list[tuple[float, Mapping[Answered, float]]]) -> dict[Answered, float]:
    """Weighted sums over answers; those of one cause and check together come to Kish's effective number."""
    once, twice = _added(parts), _added([(weight**2, sums) for weight, sums in parts])
    total, squares = _by_cause_and_check(once), _by_cause_and_check(twice)
    return {key: n * total[key[:2]] / squares[key[:2]] for key, n in once.items() if squares[key[:2]] > 0}


def _by_cause_and_check(sums: Mapping[Answered, float]) -> dict[tuple[str, str], float]:
    terms: dict[tuple[str, str], list[float]] = defaultdict(list)
    for (cause, check, _), count in sums.items():
        terms[cause, check].append(count)
    return {key: fsum(each) for key, each in terms.items()}


def merged(*tallies: Tally) -> Tally:
    """The sums of several workshops together; their order does not touch a last digit.

    Counts of one ending are pooled: a workshop to which more comes back tells more of that ending. Sums
    whose endings are unknown stand under the ending `""`.
    """
    by_ending: dict[str, list[EndedCases]] = defaultdict(list)
    for tally in tallies:
        unknown = {"": EndedCases(tally.total, tally.total, tally.causes, tally.answers)}
        for id, each in (tally.endings or unknown if tally.total > 0 else tally.endings).items():
            by_ending[id].append(each)
    return Tally(
        _added([(1.0, each.causes) for each in tallies]),
        _added([(1.0, each.answers) for each in tallies]),
        {id: _pooled(by_ending[id]) for id in sorted(by_ending)},
    )


def _pooled(parts: list[EndedCases]) -> EndedCases:
    return EndedCases(
        ended=fsum(each.ended for each in parts),
        confirmed=fsum(each.confirmed for each in parts),
        causes=_added([(1.0, each.causes) for each in parts]),
        answers=_added([(1.0, each.answers) for each in parts]),
    )


# A tally under older ids ----------------------------------------------------------------------------------


def tally_of(tree: Tree, tally: Tally) -> Tally:
    """The sums under the ids of this tree; what has no place here is left out.

    Sums of an old and of a new id are added. How many cases ended in which way stays as it is.
    """
    return Tally(
        *_of_today(tree, tally.causes, tally.answers),
        {
            id: EndedCases(each.ended, each.confirmed, *_of_today(tree, each.causes, each.answers))
            for id, each in tally.endings.items()
        },
    )


def _of_today(
    tree: Tree, old_causes: Mapping[str, float], old_answers: Mapping[Answered, float]
) -> tuple[dict[str, float], dict[Answered, float]]:
    ids = {*old_causes, *(id for id, _, _ in old_answers)}
    known = {id: today for id in ids if (today := _cut_set(tree, id)) is not None}
    renamed = {old: check.id for check in tree.checks.values() for old in check.was}
    possible = {check.id: check.answer_ids() for check in tree.checks.values()}
    causes: dict[str, float] = defaultdict(float)
    for id, count in old_causes.items():
        if id in known:
            causes[known[id]] += count
    answers: dict[Answered, float] = defaultdict(float)
    for (id, check, answer), count in old_answers.items():
        asked = renamed.get(check, check)
        if id in known and answer in possible.get(asked, ()):
            answers[known[id], asked, answer] += count
    return dict(causes), dict(answers)


def without_place(tree: Tree, tally: Tally) -> tuple[str, ...]:
    """The confirmed causes that this tree has no more, in alphabetical order."""
    return tuple(sorted(id for id, n in tally.causes.items() if n > 0 and _cut_set(tree, id) is None))


def _cut_set(tree: Tree, id: str) -> str | None:
    """The id of the cut set that an id, perhaps an old one, means today."""
    if id == NOT_LISTED:
        return id
    renamed = {old: event.id for event in tree.causes() for old in event.was}
    meant = {renamed.get(cause, cause) for cause in id.split("+")}
    return next(("+".join(causes) for causes in tree.cut_sets if set(causes) == meant), None)
