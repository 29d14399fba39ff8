"""Exports: what stands in the file, and what never does."""

from __future__ import annotations

import json
import os
import re
import subprocess
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.cases.exchange import Export, canonical, digest_of
from diagnose.cases.exchange_making import SumsDoNotFit, make_export, write_export
from diagnose.cases.exchange_reading import read_export
from diagnose.cases.exchange_withholding import Withheld
from diagnose.cases.forgetting import forget
from diagnose.cases.merging import merge
from diagnose.cases.records import Entry
from diagnose.cases.store import CaseStore
from diagnose.terms import DiagnoseError

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)

WRITTEN = """\
{
"format": "case-sums",
"version": 1,
"origin": "00c0ffee00c0ffee",
"number": 3,
"at_least": 0,
"causes": [
["hob","x",2025,"cured",2],
["hob","y+z",2026,"referred",1]
],
"answers": [
["hob","x","flame","weak",2025,"cured",2]
],
"unconfirmed": [],
"digest": ""
}
"""
OF_HAND = Export(
    "00c0ffee00c0ffee",
    3,
    causes=(("hob", "x", 2025, "cured", 2), ("hob", "y+z", 2026, "referred", 1)),
    answers=(("hob", "x", "flame", "weak", 2025, "cured", 2),),
)


def without_digest(text: str) -> str:
    return re.sub(r'"digest": "[0-9a-f]{64}"', '"digest": ""', text)


def filled(store: CaseStore, found: Callable[..., Entry]) -> None:
    """Three confirmed cases of one vehicle, and one that nobody has confirmed."""
    for cause in ("grit", "grit", "not-listed"):
        case = store.open_case("hob", "d", "owner", "Jo's blue van, AB12 CDE", NOON)
        store.append(case, found("flame", "weak"))
        store.append(case, found("volts", "low", 11.25))
        store.append(case, found("smell-of-gas", "not-sure"))
        store.confirm(case, cause, NOON)
        store.end_case(case, "referred", NOON, referral="workshop")
    store.end_case(store.open_case("hob", "d", "owner", "", NOON), "stopped", NOON)


def test_the_file_has_a_row_on_each_line_and_its_digest_last() -> None:
    assert without_digest(OF_HAND.text()) == WRITTEN


def test_the_digest_is_that_of_another_program_over_the_canonical_bytes(need: Callable[[str], str]) -> None:
    # By hand after RFC 8785: keys sorted, no spaces, the digest left out. sha256sum is GNU's (FIPS 180-4).
    by_hand = (
        b'{"answers":[["hob","x","flame","weak",2025,"cured",2]],"at_least":0,'
        b'"causes":[["hob","x",2025,"cured",2],["hob","y+z",2026,"referred",1]],'
        b'"format":"case-sums","number":3,"origin":"00c0ffee00c0ffee","unconfirmed":[],"version":1}'
    )
    assert canonical(json.loads(OF_HAND.text())) == by_hand
    summed = subprocess.run([need("sha256sum")], input=by_hand, check=True, capture_output=True).stdout
    assert summed.split()[0].decode() == OF_HAND.digest == json.loads(OF_HAND.text())["digest"]


def test_the_digest_does_not_depend_on_how_the_file_is_laid_out() -> None:
    content = json.loads(OF_HAND.text())
    again = json.loads(json.dumps(dict(reversed(content.items())), indent=7))
    assert digest_of(again) == content["digest"]
    assert read_export(json.dumps(content, indent=7).encode(), "f", 2026) == OF_HAND


def test_it_holds_the_sums_of_this_stores_own_cases(store: CaseStore, found: Callable[..., Entry]) -> None:
    filled(store, found)
    merge(store, [("theirs.json", OF_HAND)], NOON)
    export, withheld = make_export(store, 2026)
    assert export == Export(
        store.origin,
        1,
        causes=(("hob", "grit", 2026, "referred", 2), ("hob", "not-listed", 2026, "referred", 1)),
        answers=(
            ("hob", "grit", "flame", "weak", 2026, "referred", 2),
            ("hob", "grit", "volts", "low", 2026, "referred", 2),
            ("hob", "not-listed", "flame", "weak", 2026, "referred", 1),
            ("hob", "not-listed", "volts", "low", 2026, "referred", 1),
        ),
        unconfirmed=(("hob", 2026, "stopped", 1),),
    )
    assert withheld == Withheld()
    assert (export.confirmed, export.untold, export.symptoms) == (3, 1, ("hob",))
    assert read_export(export.text().encode(), "f", 2026) == export


def test_no_vehicle_no_reading_no_name_and_no_day_is_in_it(
    store: CaseStore, found: Callable[..., Entry]
) -> None:
    filled(store, found)
    content = json.loads(make_export(store, 2026)[0].text())
    words = {
        value
        for key, rows in content.items()
        for row in (rows if isinstance(rows, list) else [[rows]])
        for value in row
        if key != "digest"
    }
    # Every word of the whole file: nothing of the case, its tree, the reading or the moment is there.
    assert words == {
        "case-sums", 1, store.origin, 0, "hob", "grit", "not-listed", "flame", "weak", "volts", "low", 2026,
        "referred", "stopped", 2,
    }  # fmt: skip


def test_each_export_has_the_next_number_and_everything_again(
    store: CaseStore, found: Callable[..., Entry]
) -> None:
    filled(store, found)
    first, second = (make_export(store, 2026)[0] for _ in range(2))
    assert (first.number, second.number) == (1, 2)
    assert (first.causes, first.answers, first.unconfirmed) == (
        second.causes,
        second.answers,
        second.unconfirmed,
    )
    store.confirm(4, "grit", NOON)
    forget(store, [1])
    third = make_export(store, 2026)[0]
    assert third.causes == (
        ("hob", "grit", 2026, "referred", 1),
        ("hob", "grit", 2026, "stopped", 1),
        ("hob", "not-listed", 2026, "referred", 1),
    )
    assert third.unconfirmed == ()


def test_an_empty_store_has_an_export_too(store: CaseStore) -> None:
    assert make_export(store, 2026)[0] == Export(store.origin, 1)


def test_sums_that_nobody_would_take_are_not_given_out_and_use_no_number(
    store: CaseStore, found: Callable[..., Entry]
) -> None:
    filled(store, found)
    with store.writing() as connection:
        connection.exec_driver_sql("UPDATE cause_sums SET total = 1 WHERE cause = 'grit'")
    with pytest.raises(SumsDoNotFit) as refused:
        make_export(store, 2026)
    assert str(refused.value) == (
        "the sums of this store cannot be given out: row 1 of answers: more answers than the cause has cases"
        "; `diagnose cases check` tells what is wrong with them"
    )
    with store.writing() as connection:
        connection.exec_driver_sql("UPDATE cause_sums SET total = 2 WHERE cause = 'grit'")
    assert make_export(store, 2026)[0].number == 1


def test_a_file_is_written_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "sums.json"
    target.write_text("the earlier one")

    def fail(_: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", fail)
        with pytest.raises(DiagnoseError) as refused:
            write_export(OF_HAND, target)
    assert str(refused.value) == f"cannot write {target}: No space left on device"
    assert [path.name for path in tmp_path.iterdir()] == ["sums.json"]
    assert target.read_text() == "the earlier one"
    write_export(OF_HAND, target)
    assert target.read_text() == OF_HAND.text()
    assert [path.name for path in tmp_path.iterdir()] == ["sums.json"]


def test_a_device_is_written_to_and_not_replaced() -> None:
    write_export(OF_HAND, Path(os.devnull))
    assert not Path(os.devnull).is_file()
