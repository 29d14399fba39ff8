"""Advice, and what of it is accepted.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

# ruff: noqa: E501 (a message is stated whole)

from __future__ import annotations

import pytest

ROWS = [
    (
        "see unknown",
        "see: leisure-battery-weak",
        "see: water-pomp",
        [],
    ),
    (
        "accept reason",
        "accept: {see-unknown: the other tree comes later}",
        "accept: {see-unknown: }",
        ["100:10: see-unknown wants a text, not nothing"],
    ),
    (
        "accept list",
        "accept: {see-unknown: the other tree comes later}",
        "accept: [see-unknown]",
        ["100:9: accept wants a mapping, not a list"],
    ),
    (
        "nothing changed",
        "tries: 2",
        "tries: 2",
        [],
    ),
    (
        "see",
        "accept: {see-unknown: the other tree comes later}\n",
        "",
        [
            '51:29: remedy of "battery-weak" sees "leisure-battery-weak", a tree that is not known (see-unknown)'
        ],
    ),
    (
        "shares",
        "in_100: 30",
        "in_100: 32",
        ["12:1: the shares and not_listed (5) add up to 102, not to 100 (shares-miss-100)"],
    ),
    (
        "accept",
        "accept: {see-unknown:",
        "accept: {see-unknown: later, shares-mis-100:",
        [
            '100:30: accept names "shares-mis-100", which no advice is called (did you mean "shares-miss-100"?) (accept-unknown)'
        ],
    ),
    (
        "common cause",
        "            battery-weak:\n              says: The battery is weak\n              remedy: {see: leisure-battery-weak}\n            cables-worn:\n              says: The cables are worn\n              remedy: {do: Renew them, by: technician, hands: tools, minutes: 40}\n",
        "            battery-weak:\n              says: The battery is weak\n              remedy: {see: leisure-battery-weak}\n            cables-worn:\n              says: The cables are worn\n              remedy: {do: Renew them, by: technician, hands: tools, minutes: 40}\n        cold-start:\n          says: Cold meets a weak battery\n          in_100: 5\n          all_of:\n            battery-weak: {}\n            cold-night:\n              says: A cold night\n              remedy: {do: Wait for the day, by: owner, hands: look, minutes: 1}\n",
        [
            "12:1: the shares and not_listed (5) add up to 105, not to 100 (shares-miss-100)",
            '49:13: cause "battery-weak" stands in the cut sets battery-weak+cables-worn, battery-weak+cold-night; their remedies are taken as separate (common-cause)',
        ],
    ),
    (
        "never alone",
        "    set-wrong:\n      says: It is set too low\n      hazard: none\n      in_100: 5\n      remedy: {do: Turn it up, by: owner, hands: controls, minutes: 2}\n",
        "    set-wrong:\n      says: It is set too low\n      hazard: none\n      in_100: 5\n      remedy: {do: Turn it up, by: owner, hands: controls, minutes: 2}\n    odd:\n      says: Odd\n      hazard: none\n      in_100: 1\n      all_of:\n        set-wrong: {}\n        spare:\n          says: Spare\n          remedy: {do: Look, by: owner, hands: look, minutes: 1}\n",
        ['66:9: cause "spare" stands in no minimal cut set, so it is never found (cause-never-alone)'],
    ),
    (
        "shares within one",
        "in_100: 30",
        "in_100: 31",
        [],
    ),
    (
        "shares by not_listed",
        "not_listed: 5",
        "not_listed: 10",
        ["12:1: the shares and not_listed (10) add up to 105, not to 100 (shares-miss-100)"],
    ),
    (
        "none overruled",
        "          says: The cylinder is empty\n",
        "          says: The cylinder is empty\n          hazard: none\n",
        ['21:11: cause "cylinder-empty" says none, yet gas comes from above (none-overruled)'],
    ),
    (
        "unsaid cause",
        "says: It is set too low",
        "says: It is set too low for gas",
        ['55:5: cause "set-wrong" speaks of "gas" and does not carry the hazard gas (hazard-unsaid)'],
    ),
    (
        "unsaid check",
        "ask: What is at the flue?",
        "ask: Does ammonia leak?",
        [
            '61:3: check "flue-seen" speaks of "ammonia" and does not carry the hazard refrigerant (hazard-unsaid)'
        ],
    ),
    (
        "unsaid how",
        "            how: Pull the old one out",
        "            how: Mind the ladder",
        ['32:9: cause "fuse-blown" speaks of "ladder" and does not carry the hazard height (hazard-unsaid)'],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_advised(changed, old, new, said):
    assert changed(old, new) == said
