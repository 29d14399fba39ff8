"""The page of a sheet in another language: what is left off, and how the rest is had in that language."""

from __future__ import annotations

import pytest

from diagnose.drawing.sheet_html import sheet_html
from diagnose.drawing.sheet_layout import laid_out
from diagnose.knowledge.languages import language
from tests.drawing.made_up_sheets import made_up_sheet


@pytest.mark.parametrize(
    ("code", "told"),
    [
        ("de", "Hier kein Platz für: 1 unter „Was nicht angerührt wurde, und warum“"),
        ("fr", "Pas de place ici pour\u00a0: 1 sous «\u202fCe qui n'a pas été touché, et pourquoi\u202f»"),
    ],
)
def test_what_has_no_room_is_told_with_the_command_for_the_same_language(code, told):
    said = laid_out(made_up_sheet(causes=8), language(code)).told({1, 2, 3, 4, 5})
    assert said.startswith(told)
    assert said.endswith(f"diagnose sheet 12 --format text --language {code}")


def test_a_french_page_sets_off_its_colons_and_a_german_one_does_not():
    # The page itself is made up in English; its labels are the template's.
    french, german = (sheet_html(made_up_sheet(), language(code)) for code in ("fr", "de"))
    assert "<p>Signature\u00a0:</p>" in french
    assert "<p>Unterschrift:</p>" in german
