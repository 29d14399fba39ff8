"""Expectations: whom they name, what they add up to.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

# ruff: noqa: E501 (a message is stated whole)

from __future__ import annotations

import pytest

ROWS = [
    (
        "expect unknown",
        "expect: {no-power:",
        "expect: {no-powr:",
        ['91:14: expect names "no-powr", which is no cause or event here (did you mean "no-power"?)'],
    ),
    (
        "expect not-listed",
        "expect: {no-power:",
        "expect: {not-listed:",
        ["91:14: expect names not-listed, which expects all answers equally and takes no entry"],
    ),
    (
        "expect answer",
        "no-power: {low: 0.8}",
        "no-power: {lo: 0.8}",
        ['91:25: expect names "lo", which is no answer of check "volts" (did you mean "low"?)'],
    ),
    (
        "expect over one",
        "cylinder-empty: {none: probable, weak: 0.1}",
        "cylinder-empty: {none: probable, weak: 0.2}",
        ['81:7: answers of check "flame" add up to 1.05 under "cylinder-empty"; 1 is the most'],
    ),
    (
        "expect complete",
        "no-gas: {steady: 0.2, weak: 0.5, none: 0.3}",
        "no-gas: {steady: 0.2, weak: 0.5, none: 0.5}",
        [
            '82:7: answers of check "flame" add up to 1.2 under "no-gas"; where all are named, that may miss 1 by 0.15 at most'
        ],
    ),
    (
        "expect complete short",
        "no-gas: {steady: 0.2, weak: 0.5, none: 0.3}",
        "no-gas: {steady: 0.2, weak: 0.5, none: 0.1}",
        [
            '82:7: answers of check "flame" add up to 0.8 under "no-gas"; where all are named, that may miss 1 by 0.15 at most'
        ],
    ),
    (
        "expect word",
        "cylinder-empty: {none: probable,",
        "cylinder-empty: {none: probible,",
        [
            '81:30: none wants a number from 0 to 1 or a probability word, not "probible" (did you mean "probable"?)'
        ],
    ),
    (
        "expect range",
        "no-power: {low: 0.8}",
        "no-power: {low: 1.2}",
        ["91:30: low is 1.2; it wants a number from 0 to 1 or a probability word"],
    ),
    (
        "expect null",
        "no-power: {low: 0.8}",
        "no-power: {low: }",
        ["91:25: low wants a number from 0 to 1 or a probability word, not nothing"],
    ),
    (
        "expect entry",
        "no-power: {low: 0.8}",
        "no-power: low",
        ['91:24: expect under "no-power" wants a mapping of answers, not "low"'],
    ),
    (
        "expect list value",
        "no-power: {low: 0.8}",
        "no-power: {low: [0.8]}",
        ["91:30: low wants a number from 0 to 1 or a probability word"],
    ),
    (
        "every word",
        "no-gas: {steady: 0.2, weak: 0.5, none: 0.3}",
        "no-gas: {steady: improbable, weak: expected, none: almost impossible}",
        [],
    ),
    (
        "more than a word",
        "no-power: {low: 0.8}",
        'no-power: {low: "0.8"}',
        ['91:30: low wants a number from 0 to 1 or a probability word, not "0.8"'],
    ),
    (
        "complete within 0.15",
        "no-gas: {steady: 0.2, weak: 0.5, none: 0.3}",
        "no-gas: {steady: 0.2, weak: 0.5, none: 0.45}",
        [],
    ),
    (
        "empty entry",
        "no-power: {low: 0.8}",
        "no-power: {}",
        [],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_said_of_expect(changed, old, new, said):
    assert changed(old, new) == said
