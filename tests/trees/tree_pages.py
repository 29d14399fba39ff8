"""The pages of docs/trees.md, one for each tree. To write them anew: python -m tests.trees.tree_pages"""

from __future__ import annotations

import re
from pathlib import Path

from diagnose.reasoning.bounds import least_minutes
from diagnose.reasoning.figures import figures
from diagnose.terms import NOT_LISTED
from tests.trees.ends import ends_of
from tests.trees.shipped import EVERY_TREE, LIBRARY, model_of, route_of, tree_of

DOCUMENT = Path(__file__).resolve().parents[2] / "docs" / "trees.md"
PAGES = re.compile(r"(?<=<!-- pages -->\n).*?(?=<!-- end of pages -->)", re.DOTALL)
TABLE = re.compile(r"(?<=<!-- trees -->\n).*?(?=<!-- end of trees -->)", re.DOTALL)
RULE = re.compile(r"^\| (?P<rule>[^|]+) (?:\| [^|]+ ){3}\| (?P<used>`[^|]+) \|$", re.MULTILINE)


def causes(id):
    """A tree's causes by falling share: share, what it says, and what is done about it."""
    model = model_of(id)
    order = sorted(range(len(model.ids)), key=lambda at: (-model.prior[at], at))
    lines = ["| of 100 | cause | what is done |", "|--:|---|---|"]
    for at in order:
        each = model.hypotheses[at]
        says = each.says if each.id != NOT_LISTED else "something that is not listed"
        lines.append(f"| {100 * model.prior[at]:.0f} | {says} | {done(id, each)} |")
    return lines


def done(id, each):
    """Who does what about one hypothesis, in short."""
    if each.id == NOT_LISTED:
        return tree_of(id).refer_to
    told = []
    for cause in each.causes:
        remedy = tree_of(id).events[cause].remedy
        if remedy.kind == "do":
            told.append(f"{remedy.by}, {remedy.hands}, {remedy.minutes:g} min")
        else:
            told.append(remedy.text if remedy.kind == "refer" else f"see {remedy.text}")
    return "; ".join(dict.fromkeys(told))


def figures_of(id):
    """What an owner has to expect, the lower bound beside it, and how the cases end."""
    model, route = model_of(id), route_of(id)
    expected = figures(route, model).expected
    return expected, least_minutes(model), len(route.nodes), ends_of(model, route)


def row(id):
    expected, least, steps, ends = figures_of(id)
    parts = [expected.cost, expected.hands_on, expected.wait, expected.price]
    shares = [ends.cured.sum(), ends.stopped.sum(), ends.wrong, ends.referred_of_curable]
    told = [*(f"{each:.0f}" for each in parts), f"{least / expected.cost:.2f}", f"{steps:,}"]
    return f"| [{id}](#{id}) | " + " | ".join([*told, *(f"{100 * each:.1f} %" for each in shares)]) + " |"


def table():
    head = [
        "tree",
        "minutes",
        "hands-on",
        "waiting",
        "money",
        "least",
        "steps",
        "cured",
        "stopped",
        "wrong",
        "untried",
    ]
    return (
        "\n".join([f"| {' | '.join(head)} |", "|---|" + "--:|" * (len(head) - 1), *map(row, EVERY_TREE)])
        + "\n"
    )


def page(id):
    tree = tree_of(id)
    said = [f"- {text}" for text in tree.sources] or [
        "- Shares, minutes and expectations: judgement, no source."
    ]
    return "\n".join(
        [
            f"## {id}",
            "",
            f"{tree.symptom}.",
            "",
            *causes(id),
            "",
            "Where its figures come from:",
            "",
            *said,
            "",
        ]
    )


def pages():
    return "\n" + "\n".join(page(id) for id in EVERY_TREE)


def written():
    """The document as it should be."""
    text = DOCUMENT.read_text(encoding="utf-8")
    return PAGES.sub(lambda _: pages(), TABLE.sub(lambda _: table(), text))


if __name__ == "__main__":
    DOCUMENT.write_text(written(), encoding="utf-8")
    print(f"{DOCUMENT.name}: {len(LIBRARY.ids())} trees")
