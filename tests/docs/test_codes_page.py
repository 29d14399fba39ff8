"""The page on codes: its table of characters, its figures and its worked example are worked out anew."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.cases.codes import ALPHABET, CHECKS, number_of
from diagnose.cases.packing import Unpacker
from diagnose.cases.records import CaseRecord, Entry
from diagnose.knowledge.collection import Library
from diagnose.walking.case_codes import code_of, shape_tag, symptom_tag
from tests.cases.test_codes import LOOK_ALIKE, SOUND_ALIKE

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "codes.md").read_text(encoding="utf-8")
CODE = "057R-R84R-R336-8R87-65M8"
ORIGIN = "3fa91c0d7e526b84"
MAY = datetime(2026, 5, 3, tzinfo=UTC)


@pytest.fixture
def lamp(tmp_path):
    (tmp_path / "lamp-dark.yaml").write_text(
        re.search(r"```yaml\n(.*?)```", PAGE, re.DOTALL)[1], encoding="utf-8"
    )
    return Library((tmp_path,)).tree("lamp-dark")


def rows_of_the_example():
    table = PAGE.partition("| field | place | of | left afterwards |\n|---|---|---|---|\n")[2].partition(
        "\n\n"
    )[0]
    rows = [[cell.strip() for cell in row.strip("|").split("|")] for row in table.splitlines()]
    return int(rows[0][3]), [(row[0], int(row[1]), row[2], int(row[3])) for row in rows[1:]]


def test_the_example_has_the_code_that_the_page_shows(lamp):
    lines = (
        Entry(MAY, "finding", "other-lamps", "burn", number=1),
        Entry(MAY, "tried", "bulb-gone", "not-cured"),
    )
    record = CaseRecord(7, "lamp-dark", "", "owner", "referred", MAY, MAY, entries=lines)
    assert code_of(record, lamp, ORIGIN) == CODE
    assert PAGE.count(f"`{CODE}`") == 2


def test_each_row_of_the_example_follows_from_the_one_above(lamp):
    number, rows = rows_of_the_example()
    assert number == number_of(CODE)
    unpacker = Unpacker(number)
    for field, place, of, left in rows:
        weights = [int(each) for each in of.split(", ")]
        assert (unpacker.weighed(weights) if len(weights) > 1 else unpacker.even(weights[0])) == place, field
        assert unpacker.left == left, field
    places = {field: place for field, place, _, _ in rows}
    assert (places["symptom"], places["shape"]) == (symptom_tag("lamp-dark"), shape_tag(lamp))
    assert places["store"] == int(ORIGIN[:4], 16)
    assert rows[-1][3] == 0


def test_the_number_in_base_thirteen_is_the_code_without_its_check_letters():
    digits = CODE.replace("-", "")[:-CHECKS].lstrip("0")
    assert f"`{digits}`" in PAGE
    value = 0
    for sign in digits:
        value = value * 13 + ALPHABET.index(sign)
    assert value == number_of(CODE)


def test_the_table_of_kinds_holds_every_kind_with_the_one_character_that_is_used():
    table = PAGE.partition("|---|---|\n")[2].partition("\n\n")[0]
    shown = {}
    for row in table.splitlines():
        alike, used = (cell.strip() for cell in row.strip("|").split("|"))
        for kind in alike.partition(":")[2].split(","):
            shown[frozenset(kind.replace(" ", ""))] = used
    for kind, used in shown.items():
        assert kind & set(ALPHABET) == ({used} if used != "the digit" else kind & set("0123456789"))
    for kind in (*SOUND_ALIKE, *LOOK_ALIKE):
        if set(kind) & set(ALPHABET):
            assert any(set(kind) <= known for known in shown), kind
