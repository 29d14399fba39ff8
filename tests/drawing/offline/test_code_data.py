"""What a page is given for its codes: figures of the format, and each tree's places in their order."""

from __future__ import annotations

import json

from diagnose.drawing.offline.code_data import code_format, code_places
from diagnose.walking.case_codes import shape_tag, symptom_tag
from tests.walking.small_trees import heater


def test_places_stand_in_the_tree_s_order_with_the_weights_of_the_document():
    places = json.loads(json.dumps(code_places(heater())))
    assert places == {
        "symptom": symptom_tag("heater"),
        "shape": shape_tag(heater()),
        "found": [
            ["smell-of-gas", ["no", "yes", "not-sure"], [1, 10, 1, 1]],
            ["co-alarm", ["quiet", "none-fitted", "sounds-or-ill", "not-sure"], [1, 10, 1, 1, 1]],
            ["hob", ["steady", "weak", "none", "yellow", "not-sure"], [8, 2, 2, 2, 2, 1]],
            ["start", ["nothing", "ticks", "not-sure"], [4, 2, 2, 1]],
            ["volts", ["low", "good", "not-sure"], [4, 2, 2, 1]],
            ["heater-fuel", ["gas", "diesel", "not-sure"], [8, 1, 1, 1]],
        ],
        # The board is left for somebody qualified, so nobody here can have tried it.
        "tried": [[id, ["not-cured", "could-not"], [8, 1, 1]] for id in ("empty", "shut", "fuse")],
    }


def test_the_format_can_be_written_as_json_and_spells_every_sign():
    format = json.loads(json.dumps(code_format()))
    assert list(format["spelled"]) == list(format["alphabet"])
    assert format["spelled"]["W"] == "Whiskey"
    assert (format["group"], format["checks"], len(format["alphabet"])) == (4, 3, 13)
