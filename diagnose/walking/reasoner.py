"""The arithmetic as a walk asks for it, loaded late.

The danger questions come from the tree alone, so they can be on the screen while the arrays are still being
built; `load` may be called from another thread meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING, Protocol, TypeVar, cast

from diagnose.terms import Event, Ranked, Role, Settings, Situation, Step, Tally, Tree
from diagnose.walking.refining import Meanwhile, Refinement

if TYPE_CHECKING:
    from diagnose.reasoning.fitting import Doubts
    from diagnose.reasoning.learning import Return
    from diagnose.reasoning.model import Model
    from diagnose.reasoning.route import Route


T = TypeVar("T")
KEPT = 8
"""How many of the latest reckonings are kept."""


class Whys(Protocol):
    """Why a step: what `reasoning.why.why` returns."""

    @property
    def saves(self) -> float:
        """Expected minutes that it saves against doing without it."""

    @property
    def separates(self) -> tuple[str, ...]:
        """The hypotheses that its answers tell apart."""

    @property
    def leads_to(self) -> Mapping[str, Step]:
        """Answer -> the step after it."""


class Reasoner(Protocol):
    """What a walk asks of the arithmetic."""

    def ranking(self, situation: Situation) -> tuple[Ranked, ...]:
        """Every hypothesis in falling share."""

    def next_step(self, situation: Situation, starts: int = 0, restored: bool = False) -> Step:
        """The step most worth its minutes among what safety allows.

        `starts` is how many tries are used up, and `restored` whether the mains were restored, where more is
        known than the situation shows (an answer that was taken back has been acted on all the same).
        """

    def allows(self, situation: Situation, step: Step, starts: int = 0, restored: bool = False) -> bool:
        """Whether safety allows a step; `starts` and `restored` as above."""

    @property
    def refinement(self) -> Refinement | None:
        """What plans on while somebody reads; None where nobody does, so that all is planned at once."""

    def why(self, situation: Situation, step: Step, starts: int = 0) -> Whys:
        """What speaks for a step."""

    def doubts(self, situation: Situation) -> Doubts:
        """What speaks against concluding anything from the findings yet."""

    def asked_again_after(self, situation: Situation, remedy: str) -> tuple[str, ...]:
        """The checks whose answer a remedy that did not cure may have changed, the strongest first."""

    def may_ask_again(self, situation: Situation, check: str, starts: int = 0) -> bool:
        """Whether a check that was answered may safely be asked once more."""

    def worth_asking_again(self, situation: Situation, check: str, starts: int = 0) -> bool:
        """Whether it may be, and another answer would lead to another next step."""


@dataclass(frozen=True, slots=True)
class Terms:
    """What a ranking is reckoned with, apart from the tree."""

    role: Role = "owner"
    settings: Settings = Settings()  # noqa: RUF009 - frozen
    tally: Tally = Tally()  # noqa: RUF009 - frozen
    other_trees: Container[str] = ()
    hurry: bool = False
    cannot: frozenset[str] = frozenset()
    """What this person cannot do, in the words of `needs`."""


class RoomReasoner:
    """The reasoning room, for one tree; its model and its route are made when first asked for."""

    def __init__(
        self,
        tree: Tree,
        terms: Terms | Callable[[], Terms] = Terms(),
        cache: Path | None = None,
        meanwhile: Meanwhile | None = None,
    ) -> None:
        """`meanwhile` is what has time to spare while somebody reads, if anything has."""
        self._tree, self._given, self._cache = tree, terms, cache
        self._lock = RLock()
        self._terms: Terms | None = None
        self._model: Model | None = None
        self._bare: Model | None = None
        self._route: Route | None = None
        self._lately: list[tuple[tuple[object, ...], object]] = []
        self._refinement = Refinement(self._model_without, meanwhile) if meanwhile is not None else None

    @property
    def refinement(self) -> Refinement | None:
        """What plans on while somebody reads, where there is time to spare."""
        return self._refinement

    def load(self, given_up: Callable[[], bool] = lambda: False) -> None:
        """Makes model and route now, then what intervals will want; safe from another thread."""
        from diagnose.reasoning.ranking import draw_ahead

        self.route()
        draw_ahead(self.model, given_up)

    @property
    def model(self) -> Model:
        """The tree as arrays."""
        with self._lock:
            if self._model is None:
                self._model = _model(self._tree, self._reckoned_with())
            return self._model

    def route(self) -> Route:
        """The compiled and proved route, from the cache folder where it is there."""
        from diagnose.walking.shelf import route_for

        with self._lock:
            if self._route is None:
                self._route = route_for(self.model, self._cache)
            return self._route

    def ranking(self, situation: Situation) -> tuple[Ranked, ...]:
        """Every hypothesis in falling share."""
        from diagnose.reasoning.ranking import ranking

        return ranking(self.model, situation)

    def next_step(self, situation: Situation, starts: int = 0, restored: bool = False) -> Step:
        """The step most worth its minutes; see `Reasoner`."""
        from diagnose.reasoning.planning import next_step

        return next_step(self._model_without(restored), situation, starts)

    def allows(self, situation: Situation, step: Step, starts: int = 0, restored: bool = False) -> bool:
        """Whether safety allows a step."""
        from diagnose.reasoning.allowing import allowed_steps

        return step in allowed_steps(self._model_without(restored), situation, starts)

    def why(self, situation: Situation, step: Step, starts: int = 0) -> Whys:
        """What speaks for a step."""
        from diagnose.reasoning.why import why

        return why(self.model, situation, step, starts)

    def returned(self) -> tuple[Return, ...]:
        """How the outcomes of each ending came back, of the cases that the ranking learns from."""
        from diagnose.reasoning.learning import returns

        return returns(self._reckoned_with().tally)

    def doubts(self, situation: Situation) -> Doubts:
        """What speaks against concluding anything from the findings yet."""
        from diagnose.reasoning.fitting import doubts

        return self._once(("doubts", situation), lambda: doubts(self.model, situation))

    def asked_again_after(self, situation: Situation, remedy: str) -> tuple[str, ...]:
        """The checks whose answer a remedy that did not cure may have changed."""
        from diagnose.reasoning.faults_at_once import asked_again_after

        return asked_again_after(self.model, situation, remedy)

    def may_ask_again(self, situation: Situation, check: str, starts: int = 0) -> bool:
        """Whether a check that was answered may safely be asked once more."""
        from diagnose.reasoning.faults_at_once import may_ask_again

        return may_ask_again(self.model, situation, check, starts)

    def worth_asking_again(self, situation: Situation, check: str, starts: int = 0) -> bool:
        """Whether it may be, and another answer would lead to another next step."""
        from diagnose.reasoning.faults_at_once import worth_asking_again

        return self._once(
            ("worth", situation, check, starts),
            lambda: worth_asking_again(self.model, situation, check, starts),
        )

    def _once(self, asked: tuple[object, ...], reckon: Callable[[], T]) -> T:
        """What was reckoned lately for equal arguments, or now: a view is looked at more than once."""
        for known, told in self._lately:
            if known == asked:
                return cast("T", told)
        now = reckon()
        self._lately = [(asked, now), *self._lately][:KEPT]
        return now

    def _model_without(self, restoring: bool) -> Model:
        """The model; with `restoring` that of the tree without any step that switches the mains on again."""
        if not restoring:
            return self.model
        with self._lock:
            if self._bare is None:
                self._bare = _model(without_restoring(self._tree), self._reckoned_with())
            return self._bare

    def _reckoned_with(self) -> Terms:
        if self._terms is None:
            self._terms = self._given() if callable(self._given) else self._given
        return self._terms


def without_restoring(tree: Tree) -> Tree:
    """The tree as it stands once the mains were restored: no check does it again, nor does a remedy."""

    def barred(event: Event) -> Event:
        remedy = event.remedy
        if remedy is None or not remedy.restores_mains:
            return event
        return replace(event, remedy=replace(remedy, kind="refer", text="electrician", restores_mains=False))

    # A check that restores the mains stays as evidence (it may have been answered), for nobody to be asked.
    checks = {
        id: replace(check, fact=True) if check.restores_mains and id not in tree.ask_first else check
        for id, check in tree.checks.items()
    }
    return replace(tree, events={id: barred(each) for id, each in tree.events.items()}, checks=checks)


def _model(tree: Tree, terms: Terms) -> Model:
    from diagnose.reasoning.model import build_model

    return build_model(
        tree, terms.role, terms.settings, terms.tally, terms.other_trees, terms.hurry, terms.cannot
    )
