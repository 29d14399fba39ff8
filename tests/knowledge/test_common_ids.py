"""What is fixed stays; what a tree names or adds beside it.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

# ruff: noqa: E501 (a message is stated whole)

from __future__ import annotations

import pytest

ROWS = [
    (
        "redefine fixed check",
        "  flame:\n",
        "  smell-of-gas: {ask: Nothing?, expect: {}}\n  flame:\n",
        ['70:18: fixed check "smell-of-gas" cannot be redefined; a tree gives it expect alone'],
    ),
    (
        "redefine otherwise",
        "  flame:\n",
        '  smell-of-gas: {expect: {otherwise: {"no": 0.5}}}\n  flame:\n',
        ['70:27: otherwise of fixed check "smell-of-gas" cannot be redefined; leave it out'],
    ),
    (
        "redefine fact",
        "  stored: {expect:",
        "  stored: {hands: look, expect:",
        ['92:12: fact "stored" cannot be redefined; a tree gives it expect alone'],
    ),
    (
        "fact unknown answer",
        "{outdoors: 0.5}",
        "{outdoor: 0.5}",
        ['92:38: expect names "outdoor", which is no answer of fact "stored" (did you mean "outdoors"?)'],
    ),
    (
        "a fixed check may expect of a cause",
        "  flame:\n",
        '  smell-of-gas: {expect: {no-gas: {"yes": 0.1}}}\n  flame:\n',
        [],
    ),
    (
        "otherwise as it is",
        "  flame:\n",
        '  smell-of-gas: {expect: {otherwise: {"no": 0.98, "yes": 0.02}}}\n  flame:\n',
        [],
    ),
    (
        "expect is needed",
        "  stored: {expect: {cylinder-empty: {outdoors: 0.5}}}",
        "  stored: {}",
        ['92:3: fact "stored" lacks expect: which answers a cause or event would give'],
    ),
    (
        "a misspelt fact",
        "  stored: {expect:",
        "  storred: {expect:",
        [
            '92:3: check "storred" has expect alone and is no check or fact of the common files (did you mean "stored"?)'
        ],
    ),
    (
        "own place named as a common one",
        "  by-the-hob: {says",
        "  gas-locker: {says: Ours, access: 9}\n  by-the-hob: {says",
        [],
    ),
    (
        "redefine referral",
        "  own-help: {to",
        "  gas-engineer: {to: A friend, minutes: 1, say: Hello}\n  own-help: {to",
        ['94:3: referral "gas-engineer" is fixed and cannot be redefined; give yours another id'],
    ),
    (
        "redefine caution",
        "  hot-pipe: {word",
        "  gas: {word: NOTICE, say: Nothing}\n  hot-pipe: {word",
        ['98:3: caution "gas" is fixed and cannot be redefined; give yours another id'],
    ),
    (
        "referral lacks",
        "own-help: {to: Our own workshop, minutes: 100, say: What was seen,",
        "own-help: {",
        [
            '94:3: referral "own-help" lacks minutes: minutes that it costs',
            '94:3: referral "own-help" lacks say: what to tell them',
            '94:3: referral "own-help" lacks to: whom to call',
        ],
    ),
    (
        "place lacks",
        "by-the-hob: {says: By the hob, access: 0}",
        "by-the-hob: {}",
        [
            '96:3: place "by-the-hob" lacks access: minutes of getting there',
            '96:3: place "by-the-hob" lacks says: what the place is called',
        ],
    ),
    (
        "caution lacks",
        "hot-pipe: {word: CAUTION, say: The pipe is hot}",
        "hot-pipe: {}",
        [
            '98:3: caution "hot-pipe" lacks say: what to mind',
            '98:3: caution "hot-pipe" lacks word: the signal word',
        ],
    ),
    (
        "referral id",
        "  own-help: {to",
        "  Own: {to: A friend, minutes: 1, say: Hello}\n  own-help: {to",
        [
            '94:3: "Own" is no id; write lower case letters and figures, joined by single hyphens, a letter first'
        ],
    ),
    (
        "system",
        "system: heating",
        "system: haeting",
        ['2:9: system names "haeting", which is no system here (did you mean "heating"?)'],
    ),
    (
        "refer_to",
        "refer_to: workshop",
        "refer_to: wrkshop",
        ['6:11: refer_to names "wrkshop", which is no referral here (did you mean "workshop"?)'],
    ),
    (
        "cautions",
        "cautions: [hot-surfaces,",
        "cautions: [hot-surface,",
        ['5:12: cautions names "hot-surface", which is no caution here (did you mean "hot-surfaces"?)'],
    ),
    (
        "applies fact",
        "applies_to: {heater-fuel:",
        "applies_to: {heater-fule:",
        ['4:14: applies_to names "heater-fule", which is no fact here (did you mean "heater-fuel"?)'],
    ),
    (
        "applies answer",
        "{heater-fuel: [gas]}",
        "{heater-fuel: [gas, disel]}",
        ['4:33: applies_to names "disel", which is no answer of "heater-fuel" (did you mean "diesel"?)'],
    ),
    (
        "applies word",
        "{heater-fuel: [gas]}",
        "{heater-fuel: gas}",
        ['4:27: heater-fuel wants a list of ids [in brackets], not "gas"'],
    ),
    (
        "applies empty",
        "{heater-fuel: [gas]}",
        "{heater-fuel: []}",
        ["4:14: heater-fuel is empty; it wants one or more"],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_said_of_common_ids(changed, old, new, said):
    assert changed(old, new) == said
