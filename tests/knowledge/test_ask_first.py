"""The danger questions: which, in what order, and what may follow.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

# ruff: noqa: E501 (a message is stated whole)

from __future__ import annotations

import pytest

ROWS = [
    (
        "begin with",
        "[smell-of-gas, co-alarm, battery-harmed, flue-seen]",
        "[co-alarm, smell-of-gas, battery-harmed]",
        ["7:1: ask_first has to begin with smell-of-gas, co-alarm, since gas occurs here"],
    ),
    (
        "gas needs",
        "[smell-of-gas, co-alarm, battery-harmed, flue-seen]",
        "[smell-of-gas, battery-harmed]",
        ["7:1: ask_first lacks co-alarm, which gas needs"],
    ),
    (
        "high-current needs",
        "[smell-of-gas, co-alarm, battery-harmed, flue-seen]",
        "[smell-of-gas, co-alarm]",
        ["7:1: ask_first lacks battery-harmed, which high-current needs"],
    ),
    (
        "mains needs",
        "hazard: none",
        "hazard: mains",
        ["7:1: ask_first lacks mains-harmed, which mains needs"],
    ),
    (
        "all of them missing",
        "ask_first: [smell-of-gas, co-alarm, battery-harmed, flue-seen]\n",
        "",
        [
            "1:1: tree lacks ask_first, which gas and high-current need; write ask_first: [smell-of-gas, co-alarm, battery-harmed]"
        ],
    ),
    (
        "a check's hazard counts",
        "    starts: true\n",
        "    starts: true\n    hazard: mains\n",
        ["7:1: ask_first lacks mains-harmed, which mains needs"],
    ),
    (
        "fixed ones may be added",
        "battery-harmed, flue-seen]",
        "mains-harmed, battery-harmed, flue-seen]",
        [],
    ),
    (
        "an empty list",
        "[smell-of-gas, co-alarm, battery-harmed, flue-seen]",
        "[]",
        [
            "7:1: ask_first lacks battery-harmed, which high-current needs",
            "7:1: ask_first lacks smell-of-gas and co-alarm, which gas needs",
        ],
    ),
    (
        "no list",
        "[smell-of-gas, co-alarm, battery-harmed, flue-seen]",
        "smell-of-gas",
        ['7:12: ask_first wants a list of ids [in brackets], not "smell-of-gas"'],
    ),
    (
        "further before",
        "[smell-of-gas, co-alarm, battery-harmed, flue-seen]",
        "[smell-of-gas, co-alarm, flue-seen, battery-harmed]",
        ['7:37: ask_first has "flue-seen" before battery-harmed; further checks come after'],
    ),
    (
        "no stop",
        "battery-harmed, flue-seen]",
        "battery-harmed, flame]",
        ['7:53: ask_first names "flame", which has no stop_on, so it cannot stop a walk'],
    ),
    (
        "fact",
        "battery-harmed, flue-seen]",
        "battery-harmed, stored]",
        ['7:53: ask_first names "stored", which is a fact; facts are answered ahead'],
    ),
    (
        "unknown check",
        "battery-harmed, flue-seen]",
        "battery-harmed, flu-seen]",
        ['7:53: ask_first names "flu-seen", which is no check here (did you mean "flue-seen"?)'],
    ),
    (
        "technician's",
        "    hands: look\n    by: owner\n    minutes: 2\n",
        "    hands: look\n    by: technician\n    minutes: 2\n",
        ['7:53: ask_first names "flue-seen", which is not by: owner; everybody is asked these'],
    ),
    (
        "twice",
        "battery-harmed, flue-seen]",
        "battery-harmed, flue-seen, flue-seen]",
        ['7:64: "flue-seen" stands twice in ask_first'],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_said_of_ask_first(changed, old, new, said):
    assert changed(old, new) == said
