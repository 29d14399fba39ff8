"""The figures of docs/two-faults.md. To write its tables anew: python -m tests.reasoning.two_fault_figures"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from diagnose.reasoning.model import build_model
from tests.published.conftest import worked_tree
from tests.reasoning.by_hand import cause, check, do, faults
from tests.reasoning.by_hand import model_of as by_hand
from tests.reasoning.two_faults import KnowingOfBoth, Program, cost_of, drawn, every
from tests.trees.shipped import TREES, model_of

DOCUMENT = Path(__file__).resolve().parent.parent.parent / "docs" / "two-faults.md"
SMALL = ("lamp", "worked")
SMALL_ROW = re.compile(r"^\| (?P<tree>lamp|worked) \| (?P<figures>[0-9. |]+?) \|$", re.MULTILINE)
SHIPPED_ROW = re.compile(
    r"^\| (?P<tree>[a-z-]+) \| (?P<number>one|two) \| (?P<figures>[0-9. |±−-]+?) \|$", re.MULTILINE
)
NUMBERS = {"one": 1, "two": 2}
VEHICLES = 200
SEED = 7


def small(name):
    """A tree in which every vehicle can be counted; nobody is ever unsure."""
    if name == "worked":
        tree = worked_tree()
        sure = {id: replace(each, not_sure=0.0) for id, each in tree.checks.items()}
        return build_model(replace(tree, checks=sure))
    return by_hand(
        faults(
            battery=cause(40, do(minutes=30)),
            fuse=cause(30, do(minutes=8)),
            bulb=cause(25, do(minutes=12)),
        ),
        {
            "volts": check(
                not_sure=0, minutes=2, expect={"battery": {"one": 0.9}, "otherwise": {"two": 0.9}}
            ),
            "glow": check(not_sure=0, minutes=1, expect={"bulb": {"one": 0.85}, "otherwise": {"two": 0.75}}),
        },
    )


@cache
def exactly(name):
    """One fault without and with asking again, two faults without and with, and knowing of both."""
    model = small(name)
    told = []
    for number in (1, 2):
        for again in (False, True):
            program = Program(model, again)
            told.append(sum(chance * cost_of(program, each) for each, chance in every(model, number)))
    return (*told, KnowingOfBoth(model).cost())


@cache
def sampled(id, number):
    """Mean cost without and with asking again, their difference and its standard error."""
    model = model_of(id)
    vehicles = list(drawn(model, NUMBERS[number], SEED, VEHICLES))
    without, asking = (
        np.array([cost_of(program, each) for each in vehicles])
        for program in (Program(model, again=False), Program(model, again=True))
    )
    change = asking - without
    return without.mean(), asking.mean(), change.mean(), change.std(ddof=1) / len(vehicles) ** 0.5


def small_row(name):
    return f"| {name} | " + " | ".join(f"{each:.2f}" for each in exactly(name)) + " |"


def shipped_row(id, number):
    without, asking, change, error = sampled(id, number)
    return f"| {id} | {number} | {without:.1f} | {asking:.1f} | {change:.1f} ± {error:.1f} |"


def write():
    """Replace each row of the document by what is measured now."""
    text = DOCUMENT.read_text(encoding="utf-8")
    text = SMALL_ROW.sub(lambda found: small_row(found["tree"]), text)
    text = SHIPPED_ROW.sub(lambda found: shipped_row(found["tree"], found["number"]), text)
    DOCUMENT.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write()
    print(DOCUMENT.read_text(encoding="utf-8"))
    found = {each["tree"] for each in SHIPPED_ROW.finditer(DOCUMENT.read_text(encoding="utf-8"))}
    assert found == set(TREES)
