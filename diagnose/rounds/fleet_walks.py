"""What walks are still expected to take, by the planner's figures, and to whom they may lead.

The minutes of a walk are those of the planner that chooses the next question while somebody waits: what
following it from where the walk stands is expected to cost, waiting and money weighed in and each referral
with its own minutes (`reasoning.refining.expected_minutes`). Nothing is compiled for it, so a fleet's walks
take hundredths of a second each; walks that stand alike are reckoned once.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from diagnose.cases.records import CaseRecord
from diagnose.terms import Settings, Situation, Tally, Tree
from diagnose.walking.past import read_past

if TYPE_CHECKING:
    from diagnose.reasoning.model import Model

LEAST_OF_ONES_OWN = 5.0
"""A walk takes at least so many minutes, even one that nearly always ends in a referral (judgement)."""


@dataclass(frozen=True, slots=True)
class WalkAhead:
    """What is expected of a walk from where it stands."""

    minutes: float
    """The planner's expected minutes, referrals counted with theirs."""
    own_minutes: float
    """The same without the minutes of referrals: what somebody here spends."""
    passes: Mapping[str, float] = field(default_factory=dict)
    """Referral -> the chance that what is wrong belongs there, by the shares of the causes."""


class Walks:
    """Walks of a technician from their start or from where a case stands; each figure is reckoned once."""

    def __init__(
        self,
        tree_of: Callable[[str], Tree | None],
        others: frozenset[str],
        settings: Settings = Settings(),  # noqa: B008 - frozen
        tally_of: Callable[[Tree], Tally] = lambda _: Tally(),
    ) -> None:
        """`tree_of` gives a tree by its id, or None where it is not at hand; `tally_of` its past cases."""
        self._tree_of, self._others, self._settings, self._tally_of = tree_of, others, settings, tally_of
        self._models: dict[str, Model] = {}
        self._known: dict[tuple[str, str], WalkAhead | None] = {}

    def from_start(self, tree: str) -> WalkAhead | None:
        """A walk that has not begun; None where the tree is not at hand."""
        return self._ahead(tree, Situation())

    def from_case(self, record: CaseRecord) -> WalkAhead | None:
        """A case's walk from where it stands; None where its tree is not at hand."""
        tree = self._tree_of(record.symptom)
        if tree is None:
            return None
        return self._ahead(record.symptom, read_past(tree, record.entries).situation)

    def model(self, tree: str) -> Model | None:
        """A technician's model of a tree, with its past cases; None where it is not at hand."""
        found = self._tree_of(tree)
        return self._model_of(found) if found is not None else None

    def title(self, tree: str) -> str:
        """The symptom in words; its id where the tree is not at hand."""
        found = self._tree_of(tree)
        return found.symptom if found is not None else tree

    def _ahead(self, id: str, situation: Situation) -> WalkAhead | None:
        key = (id, repr((sorted(situation.findings.items()), sorted(situation.tried.items()))))
        if key not in self._known:
            tree = self._tree_of(id)
            self._known[key] = None if tree is None else self._reckoned(tree, situation)
        return self._known[key]

    def _model_of(self, tree: Tree) -> Model:
        from diagnose.reasoning.model import build_model

        if tree.id not in self._models:
            tally = self._tally_of(tree)
            self._models[tree.id] = build_model(tree, "technician", self._settings, tally, self._others)
        return self._models[tree.id]

    def _reckoned(self, tree: Tree, situation: Situation) -> WalkAhead:
        from diagnose.reasoning.planning import planner_at_once
        from diagnose.reasoning.refining import expected_minutes
        from diagnose.reasoning.states import state_of

        model = self._model_of(tree)
        state = state_of(model, situation)
        minutes = float(expected_minutes(model, planner_at_once(model, state), state))
        passes = _passes(model, state.normalised().weight[0].tolist())
        referred = sum(chance * tree.referrals[id].minutes for id, chance in passes.items())
        return WalkAhead(minutes, max(min(minutes, LEAST_OF_ONES_OWN), minutes - referred), passes)


def _passes(model: Model, belief: list[float]) -> dict[str, float]:
    """Whom the causes belong to that nobody here may put right, each with their part of the belief."""
    treated = {table.hypothesis for table in model.remedies}
    refer_to, *others = model.endings[: model.referrals]
    found: dict[str, float] = {}
    for hypothesis, share in enumerate(belief):
        if hypothesis in treated or share <= 0:
            continue
        whose = next((end for end in others if end.serves[hypothesis]), refer_to)
        found[whose.step.of] = found.get(whose.step.of, 0.0) + share
    return found
