"""More than one fault at once: which checks to ask again after a remedy that was done and did not cure.

The arithmetic takes just one thing to be wrong. After a long lay-up that need not be so: a battery was flat,
was charged, and the pump is still dead because its fuse has gone too. Then what the flat battery made one see
("the panel reads low") is held against every cause that is left, though the remedy has explained it and may
have changed it.

Nothing in the arithmetic is bent for that. Instead the checks are named whose answer the remedy may have
changed: asked again, the new finding takes the place of the old one, and only what is so now counts. A check
is named if

- its finding spoke for what the remedy puts right: it is `SPOKE_FOR` times as likely there as over the rest;
- what one expects to see there differs markedly from the rest: by `DIFFERS` of all cases (total variation);
- asking it again can do no harm: it restores no mains, and it is no danger question (those have rules of
  their own).

And it is worth its minutes only if some other answer would lead to another next step.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.allowing import allowed
from diagnose.reasoning.decisions import by_look_ahead
from diagnose.reasoning.evidence import log_likelihood
from diagnose.reasoning.model import Model
from diagnose.reasoning.states import joined, state_of
from diagnose.terms import NOT_SURE, Finding, Situation

Array = NDArray[np.float64]

SPOKE_FOR = 2.0
DIFFERS = 0.3


def asked_again_after(model: Model, situation: Situation, remedy: str) -> tuple[str, ...]:
    """The checks whose finding the remedy of that cut set explains and may have changed, the strongest first.

    Empty for a cut set that the tree does not have. Only checks that this role may be asked are named.
    """
    if remedy not in model.index:
        return ()
    rest = model.prior.copy()
    rest[model.index[remedy]] = 0.0
    rest /= rest.sum()
    named = []
    for id, finding in situation.findings.items():
        if finding.answer != NOT_SURE and _may_be_asked_again(model, id):
            spoke = _how_it_spoke(model, finding, model.index[remedy], rest)
            differs = _how_rows_differ(model.rows[id], model.index[remedy], rest)
            if spoke >= np.log(SPOKE_FOR) and differs >= DIFFERS:
                named.append((-spoke, model.check_index[id], id))
    return tuple(id for *_, id in sorted(named))


def may_ask_again(model: Model, situation: Situation, check: str, starts: int = 0) -> bool:
    """Whether a check that was answered may be asked once more in this situation.

    No fact, no danger question and nothing that switches the mains on; nothing while safety wants a referral;
    and no start of an appliance whose starts are numbered: each is kept for a remedy's trial. (In simulated
    vehicles, spending one on asking again cost more than it brought.)
    """
    if check not in situation.findings or not _may_be_asked_again(model, check):
        return False
    if model.tree.checks[check].starts and model.tree.tries is not None:
        return False
    # Whatever is free to hand over is free to ask: neither a danger question nor a referral is forced.
    return bool(allowed(model, state_of(model, situation, starts)).hand_over[0])


def worth_asking_again(model: Model, situation: Situation, check: str, starts: int = 0) -> bool:
    """Whether a check may be asked again and some other answer would lead to another next step.

    The step is that of one-step look-ahead; an answer that stops is not looked behind.
    """
    if not may_ask_again(model, situation, check, starts):
        return False
    found = situation.findings[check]
    others = [answer for answer in model.tree.checks[check].answer_ids() if answer != found.answer]
    ways = [situation, *(_with(situation, Finding(check, answer)) for answer in others)]
    # One look-ahead for all of them at once: somebody is waiting, and both sides are planned alike.
    steps = by_look_ahead(model, joined([state_of(model, way, starts) for way in ways]))
    return bool((steps != steps[0]).any())


def _with(situation: Situation, finding: Finding) -> Situation:
    """The situation with a finding in place of the one that was made before."""
    return replace(situation, findings={**situation.findings, finding.check: finding})


def _may_be_asked_again(model: Model, id: str) -> bool:
    if id not in model.check_index:
        return False
    table = model.checks[model.check_index[id]]
    return not table.first and not table.check.restores_mains


def _how_it_spoke(model: Model, finding: Finding, at: int, rest: Array) -> float:
    """ln of how many times likelier the finding is under the hypothesis than over the rest."""
    logs = log_likelihood(model, Situation({finding.check: finding}))
    with np.errstate(divide="ignore"):
        return float(logs[at] - np.logaddexp.reduce(logs + np.log(rest)))


def _how_rows_differ(rows: Array, at: int, rest: Array) -> float:
    """Total variation between what the hypothesis and the rest lead one to see."""
    return float(np.abs(rows[at] - rest @ rows).sum() / 2)
