"""The figures of docs/robustness.md. To write its tables anew: python -m tests.reasoning.robust_figures"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import numpy as np

from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.robustness import cost_by_cause, drawn_truths, lost
from tests.trees.shipped import TREES, model_of, route_of

DOCUMENT = Path(__file__).resolve().parent.parent.parent / "docs" / "robustness.md"
ROW = re.compile(
    r"^\| (?P<tree>[a-z-]+) \| (?P<strength>whole|half) \| (?P<figures>[0-9. |]+?) \|$", re.MULTILINE
)
STRENGTHS = {"whole": 1.0, "half": 0.5}
TRUTHS_COSTED = 4000
TRUTHS_PLANNED = 10


def spread(id, strength):
    """What the route costs at the file's shares, and the 5 and 95 % points over drawn truths."""
    model = model_of(id)
    costs = cost_by_cause(route_of(id), model)
    here = drawn_truths(model, TRUTHS_COSTED, STRENGTHS[strength]) @ costs
    return [float(model.prior @ costs), *np.quantile(here, [0.05, 0.95]).tolist()]


@cache
def measured(id, strength):
    """Minutes lost against routes planned for the truths: a route is compiled for each of them."""
    model = model_of(id)
    truths = drawn_truths(model, TRUTHS_PLANNED, STRENGTHS[strength])
    return lost(model, route_of(id), truths, compile_route)


def row(id, strength):
    found = measured(id, strength)
    told = [*(f"{each:.1f}" for each in spread(id, strength)), f"{found.mean:.2f}", f"{found.worst:.2f}"]
    return f"| {id} | {strength} | " + " | ".join(told) + " |"


def write():
    """Replace each row of the document by what is measured now."""
    text = DOCUMENT.read_text(encoding="utf-8")
    text = ROW.sub(lambda found: row(found["tree"], found["strength"]), text)
    DOCUMENT.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write()
    print(DOCUMENT.read_text(encoding="utf-8"))
    assert {found["tree"] for found in ROW.finditer(DOCUMENT.read_text(encoding="utf-8"))} == set(TREES)
