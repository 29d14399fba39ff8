"""The small worked tree that several checks rest on, built without any reader of files.

Its numbers were worked by a separate plain implementation of the papers that each test names; the papers are
cited from memory.
"""

from __future__ import annotations

import pytest

from diagnose.terms import TOP, Answer, Band, Check, CuredWhen, Event, Place, Reading, Referral, Remedy, Tree

IN_100 = {"fuse": 40.0, "pump": 25.0, "pipe": 20.0, "tank": 10.0}
MINUTES = {"fuse": 8.0, "pump": 30.0, "pipe": 20.0, "tank": 4.0}


def worked_tree(*, places=(), wait=0.0, pump_price=0.0, workshop_price=0.0):
    """Four causes in two branches, one question, one reading, one referral of 120 minutes; not-listed 5."""
    events = {
        TOP: Event(TOP, "It does not work", "any_of", ("electrical", "water")),
        "electrical": Event("electrical", "Something electrical", "any_of", ("fuse", "pump")),
        "fuse": cause("fuse", "electrical", places),
        "pump": cause("pump", "electrical", places, cures=0.9, price=pump_price),
        "water": Event("water", "Something about water", "any_of", ("pipe", "tank")),
        "pipe": cause("pipe", "water", places),
        "tank": cause("tank", "water", places),
    }
    hum = Check(
        id="hum",
        ask="Does it hum?",
        how="",
        hands="look",
        by="owner",
        minutes=2.0,
        answers=(Answer("yes", "y"), Answer("no", "n")),
        expect={"fuse": {"no": 0.98}, "pump": {"yes": 0.5}, "otherwise": {"yes": 0.85}},
        not_sure=0.05,
        at="locker" if "hum" in places else None,
    )
    volts = Check(
        id="volts",
        ask="What does it show?",
        how="",
        hands="look",
        by="owner",
        minutes=3.0,
        answers=(Answer("flat", ""), Answer("low", ""), Answer("good", "")),
        reading=Reading("V", 0.0, 16.0, 0.05),
        bands=(Band("flat", 0.0, 11.9), Band("low", 11.9, 12.4), Band("good", 12.4, 16.0)),
        expect={
            "electrical": {"flat": 0.25, "low": 0.25},
            "pump": {"low": 0.75},
            "otherwise": {"good": 0.85},
        },
        not_sure=0.1,
        wait=wait,
    )
    return Tree(
        id="worked",
        file="worked.yaml",
        digest="0",
        symptom="It does not work",
        system="water",
        refer_to="workshop",
        cured_when=CuredWhen("Does it work?"),
        events=events,
        checks={"hum": hum, "volts": volts},
        cut_sets=(("fuse",), ("pump",), ("pipe",), ("tank",)),
        referrals={"workshop": Referral("workshop", "a workshop", 120.0, "", "", price=workshop_price)},
        places={"locker": Place("locker", "in the locker", 25.0)},
    )


def cause(id, branch, places, cures=1.0, price=0.0):
    """A cause of the worked tree with its remedy, done at the locker where `places` names it."""
    remedy = Remedy(
        "do",
        f"Mend the {id}",
        minutes=MINUTES[id],
        cures=cures,
        price=price,
        at="locker" if id in places else None,
    )
    return Event(
        id,
        f"The {id}",
        None,
        (),
        in_100=IN_100[id],
        remedy=remedy,
        chain=(branch,),
        above=frozenset({branch}),
    )


@pytest.fixture
def tree():
    """The worked tree."""
    return worked_tree()


@pytest.fixture
def tree_with_locker():
    """The same where getting to the locker takes 25 minutes, the reading waits and two steps cost money."""
    return worked_tree(places=("hum", "pipe", "tank"), wait=20.0, pump_price=10.0, workshop_price=40.0)
