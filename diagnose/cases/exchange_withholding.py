"""Small cells left out of an export, so that no single case can be read off it.

Two things are withheld with a threshold k:

- A cell of causes, or of cases nobody confirmed, that counts fewer than k; with a cause go all its answers.
- All answers of one check under one cause, year and ending, as soon as any of them counts fewer than k. The
  cases in which the check was not answered count as one more of them: their number could be had by
  subtracting the answers from the cause's cases. Leaving out the small answer alone would not do, for where
  a check is always answered it is the cause's cases less the other answers (Cox 1980, "Suppression
  methodology and statistical disclosure control", calls the second cell that has to go complementary; from
  memory). It would mislead as well: whoever merges the file would learn that this answer never comes with
  this cause.

No other totals stand in the file, so nothing else can be subtracted. What this does not protect from is
written in docs/store.md: two exports with a few cases between them, and what somebody knows from elsewhere.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnose.cases.exchange import Export, Row

LEAST = 3
"""With 2, two cells that add up to 2 could only be 1 and 1."""


@dataclass(frozen=True, slots=True)
class Withheld:
    """How many cells were left out of each table; how many cases they count is told to nobody."""

    causes: int = 0
    answers: int = 0
    unconfirmed: int = 0


def withhold(export: Export, at_least: int) -> tuple[Export, Withheld]:
    """The export without its small cells, and how many those were. Raises ValueError below LEAST."""
    if at_least < LEAST:
        raise ValueError(f"a threshold of {at_least} hides nothing; {LEAST} is the least")
    causes = _large(export.causes, at_least)
    unconfirmed = _large(export.unconfirmed, at_least)
    cases = {_cause_of(row): row[-1] for row in causes}
    checks: dict[Row, list[int]] = defaultdict(list)
    for row in export.answers:
        checks[_check_of(row)].append(row[-1])
    shown = {key for key, totals in checks.items() if _may_be_shown(totals, cases.get(key[0]), at_least)}
    answers = tuple(row for row in export.answers if _check_of(row) in shown)
    rest = replace(export, causes=causes, answers=answers, unconfirmed=unconfirmed, at_least=at_least)
    withheld = Withheld(
        len(export.causes) - len(causes),
        len(export.answers) - len(answers),
        len(export.unconfirmed) - len(unconfirmed),
    )
    return rest, withheld


def _large(rows: Sequence[Row], at_least: int) -> tuple[Row, ...]:
    return tuple(row for row in rows if row[-1] >= at_least)


def _may_be_shown(totals: list[int], cases: int | None, at_least: int) -> bool:
    """Whether the answers of one check, and the cases without one, are all as many as they have to be."""
    if cases is None:
        return False
    unanswered = cases - sum(totals)
    return min(totals) >= at_least and (unanswered == 0 or unanswered >= at_least)


def _cause_of(row: Row) -> Row:
    """The cell of causes that a row belongs to: symptom, cause, year and ending."""
    return (*row[:2], *row[-3:-1])


def _check_of(row: Row) -> Row:
    return (_cause_of(row), row[2])
