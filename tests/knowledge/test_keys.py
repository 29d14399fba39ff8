"""Which keys may stand where, which must, and what is said of any other.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

# ruff: noqa: E501 (a message is stated whole)

from __future__ import annotations

import pytest

ROWS = [
    (
        "unknown key of a tree",
        "symptom: The",
        "symptoms: The",
        [
            '1:1: key "symptoms" is not known in tree (did you mean "symptom"?)',
            "1:1: tree lacks symptom: what the user notices",
        ],
    ),
    (
        "unknown key of a cause",
        "          prevent: Weigh",
        "          prevents: Weigh",
        ['23:11: key "prevents" is not known in cause "cylinder-empty" (did you mean "prevent"?)'],
    ),
    (
        "unknown key far from any",
        "sources: [",
        "xyzzy: [",
        [
            '99:1: key "xyzzy" is not known in tree; known are symptom, system, also_said, applies_to, cautions, refer_to, ask_first, tries, strength, not_listed, cured_when, faults, checks, referrals, places, own_cautions, sources, accept'
        ],
    ),
    (
        "key of a cause at an event",
        "      was: gas-missing",
        "      remedy: {refer: gas-engineer}",
        ['17:7: key "remedy" belongs to a cause, not to event "no-gas"'],
    ),
    (
        "key of a remedy at a cause",
        "          in_100: 20\n",
        "          in_100: 20\n          minutes: 5\n",
        ['27:11: key "minutes" belongs to a remedy with do, not to cause "regulator-blocked"'],
    ),
    (
        "says on faults",
        "faults:\n",
        "faults:\n  says: It is cold\n",
        ['13:3: key "says" belongs to an event, not to faults'],
    ),
    (
        "hazard on tree",
        "tries: 2",
        "hazard: gas",
        [
            '8:1: key "hazard" is not known in tree; known are symptom, system, also_said, applies_to, cautions, refer_to, ask_first, tries, strength, not_listed, cured_when, faults, checks, referrals, places, own_cautions, sources, accept'
        ],
    ),
    (
        "missing tree keys",
        "system: heating\n",
        "",
        ["1:1: tree lacks system: the system of the vehicle"],
    ),
    (
        "no symptom and a stranger",
        "symptom: The heater stays cold\n",
        "sympton: The heater stays cold\n",
        [
            '1:1: key "sympton" is not known in tree (did you mean "symptom"?)',
            "1:1: tree lacks symptom: what the user notices",
        ],
    ),
    (
        "no refer_to",
        "refer_to: workshop\n",
        "",
        ["1:1: tree lacks refer_to: the referral when nothing better is left"],
    ),
    (
        "no cured_when",
        'cured_when: {ask: "Is it warm now?", minutes: 5}\n',
        "",
        ["1:1: tree lacks cured_when: what has to be so before it counts as cured"],
    ),
    (
        "no checks",
        "checks:\n",
        "chocks:\n",
        [
            "1:1: tree lacks checks: what can be asked, looked at or measured",
            '7:53: ask_first names "flue-seen", which is no check here',
            '60:1: key "chocks" is not known in tree (did you mean "checks"?)',
        ],
    ),
    (
        "no faults",
        "faults:\n",
        "fault:\n",
        [
            "1:1: tree lacks faults: the top event",
            '12:1: key "fault" is not known in tree (did you mean "faults"?)',
        ],
    ),
    (
        "no ask_first",
        "ask_first: [smell-of-gas, co-alarm, battery-harmed, flue-seen]\n",
        "",
        [
            "1:1: tree lacks ask_first, which gas and high-current need; write ask_first: [smell-of-gas, co-alarm, battery-harmed]"
        ],
    ),
    (
        "cause lacks says",
        "          says: The cylinder is empty\n",
        "",
        ['19:9: cause "cylinder-empty" lacks says: what is wrong'],
    ),
    (
        "cause lacks remedy",
        "          remedy: {refer: gas-engineer}\n",
        "",
        ['24:9: cause "regulator-blocked" lacks remedy: what puts it right'],
    ),
    (
        "event lacks says",
        "      says: Too little gas arrives\n",
        "",
        ['14:5: event "no-gas" lacks says: what is so when it holds'],
    ),
    (
        "cured_when lacks ask",
        'cured_when: {ask: "Is it warm now?", minutes: 5}',
        "cured_when: {minutes: 5}",
        ["11:1: cured_when lacks ask: the question that has to be answered yes"],
    ),
    (
        "cured_when below zero",
        "minutes: 5}\nfaults",
        "minutes: -5}\nfaults",
        ["11:47: minutes is -5; it wants a number of 0 or more"],
    ),
    (
        "check lacks",
        "    hands: look\n    by: owner\n    minutes: 2\n",
        "",
        [
            '61:3: check "flue-seen" lacks by: who may do it',
            '61:3: check "flue-seen" lacks hands: what it takes: looking, controls, or tools',
            '61:3: check "flue-seen" lacks minutes: minutes of work',
        ],
    ),
    (
        "check lacks expect",
        "    expect: {otherwise: {clear: almost certain}}\n",
        "",
        ['61:3: check "flue-seen" lacks expect: which answers a cause or event would give'],
    ),
    (
        "expect may be empty",
        "    expect: {otherwise: {clear: almost certain}}\n",
        "    expect: {}\n",
        [],
    ),
    (
        "a stranger in a check",
        "    starts: true\n",
        "    begins: true\n",
        [
            '78:5: key "begins" is not known in check "flame"; known are ask, by, hands, minutes, how, at, part, needs, wait, price, restores, not_sure, answers, reading, bands, stop_on, refer, starts, expect, hazard, was'
        ],
    ),
    (
        "cures on a check",
        "    starts: true\n",
        "    cures: 0.5\n",
        ['78:5: key "cures" belongs to a remedy with do, not to check "flame"'],
    ),
    (
        "starts on a remedy",
        "            part: heater-fuse\n",
        "            starts: true\n",
        ['43:13: key "starts" belongs to a check, not to remedy of "fuse-blown"'],
    ),
    (
        "stranger in a reading",
        "reading: {unit: V,",
        "reading: {units: V, unit: V,",
        ['89:15: key "units" is not known in reading (did you mean "unit"?)'],
    ),
    (
        "merge key",
        "symptom: The",
        "<<: {strength: 3}\nsymptom: The",
        [
            '1:1: key "<<" is not known in tree; known are symptom, system, also_said, applies_to, cautions, refer_to, ask_first, tries, strength, not_listed, cured_when, faults, checks, referrals, places, own_cautions, sources, accept'
        ],
    ),
    (
        "not a mapping of checks",
        "checks:\n",
        "checks: [flame]\nx:\n",
        [
            '7:53: ask_first names "flue-seen", which is no check here',
            "60:9: checks wants a mapping, not a list",
            '61:1: key "x" is not known in tree; known are symptom, system, also_said, applies_to, cautions, refer_to, ask_first, tries, strength, not_listed, cured_when, faults, checks, referrals, places, own_cautions, sources, accept',
        ],
    ),
    (
        "a check that is a text",
        "  stored: {expect: {cylinder-empty: {outdoors: 0.5}}}\n",
        "  stored: yes\n",
        ['92:11: fact "stored" holds "yes"; it takes a mapping of expect'],
    ),
    (
        "a check that is empty",
        "  stored: {expect: {cylinder-empty: {outdoors: 0.5}}}\n",
        "  extra:\n",
        [
            '92:3: check "extra" holds nothing; it takes a mapping of ask, by, hands, minutes, how, at, part, needs, wait, price, restores, not_sure, answers, reading, bands, stop_on, refer, starts, expect, hazard, was'
        ],
    ),
    (
        "check lacks answers",
        "    answers: {clear: Nothing, nest: A nest}\n    stop_on: nest\n    refer: own-help\n    expect: {otherwise: {clear: almost certain}}\n",
        "    expect: {}\n",
        [
            '7:53: ask_first names "flue-seen", which has no stop_on, so it cannot stop a walk',
            '61:3: check "flue-seen" lacks answers, or reading with bands',
        ],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_said_of_a_key(changed, old, new, said):
    assert changed(old, new) == said
