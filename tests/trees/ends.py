"""How the cases of a tree end, by its own figures. To see it: python -m tests.trees.ends ID or FILE ...

Nothing is drawn: the chance of every way through the route is followed for every cause at once. A case ends
*right* if it is cured or stopped for a danger that was answered, or handed on where that is all that can be
done: the cause's own remedy is a referral, another tree's or not this person's, or it was tried and failed,
or nobody listed it. *Not sure* at a danger question stops, too, as do honest mistakes there.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass

import numpy as np

from diagnose.knowledge.collection import Library
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.figures import figures
from diagnose.reasoning.model import build_model
from diagnose.reasoning.robustness import _chances


@dataclass(frozen=True)
class Ends:
    """Shares of all cases (hypotheses in the model's order): how each cause's cases end."""

    model: object
    cured: np.ndarray
    stopped: np.ndarray
    given_up: np.ndarray
    """Handed on although this person could have put it right, and that was not tried."""
    astray: np.ndarray
    """Handed over to a tree that does not know that cause."""
    handed_on: np.ndarray
    """Handed on rightly."""

    @property
    def curable(self):
        return np.array([each.ending == "do" for each in self.model.hypotheses])

    @property
    def wrong(self):
        """Of all cases, how many end without cure or right referral."""
        return float(self.given_up.sum() + self.astray.sum())

    @property
    def referred_of_curable(self):
        """Of the cases that this person could cure, how many are handed on untried."""
        could = float(self.model.prior[self.curable].sum())
        return float(self.given_up.sum()) / could if could else 0.0


def ends_of(model, route):
    """Follows every cause through the route, with what was tried for it apart from what was not."""
    width = len(model.ids)
    could = np.array([each.ending == "do" for each in model.hypotheses])
    found = {kind: np.zeros(width) for kind in ("cured", "stopped", "given_up", "astray", "handed_on")}
    # For each node: (starts, mains restored) -> shares of causes not tried, and tried in vain.
    arriving = [{} for _ in route.nodes]
    arriving[route.start][0, False] = np.array([model.prior, np.zeros(width)])
    for at, node in enumerate(route.nodes):
        for (starts, restored), both in arriving[at].items():
            fresh, tried = both
            if node.kind == "cured":
                found["cured"] += fresh + tried
            elif node.kind == "stop":
                found["stopped"] += fresh + tried
            elif node.kind in ("referral", "handover"):
                known = np.array([each.target == node.of for each in model.hypotheses])
                astray = ~known & ~could if node.kind == "handover" else np.zeros(width, dtype=bool)
                open_to_it = could & ~_barred(model, starts, restored)
                found["given_up"] += np.where(open_to_it, fresh, 0)
                found["astray"] += np.where(astray, fresh + tried, 0)
                found["handed_on"] += np.where(astray, 0, np.where(open_to_it, tried, fresh + tried))
            else:
                onward = _with_step(model, node, starts, restored)
                own = np.zeros(width, dtype=bool)
                if node.kind == "remedy":
                    own[model.remedies[model.remedy_index[node.of]].hypothesis] = True
                for answer, chance in _chances(model, node).items():
                    moved = both * chance
                    failed = own & (answer != "cured")
                    moved = np.array(
                        [np.where(failed, 0, moved[0]), moved[1] + np.where(failed, moved[0], 0)]
                    )
                    to = arriving[node.edges[answer].to]
                    to[onward] = to.get(onward, 0) + moved
    return Ends(model, **found)


def _with_step(model, node, starts, restored):
    """The starts used up and whether the mains are restored, once a step was taken."""
    if node.kind == "remedy":
        return starts + 1, restored or model.remedies[model.remedy_index[node.of]].restores_mains
    check = model.tree.checks[node.of]
    return starts + int(check.starts), restored or check.restores_mains


def _barred(model, starts, restored):
    """The causes whose remedy safety bars by then."""
    if model.tree.tries is not None and starts >= model.tree.tries:
        return np.ones(len(model.ids), dtype=bool)
    barred = np.zeros(len(model.ids), dtype=bool)
    for each in model.remedies:
        barred[each.hypothesis] = restored and each.restores_mains
    return barred


def leading_findings(model, cause):
    """The shares once every check has given the answer that speaks most for a cause against the others."""
    weight = np.log(model.prior)
    at = model.index[cause]
    others = np.delete(np.arange(len(model.ids)), at)
    for rows in model.rows.values():
        rest = model.prior[others] @ rows[others]
        weight = weight + np.log(
            np.maximum(rows[:, int(np.argmax(rows[at] / np.maximum(rest, 1e-12)))], 1e-12)
        )
    share = np.exp(weight - weight.max())
    return share / share.sum()


def separates(model, check):
    """How far a check's rows differ at most, between any two causes."""
    rows = model.rows[check]
    return float((rows.max(axis=0) - rows.min(axis=0)).max())


def _say(word):
    library = Library()
    tree = library.tree(word)
    walked = set()
    for role in ("owner", "technician"):
        model = build_model(tree, role, other_trees=frozenset(library.ids()))
        route = compile_route(model)
        ends = ends_of(model, route)
        walked |= {node.of for node in route.nodes if node.kind == "remedy" and node.probability > 0}
        cost = figures(route, model).expected.cost
        print(f"{tree.id}, {role}: {cost:.1f} minutes, {len(route.nodes)} steps; of all cases", end=" ")
        print(f"{ends.wrong:.2%} end wrong (3 % at most), {ends.stopped.sum():.1%} are stopped;", end=" ")
        print(f"of the curable {ends.referred_of_curable:.1%} are handed on untried (10 % at most)")
        for at, each in enumerate(model.hypotheses):
            part = model.prior[at]
            leads = leading_findings(model, each.id) if role == "owner" else None
            first = (
                ""
                if leads is None
                else f" leads with {leads[at]:.2f}"
                if leads.argmax() == at
                else " NEVER LEADS"
            )
            print(
                f"  {each.id:28} {part:6.1%} {each.ending:5} cured {ends.cured[at] / part:5.0%}"
                f"  given up {ends.given_up[at] / part:5.0%}  stopped {ends.stopped[at] / part:5.0%}{first}"
            )
        asked = {node.of for node in route.nodes if node.kind == "check" and node.probability > 0}
        never = [each.check.id for each in model.checks if each.check.id not in asked]
        print("  never asked:", ", ".join(never) or "-")
    flat = [id for id in model.rows if id not in tree.ask_first and separates(model, id) < 0.1]
    print("  checks that separate hardly anything:", ", ".join(flat) or "-")
    print("  remedies never walked:", ", ".join(set(model.remedy_index) - walked) or "-")


if __name__ == "__main__":
    for word in sys.argv[1:]:
        _say(word)
