"""Simulated vehicles along a route: what somebody knows each time something is about to be concluded."""

from __future__ import annotations

import numpy as np

from diagnose.terms import NOT_CURED, NOT_SURE, Finding, Situation


def walks_of(model, route, seed: int, walks: int, wrong: int | None = None):
    """For each walk the situations at its remedies and at its referral, causes and answers being drawn.

    With `wrong` the answer to that check (counted behind the danger questions) is a mistaken one.
    """
    rng = np.random.default_rng(seed)
    for _ in range(walks):
        yield list(_walk(model, route, rng, wrong))


def _walk(model, route, rng, wrong):
    truth = rng.choice(len(model.ids), p=model.prior)
    node, findings, tried, asked = route.nodes[route.start], {}, {}, 0
    while node.kind in ("check", "remedy"):
        if node.kind == "check":
            table = model.checks[model.check_index[node.of]]
            answer = _answer(table, truth, rng, asked == wrong)
            asked += not table.first
            findings[node.of] = Finding(node.of, answer)
        else:
            yield Situation(dict(findings), dict(tried))
            at = model.index[node.of]
            if truth == at and rng.random() < model.hypotheses[at].cures:
                return
            answer = tried[node.of] = NOT_CURED
        node = route.nodes[node.edges[answer].to]
    if node.kind in ("referral", "handover"):
        yield Situation(dict(findings), dict(tried))


def _answer(table, truth, rng, mistaken):
    ids = table.check.answer_ids()
    if table.first:
        return ids[0]
    if rng.random() < table.check.not_sure:
        return NOT_SURE
    at = int(rng.choice(len(ids), p=table.rows[truth]))
    return ids[(at + 1 + rng.integers(len(ids) - 1)) % len(ids)] if mistaken else ids[at]
