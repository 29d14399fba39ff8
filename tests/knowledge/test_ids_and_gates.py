"""Ids, references between events, gates and shares.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

# ruff: noqa: E501 (a message is stated whole)

from __future__ import annotations

import pytest

ROWS = [
    (
        "capital id",
        "        cylinder-empty:\n",
        "        Cylinder-empty:\n",
        [
            '19:9: "Cylinder-empty" is no id; write lower case letters and figures, joined by single hyphens, a letter first',
            '81:7: expect names "cylinder-empty", which is no cause or event here (did you mean "Cylinder-empty"?)',
            '92:21: expect names "cylinder-empty", which is no cause or event here (did you mean "Cylinder-empty"?)',
        ],
    ),
    (
        "long id",
        "    set-wrong:\n",
        "    stttttttttttttttttttttttttttttttttttttttttttttttttttttttttttt:\n",
        [
            '55:5: "stttttttttttttttttttttttttttttttttttttttttttttttttttttttttt…" is 61 characters long; an id has 60 at most'
        ],
    ),
    (
        "reserved id",
        "    set-wrong:\n",
        "    not-listed:\n",
        ['55:5: "not-listed" is a reserved word and cannot be an id'],
    ),
    (
        "device name",
        "    set-wrong:\n",
        "    com1:\n",
        ['55:5: "com1" is a reserved word and cannot be an id'],
    ),
    (
        "double hyphen",
        "    set-wrong:\n",
        "    set--wrong:\n",
        [
            '55:5: "set--wrong" is no id; write lower case letters and figures, joined by single hyphens, a letter first'
        ],
    ),
    (
        "answer not-sure",
        "weak: Weak,",
        "not-sure: Weak,",
        [
            '79:40: "not-sure" is a reserved word and cannot be an id',
            '81:40: expect names "weak", which is no answer of check "flame"',
            '82:29: expect names "weak", which is no answer of check "flame"',
        ],
    ),
    (
        "check is a cause",
        "  flame:\n",
        "  set-wrong:\n",
        ['70:3: "set-wrong" is a cause (line 55); give the check another id'],
    ),
    (
        "cause is a fixed check",
        "    set-wrong:\n",
        "    co-alarm:\n",
        ['55:5: "co-alarm" is a check of the common files; give the cause another id'],
    ),
    (
        "defined twice",
        "    set-wrong:\n",
        "    fuse-blown:\n",
        ['55:5: "fuse-blown" is defined twice (first on line 32); write {} here'],
    ),
    (
        "never defined",
        "remedy: {refer: gas-engineer}\n",
        "remedy: {refer: gas-engineer}\n        fuse-blowen: {}\n",
        ['28:9: "fuse-blowen" is defined nowhere in this tree (did you mean "fuse-blown"?)'],
    ),
    (
        "cycle",
        "remedy: {refer: gas-engineer}\n",
        "remedy: {refer: gas-engineer}\n        no-gas: {}\n",
        ['28:9: "no-gas" stands below itself: no-gas > no-gas'],
    ),
    (
        "a longer cycle",
        "    set-wrong:\n      says: It is set too low\n      hazard: none\n      in_100: 5\n      remedy: {do: Turn it up, by: owner, hands: controls, minutes: 2}\n",
        "    round:\n      says: Round\n      hazard: none\n      any_of:\n        about:\n          says: About\n          any_of:\n            fuse-blown: {}\n            round: {}\n    set-wrong:\n      says: It is set too low\n      hazard: none\n      in_100: 5\n      remedy: {do: Turn it up, by: owner, hands: controls, minutes: 2}\n",
        ['63:13: "round" stands below itself: round > about > round'],
    ),
    (
        "twice in one gate",
        "remedy: {refer: gas-engineer}\n",
        "remedy: {refer: gas-engineer}\n        cylinder-empty: {}\n",
        ['28:9: key "cylinder-empty" stands twice (first on line 19)'],
    ),
    (
        "no body",
        "remedy: {refer: gas-engineer}\n",
        "remedy: {refer: gas-engineer}\n        fuse-blown:\n",
        ['28:9: "fuse-blown" holds nothing; write its mapping, or {} if it is defined elsewhere'],
    ),
    (
        "text body",
        "remedy: {refer: gas-engineer}\n",
        "remedy: {refer: gas-engineer}\n        fuse-blown: yes\n",
        ['28:9: "fuse-blown" holds "yes"; write its mapping, or {} if it is defined elsewhere'],
    ),
    (
        "two gates",
        "    set-wrong:\n      says: It is set too low\n      hazard: none\n      in_100: 5\n      remedy: {do: Turn it up, by: owner, hands: controls, minutes: 2}\n",
        "  all_of: {fuse-blown: {}}\n",
        ["55:3: faults has any_of and all_of; it takes one gate"],
    ),
    (
        "misspelt gate",
        "          all_of:\n",
        "          all_off:\n",
        ['48:11: key "all_off" is not known in event "weak-and-worn" (did you mean "all_of"?)'],
    ),
    (
        "empty gate",
        "remedy: {refer: gas-engineer}\n",
        "remedy: {refer: gas-engineer}\n        odd:\n          says: Odd\n          any_of: {}\n",
        ["30:11: any_of wants one or more, not 0"],
    ),
    (
        "gate text",
        "remedy: {refer: gas-engineer}\n",
        "remedy: {refer: gas-engineer}\n        odd:\n          says: Odd\n          any_of: fuse-blown\n",
        ['30:19: any_of wants a mapping, not "fuse-blown"'],
    ),
    (
        "in_100 on any_of",
        "      says: Too little gas arrives\n",
        "      says: Too little gas arrives\n      in_100: 5\n",
        ['16:7: event "no-gas" has any_of and takes no in_100; it belongs to its causes'],
    ),
    (
        "in_100 on the top",
        "faults:\n",
        "faults:\n  in_100: 50\n",
        ["13:3: faults has any_of and takes no in_100; it belongs to its causes"],
    ),
    (
        "lacks in_100",
        "          in_100: 20\n",
        "",
        ['24:9: cause "regulator-blocked" lacks in_100: of 100 vehicles, how many turn out to be this'],
    ),
    (
        "lacks in_100 under all_of",
        "          in_100: 15\n",
        "",
        [
            '48:13: cause "battery-weak" lacks in_100: of 100 vehicles, how many turn out to be this',
            '51:13: cause "cables-worn" lacks in_100: of 100 vehicles, how many turn out to be this',
        ],
    ),
    (
        "faults text",
        "faults:\n  any_of:\n",
        "faults: {}\nfaulty:\n  any_of:\n",
        [
            "12:1: faults lack a gate: any_of or all_of",
            '13:1: key "faulty" is not known in tree (did you mean "faults"?)',
        ],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_said_of_an_id_or_gate(changed, old, new, said):
    assert changed(old, new) == said
