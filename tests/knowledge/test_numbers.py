"""Numbers are JSON's and have their limits.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

from __future__ import annotations

import pytest

ROWS = [
    (
        "in_100 zero",
        "in_100: 30",
        "in_100: 0",
        ["21:19: in_100 is 0; it wants a number above 0 and at most 100"],
    ),
    (
        "in_100 over",
        "in_100: 30",
        "in_100: 100.5",
        ["21:19: in_100 is 100.5; it wants a number above 0 and at most 100"],
    ),
    (
        "in_100 octal",
        "in_100: 30",
        "in_100: 030",
        ['21:19: in_100 wants a number above 0 and at most 100, not "030"'],
    ),
    (
        "in_100 underscore",
        "in_100: 30",
        "in_100: 3_0",
        ['21:19: in_100 wants a number above 0 and at most 100, not "3_0"'],
    ),
    (
        "in_100 sexagesimal",
        "in_100: 30",
        "in_100: 12:30",
        ['21:19: in_100 wants a number above 0 and at most 100, not "12:30"'],
    ),
    (
        "in_100 inf",
        "in_100: 30",
        "in_100: .inf",
        ['21:19: in_100 wants a number above 0 and at most 100, not ".inf"'],
    ),
    (
        "in_100 nan",
        "in_100: 30",
        "in_100: nan",
        ['21:19: in_100 wants a number above 0 and at most 100, not "nan"'],
    ),
    (
        "in_100 date",
        "in_100: 30",
        "in_100: 2016-01-02",
        ['21:19: in_100 wants a number above 0 and at most 100, not "2016-01-02"'],
    ),
    (
        "in_100 quoted",
        "in_100: 30",
        'in_100: "30"',
        ['21:19: in_100 wants a number above 0 and at most 100 (without quotes), not "30"'],
    ),
    (
        "in_100 plus",
        "in_100: 30",
        "in_100: +30",
        ['21:19: in_100 wants a number above 0 and at most 100, not "+30"'],
    ),
    (
        "in_100 too large",
        "in_100: 30",
        "in_100: 1e999",
        ['21:19: in_100 wants a number above 0 and at most 100, not "1e999"'],
    ),
    (
        "in_100 null",
        "in_100: 30",
        "in_100:",
        ["21:11: in_100 wants a number above 0 and at most 100, not nothing"],
    ),
    (
        "in_100 list",
        "in_100: 30",
        "in_100: [30]",
        ["21:19: in_100 wants a number above 0 and at most 100, not a list"],
    ),
    (
        "strength",
        "strength: 20",
        "strength: 0",
        ["9:11: strength is 0; it wants a number above 0"],
    ),
    (
        "not_listed zero",
        "not_listed: 5",
        "not_listed: 0",
        ["10:13: not_listed is 0; it wants a number above 0 and at most 50"],
    ),
    (
        "not_listed over",
        "not_listed: 5",
        "not_listed: 51",
        ["10:13: not_listed is 51; it wants a number above 0 and at most 50"],
    ),
    (
        "tries 0",
        "tries: 2",
        "tries: 0",
        ["8:8: tries is 0; it wants a whole number from 1 to 3"],
    ),
    (
        "tries 4",
        "tries: 2",
        "tries: 4",
        ["8:8: tries is 4; it wants a whole number from 1 to 3"],
    ),
    (
        "tries half",
        "tries: 2",
        "tries: 1.5",
        ["8:8: tries is 1.5; it wants a whole number from 1 to 3"],
    ),
    (
        "minutes zero",
        "    minutes: 3\n",
        "    minutes: 0\n",
        ["75:14: minutes is 0; it wants a number above 0"],
    ),
    (
        "remedy minutes",
        "minutes: 15, price: 35",
        "minutes: 0, price: 35",
        ["22:82: minutes is 0; it wants a number above 0"],
    ),
    (
        "price below",
        "price: 35",
        "price: -1",
        ["22:93: price is -1; it wants a number of 0 or more"],
    ),
    (
        "wait below",
        "wait: 0",
        "wait: -0.5",
        ["42:19: wait is -0.5; it wants a number of 0 or more"],
    ),
    (
        "cures zero",
        "cures: 0.9",
        "cures: 0",
        ["22:120: cures is 0; it wants a number above 0 and at most 1"],
    ),
    (
        "cures over",
        "cures: 0.9",
        "cures: 1.1",
        ["22:120: cures is 1.1; it wants a number above 0 and at most 1"],
    ),
    (
        "not_sure over",
        "not_sure: 0.1",
        "not_sure: 0.95",
        ["76:15: not_sure is 0.95; it wants a number from 0 to 0.9"],
    ),
    (
        "not_sure under",
        "not_sure: 0.1",
        "not_sure: -0.1",
        ["76:15: not_sure is -0.1; it wants a number from 0 to 0.9"],
    ),
    (
        "access below",
        "access: 0",
        "access: -1",
        ["96:42: access is -1; it wants a number of 0 or more"],
    ),
    (
        "uncertainty zero",
        "uncertainty: 0.1",
        "uncertainty: 0",
        ["89:53: uncertainty is 0; it wants a number above 0"],
    ),
    (
        "range backwards",
        "range: [0, 16]",
        "range: [16, 0]",
        ["89:31: range wants the least number first, and its width above 0"],
    ),
    (
        "range no width",
        "range: [0, 16]",
        "range: [16, 16]",
        ["89:31: range wants the least number first, and its width above 0"],
    ),
    (
        "range three",
        "range: [0, 16]",
        "range: [0, 8, 16]",
        ["89:31: range wants two numbers, [least, greatest]"],
    ),
    (
        "range texts",
        "range: [0, 16]",
        "range: [low, high]",
        ["89:31: range wants two numbers, [least, greatest]"],
    ),
    (
        "referral minutes",
        "minutes: 100, say",
        "minutes: 0, say",
        ["94:45: minutes is 0; it wants a number above 0"],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_said_of_a_number(changed, old, new, said):
    assert changed(old, new) == said
