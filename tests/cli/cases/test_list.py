"""`diagnose cases list`, in the process."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.cases.step_stuck import Said


def test_the_list_is_a_table_where_it_fits(place: Path, said: Said) -> None:
    assert said("cases", "list") == (
        0,
        "CASE  OPENED      STATE     SYMPTOM     TURNED OUT TO BE  VEHICLE\n"
        "   2  2026-03-03  referred  step-stuck  not confirmed\n"
        "   1  2026-03-01  cured     step-stuck  not confirmed     the blue van\n"
        "\n"
        "2 cases, 0 confirmed. Of the one that was handed on nothing is known.\n"
        "To see one: diagnose cases show 2\n",
        "",
    )


def test_on_a_narrow_screen_each_case_has_lines_of_its_own(
    place: Path, said: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    said("cases", "confirm", "2", "frost+damp")
    monkeypatch.setenv("COLUMNS", "40")
    assert said("cases", "list")[1] == (
        "2  2026-03-03, referred\n"
        "    step-stuck\n"
        "    it was: damp+frost\n"
        "1  2026-03-01, cured\n"
        "    step-stuck (the blue van)\n"
        "    not confirmed\n"
        "\n"
        "2 cases, 1 confirmed.\n"
        "To see one: diagnose cases show 2\n"
    )


def test_the_list_as_json_has_the_fixed_shape(place: Path, said: Said) -> None:
    said("cases", "confirm", "1")
    code, out, err = said("cases", "list", "--json")
    assert (code, err) == (0, "")
    assert json.loads(out) == {
        "cases": [
            {
                "case": 2,
                "symptom": "step-stuck",
                "state": "referred",
                "confirmed": False,
                "cause": None,
                "opened": "2026-03-03T12:00:00Z",
                "vehicle": None,
                "findings": 0,
            },
            {
                "case": 1,
                "symptom": "step-stuck",
                "state": "cured",
                "confirmed": True,
                "cause": "grit",
                "opened": "2026-03-01T12:00:00Z",
                "vehicle": "the blue van",
                "findings": 3,
            },
        ]
    }
