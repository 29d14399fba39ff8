"""Old ids.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

# ruff: noqa: E501 (a message is stated whole)

from __future__ import annotations

import pytest

ROWS = [
    (
        "was live",
        "was: gas-missing",
        "was: flame",
        ['17:12: was names "flame", which is in use in this tree'],
    ),
    (
        "was itself",
        "was: gas-missing",
        "was: no-gas",
        ['17:12: was names "no-gas", which is in use in this tree'],
    ),
    (
        "was twice",
        "was: gas-missing",
        "was: fuse-gone",
        ['35:17: was names "fuse-gone", which is claimed already on line 17'],
    ),
    (
        "was of a check",
        "    starts: true\n",
        "    starts: true\n    was: [volts, fuse-dead]\n",
        [
            '79:11: was names "volts", which is in use in this tree',
            '79:18: was names "fuse-dead", which is claimed already on line 35',
        ],
    ),
    (
        "was no id",
        "was: gas-missing",
        "was: Gas",
        [
            '17:12: "Gas" is no id; write lower case letters and figures, joined by single hyphens, a letter first'
        ],
    ),
    (
        "was under a remedy",
        "            do: Fit a fuse",
        "            was: old-fuse\n            do: Fit a fuse",
        [],
    ),
    (
        "was under a remedy twice",
        "            do: Fit a fuse",
        "            was: fuse-gone\n            do: Fit a fuse",
        ['37:18: was names "fuse-gone", which is claimed already on line 35'],
    ),
    (
        "was names a cause",
        "was: gas-missing",
        "was: set-wrong",
        ['17:12: was names "set-wrong", which is in use in this tree'],
    ),
    (
        "was on the tree",
        "tries: 2",
        "was: heater-dead",
        [
            '8:1: key "was" is not known in tree; known are symptom, system, also_said, applies_to, cautions, refer_to, ask_first, tries, strength, not_listed, cured_when, faults, checks, referrals, places, own_cautions, sources, accept'
        ],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_said_of_was(changed, old, new, said):
    assert changed(old, new) == said
