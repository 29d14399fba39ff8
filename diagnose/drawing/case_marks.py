"""What a case has brought to light, as marks on its fault tree."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from diagnose.cases.records import CaseRecord
from diagnose.terms import NOT_LISTED, Ranked, Tree
from diagnose.walking.past import read_past
from diagnose.walking.sheet_making import BECAME, STATES


@dataclass(frozen=True, slots=True)
class Marks:
    """A case on a fault tree; without one everything is empty."""

    head: str = ""
    """Which case it is and how it ended."""
    now: Mapping[tuple[str, ...], float] = field(default_factory=dict)
    """Of 100 such vehicles with these findings, how many have each cut set; empty where nothing is ranked."""
    not_listed: float = 0.0
    """The same for what the tree does not list."""
    notes: Mapping[str, str] = field(default_factory=dict)
    """What is said of a cause: that its remedy was tried, or that it was the cause."""
    found: frozenset[str] = frozenset()
    """The causes that it turned out to be; `not-listed` where it was none of them."""


NO_CASE = Marks()


def case_marks(record: CaseRecord, tree: Tree, ranking: Sequence[Ranked]) -> Marks:
    """The marks of a case; `ranking` is what may be wrong after its findings, or empty."""
    past = read_past(tree, record.entries)
    shares = {tuple(one.cause.split("+")): one.share * 100 for one in ranking}
    notes = {
        cause: f"TRIED: {BECAME[how]}"
        for remedy, how in past.situation.tried.items()
        for cause in remedy.split("+")
    }
    turned_out = record.cause if record.confirmed else record.points_to
    listed = {cause.id for cause in tree.causes()}
    found = frozenset(turned_out.split("+")) & {*listed, NOT_LISTED}
    word = "CONFIRMED: this was it" if record.confirmed else "It works since this was put right"
    return Marks(
        head=f"Case {record.case}: {STATES[record.state]}",
        now={causes: share for causes, share in shares.items() if causes in tree.cut_sets},
        not_listed=shares.get((NOT_LISTED,), 0.0),
        notes=notes | dict.fromkeys(found, word),
        found=found,
    )
