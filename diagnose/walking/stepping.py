"""What to do next where the arithmetic has to say it: along the route while the walk is on it, else anew.

A walk is on its route as long as the route's own questions, followed from its start, use up all findings. A
reading's weight, a finding given ahead, a remedy that could not be done, or a start that was taken back
lead off it. Off it the step is planned at once; a better plan for what follows may be made while that step
is on the screen (see `refining.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Protocol

from diagnose.terms import COULD_NOT, NOT_SURE, Ranked, Situation, Step, StepKind, Tree
from diagnose.walking.noting import noted_step
from diagnose.walking.past import SMELL_OF_GAS, Past, causes_of
from diagnose.walking.reasoner import Reasoner
from diagnose.walking.standing import Standing, ask_smell


class EdgeLike(Protocol):
    """Where an answer leads."""

    @property
    def to(self) -> int:
        """The node's place in the route."""


class NodeLike(Protocol):
    """A step of a route."""

    @property
    def kind(self) -> str:
        """What it is."""

    @property
    def of(self) -> str:
        """The id of what it is about."""

    @property
    def edges(self) -> Mapping[str, EdgeLike]:
        """Answer -> where it leads."""


class RouteLike(Protocol):
    """A compiled route (`reasoning.route.Route`)."""

    @property
    def start(self) -> int:
        """The place of the first node."""

    @property
    def nodes(self) -> Sequence[NodeLike]:
        """All nodes."""


_KINDS: dict[str, StepKind] = {
    "check": "check",
    "remedy": "remedy",
    "referral": "referral",
    "stop": "stop",
    "handover": "handover",
}


class Stepping:
    """Finds the next step of a walk; keeps the last answers, as views are asked for more than once."""

    def __init__(
        self, tree: Tree, reasoner: Reasoner, route: RouteLike | Callable[[], RouteLike | None] | None
    ) -> None:
        self._tree, self._reasoner, self._route = tree, reasoner, route
        self._ranked: tuple[Situation, tuple[Ranked, ...]] | None = None
        self._stepped: tuple[tuple[Situation, int, bool, Step | None], Step] | None = None

    def ranking(self, situation: Situation) -> tuple[Ranked, ...]:
        """Every hypothesis in falling share."""
        if self._ranked is None or self._ranked[0] != situation:
            self._ranked = (situation, self._reasoner.ranking(situation))
        return self._ranked[1]

    def step(self, past: Past, starts: int) -> tuple[Standing, Step | None]:
        """The next step; or gas to be smelt for, if hands were on the gas in an answer that was taken back.

        Only the very remedy that was taken back may be offered once more without that.
        """
        key = (past.situation, starts, past.restored(), noted_step(past))
        if self._stepped is None or self._stepped[0] != key:
            self._stepped = (key, self.reckon(*key))
        step = self._stepped[1]
        undone = past.gas_remedies(live=False)
        if undone and SMELL_OF_GAS in self._tree.checks and not (step.kind == "remedy" and step.of in undone):
            return ask_smell(past), None
        return Standing("reckoned"), step

    def to_note(self, past: Past, starts: int) -> Step | None:
        """The step that has to be noted before it is shown: of a plan that chance may have in hand or not.

        None on the route, where planning at once is the best there is, and where a step stands noted.
        """
        refinement = self._reasoner.refinement
        situation, restored = past.situation, past.restored()
        if refinement is None or self._noted(noted_step(past), situation, starts, restored) is not None:
            return None
        if not self._may_be_refined(situation, starts, restored):
            return None
        more_restored = self._more_restored(situation, restored)
        step = refinement.step(situation, starts, more_restored)
        return self._allowed_or_referral(
            step or self._reasoner.next_step(situation, starts, more_restored), starts, restored
        )

    def refine(self, past: Past, step: Step, starts: int) -> None:
        """Begin to plan better for what follows a step that is shown; returns at once, the step stays."""
        refinement, situation, restored = self._reasoner.refinement, past.situation, past.restored()
        if refinement is not None and self._may_be_refined(situation, starts, restored):
            refinement.begin(situation, step, starts, self._more_restored(situation, restored))

    def reckon(
        self, situation: Situation, starts: int, restored: bool = False, noted: Step | None = None
    ) -> Step:
        """The next step as it was noted, by route, or planned at once.

        `starts` and `restored` count what was taken back, too.
        """
        step = self._noted(noted, situation, starts, restored) or self._by_route(situation, starts, restored)
        if step is not None:
            return step
        step = self._reasoner.next_step(situation, starts, self._more_restored(situation, restored))
        return self._allowed_or_referral(step, starts, restored)

    def _noted(self, noted: Step | None, situation: Situation, starts: int, restored: bool) -> Step | None:
        """A noted step, if safety allows it still: more may have been started since."""
        if noted is None or not self._still_allowed(noted, starts, restored):
            return None
        bare = self._more_restored(situation, restored)
        return noted if self._reasoner.allows(situation, noted, starts, bare) else None

    def _by_route(self, situation: Situation, starts: int, restored: bool) -> Step | None:
        more_started = self._tree.tries is not None and starts > starts_in(self._tree, situation)
        if more_started or self._more_restored(situation, restored):
            return None
        return on_route(self._resolved(), _telling(self._tree, situation))

    def _may_be_refined(self, situation: Situation, starts: int, restored: bool) -> bool:
        refinement = self._reasoner.refinement
        if refinement is None or self._by_route(situation, starts, restored) is not None:
            return False
        return refinement.worth_it(situation, starts, self._more_restored(situation, restored))

    def _more_restored(self, situation: Situation, restored: bool) -> bool:
        """Whether the mains were restored in an answer that was taken back."""
        return restored and not restored_in(self._tree, situation)

    def _allowed_or_referral(self, step: Step, starts: int, restored: bool) -> Step:
        return step if self._still_allowed(step, starts, restored) else Step("referral", self._tree.refer_to)

    def _still_allowed(self, step: Step, starts: int, restored: bool) -> bool:
        """A last look, whoever planned it: no start beyond the tries, no second restoring of the mains."""
        checks = [self._tree.checks[step.of]] if step.kind == "check" else []
        remedies = [cause.remedy for cause in causes_of(self._tree, step.of)] if step.kind == "remedy" else []
        starting = step.kind == "remedy" or any(check.starts for check in checks)
        restoring = any(each is not None and each.restores_mains for each in (*checks, *remedies))
        out_of_tries = self._tree.tries is not None and starts >= self._tree.tries
        return not (starting and out_of_tries) and not (restoring and restored)

    def _resolved(self) -> RouteLike | None:
        if callable(self._route):
            self._route = self._route()
        return self._route


def on_route(route: RouteLike | None, situation: Situation) -> Step | None:
    """The step at which the route stands once all findings are followed; None where the walk has left it."""
    if route is None:
        return None
    findings, tried = dict(situation.findings), dict(situation.tried)
    node = route.nodes[route.start]
    while True:
        found = findings.pop(node.of, None) if node.kind == "check" else None
        became = tried.pop(node.of, None) if node.kind == "remedy" else None
        answer = found.answer if found is not None else became
        if answer is None or (found is not None and found.value is not None):
            break
        if answer == COULD_NOT:
            # The route reckons that whatever it offers can be done, and closes behind this; planning anew
            # finds what is still worth asking.
            return None
        edge = node.edges.get(answer)
        if edge is None:
            return None
        node = route.nodes[edge.to]
    left = [
        finding for finding in findings.values() if finding.answer != NOT_SURE or finding.value is not None
    ]
    if left or tried or node.kind not in _KINDS or (node.kind == "check" and node.of in situation.findings):
        return None
    return Step(_KINDS[node.kind], node.of)


def _telling(tree: Tree, situation: Situation) -> Situation:
    """Without the facts of which the tree expects nothing: they only say whether it is for this vehicle."""
    checks = {id: tree.checks[id] for id in situation.findings if id in tree.checks}
    told = {id: situation.findings[id] for id, check in checks.items() if check.expect or not check.fact}
    return Situation(told, situation.tried)


def starts_in(tree: Tree, situation: Situation) -> int:
    """How many starts a situation shows by itself."""
    checks = [tree.checks[id] for id in situation.findings if id in tree.checks]
    return sum(check.starts for check in checks) + sum(how == "not-cured" for how in situation.tried.values())


def restored_in(tree: Tree, situation: Situation) -> bool:
    """Whether a situation shows by itself that the mains were restored."""
    checks = [tree.checks[id] for id in situation.findings if id in tree.checks]
    done = [id for id, how in situation.tried.items() if how == "not-cured"]
    remedies = [cause.remedy for id in done for cause in causes_of(tree, id)]
    return any(each is not None and each.restores_mains for each in (*checks, *remedies))
