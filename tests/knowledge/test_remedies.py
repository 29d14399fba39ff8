"""A remedy does, refers or sees, one of these.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

# ruff: noqa: E501 (a message is stated whole)

from __future__ import annotations

import pytest

ROWS = [
    (
        "do and refer",
        "remedy: {refer: gas-engineer}",
        "remedy: {refer: gas-engineer, do: Call}",
        ['27:41: remedy of "regulator-blocked" has refer and do; it takes one of do, refer and see'],
    ),
    (
        "neither",
        "remedy: {refer: gas-engineer}",
        "remedy: {reffer: gas-engineer}",
        [
            '27:11: remedy of "regulator-blocked" lacks do, refer or see',
            '27:20: key "reffer" is not known in remedy of "regulator-blocked" (did you mean "refer"?)',
        ],
    ),
    (
        "empty remedy",
        "remedy: {refer: gas-engineer}",
        "remedy: {}",
        ['27:11: remedy of "regulator-blocked" lacks do, refer or see'],
    ),
    (
        "remedy text",
        "remedy: {refer: gas-engineer}",
        "remedy: gas-engineer",
        ['27:19: remedy wants a mapping, not "gas-engineer"'],
    ),
    (
        "price on refer",
        "remedy: {refer: gas-engineer}",
        "remedy: {refer: gas-engineer, price: 3}",
        ['27:41: key "price" belongs to a remedy with do, not to remedy of "regulator-blocked"'],
    ),
    (
        "do lacks",
        "remedy: {do: Turn it up, by: owner, hands: controls, minutes: 2}",
        "remedy: {do: Turn it up}",
        [
            '59:7: remedy of "set-wrong" lacks by: who may do it',
            '59:7: remedy of "set-wrong" lacks hands: what it takes: looking, controls, or tools',
            '59:7: remedy of "set-wrong" lacks minutes: minutes of work',
        ],
    ),
    (
        "refer unknown",
        "remedy: {refer: gas-engineer}",
        "remedy: {refer: gas-enginer}",
        ['27:27: refer names "gas-enginer", which is no referral here (did you mean "gas-engineer"?)'],
    ),
    (
        "see itself",
        "see: leisure-battery-weak",
        "see: x",
        ['51:29: remedy of "battery-weak" sees this very tree'],
    ),
    (
        "see unknown",
        "see: leisure-battery-weak",
        "see: water-pomp",
        [],
    ),
    (
        "at unknown",
        "at: gas-locker",
        "at: gas-loker",
        ['22:101: at names "gas-loker", which is no place here (did you mean "gas-locker"?)'],
    ),
    (
        "own referral under gas",
        "remedy: {refer: gas-engineer}",
        "remedy: {refer: own-help}",
        [
            '27:27: remedy of "regulator-blocked" is under gas and refers to "own-help", which is not fixed; write gas-engineer'
        ],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_said_of_a_remedy(changed, old, new, said):
    assert changed(old, new) == said
