from __future__ import annotations

import html
import json
import subprocess

import pytest

from diagnose.drawing.route_sizes import type_width
from diagnose.drawing.route_symbols import FONT, TYPE

TEXTS = (
    "How does one hob ring burn?",
    "It goes off from one moment to the next (under 11.5 V)",
    "STOP, danger. 112 if anybody is unwell; if all are well, a gas engineer registered for LPG",
    "WWW mmm @@@ %%% &&& MMM",
    "iii lll ... ,,, ''' !!! fff ttt",
    "• not sure: 2 ± 0.15 °C — “quoted” …",
    "Frischwassertank übergelaufen, größer als 5 °C",
)


@pytest.mark.parametrize("bold", [False, True])
def test_type_is_as_wide_as_the_drawing_program_sets_it(bold, need):
    """Against the widths that the drawing program takes from the fonts of this machine."""
    need("dot")
    mark = "<B>{}</B>" if bold else "{}"
    nodes = (f"n{at} [label=<{mark.format(html.escape(text))}>]" for at, text in enumerate(TEXTS))
    font = f'node [fontname="{FONT["fontname"]}" fontsize={FONT["fontsize"]}]'
    drawn = subprocess.run(
        ["dot", "-Tjson"],
        input=f"digraph {{{font} {' '.join(nodes)}}}".encode(),
        capture_output=True,
        check=True,
    )
    for node in json.loads(drawn.stdout)["objects"]:
        (said,) = (each for each in node["_ldraw_"] if each["op"] == "T")
        assert type_width(html.unescape(said["text"]), bold) == pytest.approx(said["width"], rel=0.06)


def test_letters_that_fill_a_square_and_unknown_ones_have_room():
    assert type_width("漢字") == 2 * TYPE
    assert type_width("ß") == pytest.approx(0.6 * TYPE, rel=0.1)
