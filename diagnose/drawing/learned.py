"""What the cases of a store make of a tree's shares: the ranking's own figures before the first finding."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.reasoning.model import build_model
from diagnose.terms import NOT_LISTED, Settings, Tally, Tree


@dataclass(frozen=True, slots=True)
class Learned:
    """Shares with past cases counted in; all is empty where the file's own figures stand."""

    asked: bool = False
    """Whether a store was named at all."""
    in_100: Mapping[tuple[str, ...], float] = field(default_factory=dict)
    """Cut set -> of 100 vehicles with the symptom, how many have it; empty where no case counts."""
    not_listed: float = 0.0
    """The same for what the tree does not list."""
    cases: Mapping[tuple[str, ...], float] = field(default_factory=dict)
    """Cut set -> how many confirmed cases turned out to be it, faded by their age where settings say so."""
    cases_not_listed: float = 0.0

    @property
    def total(self) -> float:
        """How many confirmed cases count."""
        return sum(self.cases.values()) + self.cases_not_listed

    def key(self) -> str:
        """What a drawing says of its figures; nothing of the file's own."""
        if not self.asked:
            return ""
        if not self.in_100:
            return "Shares: our judgement; no confirmed case of this symptom is kept there."
        total = f"{self._said(self.total)} confirmed {self._noun}"
        return f"Shares as the ranking has them: our judgement and {total}."

    def of_all(self, cases: float) -> str:
        """So many of the cases that count, in words; nothing where none does."""
        return f"{self._said(cases)} of {self.total:.0f} {self._noun}" if self.in_100 else ""

    @property
    def _noun(self) -> str:
        return "case" if round(self.total) == 1 else "cases"

    def _said(self, cases: float) -> str:
        whole = all(float(each).is_integer() for each in (*self.cases.values(), self.cases_not_listed))
        return f"{cases:.0f}" if whole else f"about {cases:.0f}"


BY_FILE = Learned()


def learned(tree: Tree, settings: Settings, tally: Tally, other_trees: frozenset[str]) -> Learned:
    """The shares of a tree with the sums of a store: the prior of docs/arithmetic.md."""
    model = build_model(tree, "technician", settings, tally, other_trees=other_trees)
    if not sum(model.confirmed.values()):
        return Learned(asked=True)
    shares = {id: 100 * float(share) for id, share in zip(model.ids, model.prior, strict=True)}
    cut_sets = {"+".join(causes): causes for causes in tree.cut_sets}
    return Learned(
        asked=True,
        in_100={causes: shares[id] for id, causes in cut_sets.items()},
        not_listed=shares[NOT_LISTED],
        cases={causes: model.confirmed.get(id, 0.0) for id, causes in cut_sets.items()},
        cases_not_listed=model.confirmed.get(NOT_LISTED, 0.0),
    )
