"""`diagnose cases export` and `merge`: what is said, written, refused and left alone."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from diagnose.cases.store import open_store
from diagnose.terminal.wrapping import display_width
from tests.cli.cases.step_stuck import NOON, Said

NO_ID = "is no id; write lower case letters and figures, joined by single hyphens, a letter first"


@pytest.fixture
def confirmed(place: Path) -> Path:
    """The two cases, one of them confirmed; and a third of a symptom that no tree has."""
    with open_store(str(place / "cases.sqlite")) as store:
        store.confirm(1, "grit", NOON)
        store.confirm(store.open_case("gone-tree", "d", "owner", "", NOON), "x", NOON)
    return place


def anonymous(text: str) -> str:
    return re.sub(r"\b[0-9a-f]{16}\b", "0123456789abcdef", text)


def test_an_export_goes_to_a_file_and_says_what_is_in_it(confirmed: Path, said: Said) -> None:
    target = confirmed / "sums.json"
    code, out, err = said("cases", "export", "-o", str(target))
    assert (code, err) == (0, "")
    assert anonymous(out) == (
        "Export 1 of this store (0123456789abcdef) is written: 2 confirmed cases of 2\n"
        "symptoms, and 1 that nobody has confirmed. It holds no vehicle, no text and no\n"
        f"date but the year.\nWhoever gets it: diagnose cases merge {target}\n"
    )
    content = json.loads(target.read_text())
    assert content["causes"] == [
        ["gone-tree", "x", 2026, "open", 1],
        ["step-stuck", "grit", 2026, "cured", 1],
    ]
    assert content["answers"] == [
        ["step-stuck", "grit", "gone-long-ago", "yes", 2026, "cured", 1],
        ["step-stuck", "grit", "volts", "low", 2026, "cured", 1],
    ]
    assert content["unconfirmed"] == [["step-stuck", 2026, "referred", 1]]


@pytest.mark.parametrize("target", [(), ("-o", "-")])
def test_without_a_file_nothing_but_the_export_is_printed(
    confirmed: Path, said: Said, target: tuple[str, ...]
) -> None:
    code, out, err = said("cases", "export", *target)
    assert (code, err, json.loads(out)["number"]) == (0, "", 1)
    code, out, err = said("cases", "export", "--at-least", "3", *target)
    assert (code, json.loads(out)["at_least"]) == (0, 3)
    assert err == (
        "Left out, so that no sum of fewer than 3 cases can be read or worked out: 2 sums\n"
        "of causes, 2 of answers, 1 of cases that nobody has confirmed.\n"
    )


@pytest.mark.parametrize("wrong", ["2", "0", "few"])
def test_a_threshold_that_hides_nothing_is_wrong_usage(place: Path, said: Said, wrong: str) -> None:
    code, out, err = said("cases", "export", "--at-least", wrong)
    assert (code, out) == (2, "")
    assert "--at-least" in err


def test_a_place_that_cannot_be_written_is_told(place: Path, said: Said) -> None:
    code, out, err = said("cases", "export", "-o", str(place / "nowhere" / "sums.json"))
    assert (code, out, err) == (1, "", f"cannot write {place}/nowhere/sums.json: No such file or directory\n")


def test_where_nothing_is_kept_nothing_is_given_out_and_no_store_is_made(place: Path, said: Said) -> None:
    missing = place / "none.sqlite"
    assert said("cases", "export", "--cases", str(missing)) == (
        1,
        "",
        f"no case is kept yet in {missing}; there is nothing to give out\n",
    )
    assert not missing.exists()


def test_merging_into_a_new_store_counts_and_names_what_nobody_knows(confirmed: Path, said: Said) -> None:
    sums, other = str(confirmed / "sums.json"), str(confirmed / "other.sqlite")
    said("cases", "export", "-o", sums)
    code, out, _ = said("cases", "merge", sums, "--cases", other, "--dry-run")
    assert code == 0
    assert out.startswith("Nothing is written; this is what would be done.\n")
    assert not Path(other).exists()
    code, out, err = said("cases", "merge", sums, "--cases", other, "--json")
    document = json.loads(out)
    assert (code, err, document["unknown_symptoms"], document["dry_run"]) == (0, "", ["gone-tree"], False)
    assert document["merged"] == [
        {
            "file": sums,
            "origin": json.loads(Path(sums).read_text())["origin"],
            "number": 1,
            "outcome": "added",
            "stood": None,
            "confirmed": 2,
            "unconfirmed": 1,
            "at_least": 0,
        }
    ]
    with open_store(other) as store:
        assert store.tally("step-stuck", NOON).causes == {"grit": 1.0}


def test_each_thing_that_can_become_of_a_file_is_said(
    confirmed: Path, said: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(confirmed)
    other = ("--cases", "other.sqlite")
    said("cases", "export", "-o", "1.json")
    said("cases", "export", "--at-least", "3", "-o", "2.json")
    assert anonymous(said("cases", "merge", "1.json", *other)[1]) == (
        "1.json: export 1 of store 0123456789abcdef counts now, with 2 confirmed cases of\n"
        "2 symptoms, and 1 that nobody has confirmed.\n"
        "No tree at hand has these symptoms, so what was counted of them has no effect\n"
        "until one has: gone-tree.\n"
    )
    assert anonymous(said("cases", "merge", "1.json", "2.json", *other)[1]) == (
        "1.json: export 1 of store 0123456789abcdef is older than the one that counts;\n"
        "nothing is added.\n"
        "2.json: export 2 of store 0123456789abcdef takes the place of export 1, with 0\n"
        "confirmed cases of 0 symptoms.\n"
        "  It leaves out sums of fewer than 3 cases, so what is rare there is missing.\n"
    )
    assert anonymous(said("cases", "merge", "2.json", *other)[1]) == (
        "2.json: export 2 of store 0123456789abcdef counts already; nothing is added.\n"
    )


def test_the_listing_says_how_it_is_taken_out_and_that_works(confirmed: Path, said: Said) -> None:
    sums, other = str(confirmed / "sums.json"), ("--cases", str(confirmed / "other.sqlite"))
    assert said("cases", "merge", *other) == (0, "Nothing is merged from another store.\n", "")
    said("cases", "export", "-o", sums)
    said("cases", "merge", sums, *other)
    code, out, _ = said("cases", "merge", *other)
    origin = json.loads(Path(sums).read_text())["origin"]
    assert code == 0
    *first, second = out.splitlines()
    told = rf"{origin}: export 1, merged on \d{{4}}-\d\d-\d\d, 2 confirmed cases, 1 not confirmed"
    assert re.fullmatch(told, " ".join(first))
    assert second == f"To take one out: diagnose cases forget --merged {origin}"
    standing = json.loads(said("cases", "merge", *other, "--json")[1])["standing"]
    assert [
        (each["origin"], each["number"], each["confirmed"], each["unconfirmed"]) for each in standing
    ] == [(origin, 1, 2, 1)]
    assert said("cases", "forget", "--merged", origin, *other, "--yes") == (
        0,
        f"What was merged from {origin} goes: export 1, 2 confirmed cases. Merging\n"
        "that again would bring it back.\nWhat was merged from 1 store is taken out.\n",
        "",
    )
    assert json.loads(said("cases", "merge", *other, "--json")[1]) == {"standing": []}


def test_ones_own_export_adds_nothing(confirmed: Path, said: Said, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(confirmed)
    said("cases", "export", "-o", "sums.json")
    assert anonymous(said("cases", "merge", "sums.json")[1]) == (
        "sums.json: export 1 of store 0123456789abcdef is this store's own; nothing is\nadded.\n"
    )


def test_the_flaws_of_all_files_are_told_and_none_comes_in(
    confirmed: Path, said: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(confirmed)
    said("cases", "export", "-o", "good.json")
    text = Path("good.json").read_text()
    Path("bent.json").write_text(text.replace('"volts"', '"Volts"').replace('"grit"', '"Grit"', 1))
    Path("cut.json").write_text(text[:80])
    other = ("--cases", "other.sqlite")
    told = (
        f'bent.json:9:1: row 2 of causes: cause "Grit" {NO_ID}',
        f'bent.json:13:1: row 2 of answers: check "Volts" {NO_ID}',
        "cut.json:5:12: the JSON is broken or cut short here; a comma or } is wanted",
        "none.json:1:1: cannot be read: No such file or directory",
    )
    files = ("good.json", "bent.json", "cut.json", "none.json")
    assert said("cases", "merge", *files, *other) == (1, "", "\n".join(told) + "\n")
    code, out, err = said("cases", "merge", *files, *other, "--json")
    assert (code, err) == (1, "")
    assert [
        f"{e['file']}:{e['line']}:{e['column']}: {e['message']}" for e in json.loads(out)["errors"]
    ] == list(told)
    assert not Path("other.sqlite").exists()


def test_what_a_file_calls_itself_reaches_no_terminal(confirmed: Path, said: Said) -> None:
    path = confirmed / "\x1b[31msums.json"
    path.write_text('{"format": "case-sums", "\x1b]0;hello\x07": 1}')
    code, out, err = said("cases", "merge", str(path))
    assert (code, out) == (1, "")
    assert "\x1b" not in err
    said("cases", "export", "-o", str(path))
    assert "\x1b" not in "".join(map(str, said("cases", "merge", str(path))))


def test_forty_columns_are_enough(confirmed: Path, said: Said, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(confirmed)
    monkeypatch.setenv("COLUMNS", "40")
    shown = said("cases", "export", "-o", "s.json")[1]
    shown += said("cases", "merge", "s.json", "--cases", "o.sqlite")[1]
    shown += said("cases", "check")[1]
    assert all(display_width(line) <= 40 for line in shown.splitlines() if "diagnose cases" not in line)
