"""Answers, readings and bands, and answers that stop.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

# ruff: noqa: E501 (a message is stated whole)

from __future__ import annotations

import pytest

ROWS = [
    (
        "one answer",
        "answers: {clear: Nothing, nest: A nest}",
        "answers: {nest: A nest}",
        [
            "66:5: answers wants two or more, not 1",
            '69:26: expect names "clear", which is no answer of check "flue-seen"',
        ],
    ),
    (
        "answers and reading",
        "    bands: {low",
        "    answers: {a: A, b: B}\n    bands: {low",
        [
            '89:5: check "volts" has answers and reading; it takes answers, or reading with bands',
            '91:5: check "volts" has answers and bands; it takes answers, or reading with bands',
            '92:25: expect names "low", which is no answer of check "volts"',
        ],
    ),
    (
        "reading without bands",
        "    bands: {low: {below: 11.5}, fair: {from: 11.5, below: 12.4}, good: {from: 12.4}}\n    expect: {no-power: {low: 0.8}}",
        "    expect: {}",
        ['84:3: check "volts" lacks bands: a reading goes with bands'],
    ),
    (
        "bands without reading",
        "    reading: {unit: V, range: [0, 16], uncertainty: 0.1}\n",
        "",
        ['84:3: check "volts" lacks reading: a reading goes with bands'],
    ),
    (
        "reading lacks",
        "reading: {unit: V, range: [0, 16], uncertainty: 0.1}",
        "reading: {range: [0, 16]}",
        ["89:5: reading lacks uncertainty: standard uncertainty", "89:5: reading lacks unit: the unit"],
    ),
    (
        "gap",
        "fair: {from: 11.5,",
        "fair: {from: 11.6,",
        ['90:33: bands of check "volts" leave a gap from 11.5 to 11.6'],
    ),
    (
        "overlap",
        "fair: {from: 11.5,",
        "fair: {from: 11.4,",
        ['90:33: band "fair" overlaps band "low", which ends below 11.5'],
    ),
    (
        "gap at the start",
        "low: {below: 11.5}",
        "low: {from: 1, below: 11.5}",
        ['90:13: bands of check "volts" leave a gap from 0 to 1'],
    ),
    (
        "gap at the end",
        "good: {from: 12.4}",
        "good: {from: 12.4, below: 15}",
        ['90:66: bands of check "volts" leave a gap from 15 to 16'],
    ),
    (
        "outside",
        "good: {from: 12.4}",
        "good: {from: 12.4, below: 17}",
        ['90:92: below of band "good" is 17, outside the range 0 to 16'],
    ),
    (
        "outside below",
        "low: {below: 11.5}",
        "low: {from: -1, below: 11.5}",
        ['90:25: from of band "low" is -1, outside the range 0 to 16'],
    ),
    (
        "middle without from",
        "fair: {from: 11.5, below: 12.4}",
        "fair: {below: 12.4}",
        ['90:33: band "fair" overlaps band "low", which ends below 11.5'],
    ),
    (
        "empty band",
        "fair: {from: 11.5, below: 12.4}",
        "fair: {from: 12.4, below: 11.5}",
        ['90:33: band "fair" is empty: from 12.4 to below 11.5'],
    ),
    (
        "band key",
        "fair: {from: 11.5,",
        "fair: {form: 11.5,",
        ['90:40: key "form" is not known in band "fair" (did you mean "from"?)'],
    ),
    (
        "band id",
        "fair: {from",
        "Fair: {from",
        [
            '90:33: "Fair" is no id; write lower case letters and figures, joined by single hyphens, a letter first'
        ],
    ),
    (
        "one band",
        "bands: {low: {below: 11.5}, fair: {from: 11.5, below: 12.4}, good: {from: 12.4}}",
        "bands: {low: {}}",
        [
            "90:5: bands wants two or more, not 1",
            '91:14: answers of check "volts" add up to 0.8 under "no-power"; where all are named, that may miss 1 by 0.15 at most',
        ],
    ),
    (
        "bands in another order",
        "low: {below: 11.5}, fair: {from: 11.5, below: 12.4}, good: {from: 12.4}",
        "good: {from: 12.4}, low: {below: 11.5}, fair: {from: 11.5, below: 12.4}",
        [],
    ),
    (
        "bands twice over",
        "fair: {from: 11.5, below: 12.4}",
        "fair: {}",
        [
            '90:33: band "fair" overlaps band "low", which ends below 11.5',
            '90:43: band "good" overlaps band "fair", which ends below 16',
        ],
    ),
    (
        "stop_on several",
        "stop_on: nest",
        "stop_on: [nest, clear]",
        [],
    ),
    (
        "stop_on empty",
        "stop_on: nest",
        "stop_on: []",
        [
            '7:53: ask_first names "flue-seen", which has no stop_on, so it cannot stop a walk',
            "67:5: stop_on is empty; it wants one or more",
        ],
    ),
    (
        "band number",
        "low: {below: 11.5}",
        "low: {below: 11,5}",
        [
            '90:29: key "5" is not known in band "low"; known are from, below',
            '91:25: expect names "low", which is no answer of check "volts"',
        ],
    ),
    (
        "stop_on unknown",
        "stop_on: nest",
        "stop_on: nests",
        ['67:14: stop_on names "nests", which is no answer of check "flue-seen" (did you mean "nest"?)'],
    ),
    (
        "stop without refer",
        "    refer: own-help\n",
        "",
        ['67:5: check "flue-seen" has stop_on without refer: to whom does it refer then?'],
    ),
    (
        "refer without stop",
        "    stop_on: nest\n",
        "",
        [
            '7:53: ask_first names "flue-seen", which has no stop_on, so it cannot stop a walk',
            '67:5: check "flue-seen" has refer without stop_on: which answer refers?',
        ],
    ),
    (
        "check refer unknown",
        "    refer: own-help\n",
        "    refer: own-hepl\n",
        ['68:12: refer names "own-hepl", which is no referral here (did you mean "own-help"?)'],
    ),
    (
        "check at unknown",
        "    at: by-the-hob\n",
        "    at: by-the-hop\n",
        ['77:9: at names "by-the-hop", which is no place here (did you mean "by-the-hob"?)'],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_said_of_answers_and_bands(changed, old, new, said):
    assert changed(old, new) == said
