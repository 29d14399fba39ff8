"""Texts, words of a closed list, lists.

Each row changes one spot of `heater-cold.yaml` and states the whole of what is then said, with its place.
"""

from __future__ import annotations

import pytest

ROWS = [
    (
        "number as text",
        "symptom: The heater stays cold",
        "symptom: 12",
        ["1:10: symptom wants a text, not the number 12; quote it if it is meant as a text"],
    ),
    (
        "truth as text",
        "symptom: The heater stays cold",
        "symptom: true",
        ["1:10: symptom wants a text, not true; quote it if it is meant as a text"],
    ),
    (
        "empty text",
        "symptom: The heater stays cold",
        'symptom: "  "',
        ["1:10: symptom is empty; it wants a text"],
    ),
    (
        "null text",
        "symptom: The heater stays cold",
        "symptom: ~",
        ["1:1: symptom wants a text, not nothing"],
    ),
    (
        "by whom",
        "by: owner, hands: controls, minutes: 15",
        "by: ownr, hands: controls, minutes: 15",
        ['22:49: by wants owner or technician, not "ownr" (did you mean "owner"?)'],
    ),
    (
        "hands",
        "hands: controls, minutes: 15",
        "hands: control, minutes: 15",
        ['22:63: hands wants look, controls or tools, not "control" (did you mean "controls"?)'],
    ),
    (
        "needs",
        "needs: [kneel]",
        "needs: [kneal]",
        ['44:21: needs wants kneel, climb, lift, reach, hear or smell, not "kneal" (did you mean "kneel"?)'],
    ),
    (
        "needs word",
        "needs: [kneel]",
        "needs: kneel",
        ['44:20: needs wants a list of words [in brackets], not "kneel"'],
    ),
    (
        "starts",
        "starts: true",
        "starts: yes",
        ['78:13: starts wants true or false, not "yes"'],
    ),
    (
        "restores",
        "part: heater-fuse",
        "restores: water",
        ['43:23: restores wants mains, not "water"'],
    ),
    (
        "twice in a list",
        "also_said: [no warm air]",
        "also_said: [no warm air, no warm air]",
        ['3:26: "no warm air" stands twice in also_said'],
    ),
    (
        "list wanted",
        "also_said: [no warm air]",
        "also_said: no warm air",
        ['3:12: also_said wants a list of texts [in brackets], not "no warm air"'],
    ),
    (
        "signal word",
        "word: CAUTION",
        "word: Caution",
        ['98:20: word wants DANGER, WARNING, CAUTION or NOTICE, not "Caution" (did you mean "CAUTION"?)'],
    ),
]


@pytest.mark.parametrize(("old", "new", "said"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_what_is_said_of_a_text_or_word(changed, old, new, said):
    assert changed(old, new) == said
