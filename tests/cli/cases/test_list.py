"""`diagnose cases list`: narrowed, counted, as JSON, as CSV that can be read in again."""

from __future__ import annotations

import csv
import io
import json
from datetime import timedelta
from pathlib import Path

import pytest

from diagnose.cases.adding import KnownCase, add_known
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.terminal.wrapping import display_width
from diagnose.terms import Finding
from diagnose.walking.case_codes import code_of
from tests.cli.cases.step_stuck import NOON, Said


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


def more_cases(place: Path, number: int = 3) -> None:
    """Cases of another symptom, a day apart, the first of them in the evening of the third of March."""
    with open_store(str(place / "cases.sqlite")) as store:
        for day in range(number):
            opened = NOON + timedelta(days=2 + day, hours=8)
            found = (Finding("volts", "low", 11.25, 0.1),)
            add_known(
                store, KnownCase("water-pump", "d", "pump-fuse", "cured", opened, "Van 7", found), opened
            )


def shown(said: Said, *options: str) -> list[int]:
    code, out, err = said("cases", "list", "--json", *options)
    assert (code, err) == (0, "")
    return [case["case"] for case in json.loads(out)["cases"]]


@pytest.mark.parametrize(
    ("options", "cases"),
    [
        ((), [5, 4, 3, 2, 1]),
        (("--symptom", "step-stuck"), [2, 1]),
        (("--symptom", "the step will  NOT fold in"), [2, 1]),
        (("--cause", "pump-fuse"), [5, 4, 3]),
        (("--symptom", "step-stuck", "--cause", "grit"), []),
        (("--vehicle", "VAN 7"), [5, 4, 3]),
        (("--vehicle", ""), [2]),
        (("--since", "2026-03-04"), [5, 4]),
        (("--until", "2026-03-03"), [3, 2, 1]),
        (("--since", "2026-03-03", "--until", "2026-03-03"), [3, 2]),
        (("--state", "cured", "--state", "referred", "--last", "4"), [5, 4, 3, 2]),
        (("--confirmed",), [5, 4, 3]),
        (("--unconfirmed", "--state", "cured"), [1]),
        (("--waiting",), [2]),
        (("--last", "1"), [5]),
    ],
)
def test_cases_are_narrowed(place: Path, said: Said, options: tuple[str, ...], cases: list[int]) -> None:
    more_cases(place)
    assert shown(said, *options) == cases


def test_only_the_newest_are_shown_with_how_many_there_are(place: Path, said: Said) -> None:
    more_cases(place, 49)
    out = said("cases", "list")[1].splitlines()
    assert len([line for line in out if "pump-fuse" in line or "not confirmed" in line]) == 50
    assert out[-3:] == [
        "51 cases, 49 confirmed. Of the one that was handed on nothing is known.",
        "These are the 50 newest; 1 more with: --last 51",
        "To see one: diagnose cases show 51",
    ]
    out = said("cases", "list", "--confirmed", "--last", "2")[1]
    assert out.startswith(
        "CASE  OPENED      STATE  SYMPTOM     TURNED OUT TO BE  VEHICLE\n  51  2026-04-20  cured"
    )
    assert "49 cases, 49 confirmed.\nThese are the 2 newest; 47 more with: --last 49\n" in out
    assert len(shown(said)) == 51, "a document has all of them"


def test_what_is_waited_for_comes_with_its_code_the_longest_waiting_first(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        late = store.open_case("step-stuck", "d", "owner", "", NOON + timedelta(days=9))
        store.end_case(late, "stopped", NOON, referral="workshop")
        gone = store.open_case("no-such-tree", "d", "owner", "", NOON + timedelta(days=9))
        store.end_case(gone, "referred", NOON, referral="workshop")
        tree = Library((place / "trees",)).tree("step-stuck")
        first, second = (code_of(store.case(case), tree, store.origin) for case in (2, late))
    assert said("cases", "list", "--waiting") == (
        0,
        "CASE  OPENED      SYMPTOM       CODE\n"
        f"   2  2026-03-03  step-stuck    {first}\n"
        f"   3  2026-03-10  step-stuck    {second}\n"
        "   4  2026-03-10  no-such-tree\n"
        "\n"
        "3 cases wait for an outcome, the longest first.\n"
        "Once it is known, CASE or its code and the cause:\n"
        "  diagnose cases confirm CASE CAUSE\n",
        "",
    )
    documents = json.loads(said("cases", "list", "--waiting", "--json")[1])["cases"]
    assert [(each["case"], each["code"]) for each in documents] == [(2, first), (3, second), (4, None)]
    for case in ("2", "3", "4"):
        said("cases", "confirm", case, "not-listed")
    assert said("cases", "list", "--waiting")[1] == (
        "No outcome is waited for: every referral and stop has told what it was.\n"
    )


def test_where_nothing_fits_it_is_said(place: Path, said: Said) -> None:
    assert said("cases", "list", "--vehicle", "nobody's") == (
        0,
        "No case fits that.\nTo see all: diagnose cases list\n",
        "",
    )
    assert shown(said, "--vehicle", "nobody's") == []


@pytest.mark.parametrize(
    ("options", "code", "told"),
    [
        (("--symptom", "step-stuk"), 1, 'there is no symptom "step-stuk"; the nearest are step-stuck, '),
        (
            ("--symptom", "step-stuck", "--cause", "gritt"),
            1,
            '"gritt" is no cause of step-stuck (did you mean "grit"?)\n',
        ),
        (
            ("--since", "2026-03-04", "--until", "2026-03-03"),
            2,
            "--since 2026-03-04 is later than --until 2026-03-03\n",
        ),
        (("--waiting", "--confirmed"), 2, "--waiting is of unconfirmed referrals and stops; it takes no "),
        (("--json", "--csv"), 2, ""),
        (("-o", "x.csv"), 2, "-o goes with --csv\n"),
    ],
)
def test_what_cannot_be_meant_is_told(
    place: Path, said: Said, options: tuple[str, ...], code: int, told: str
) -> None:
    ended, _, err = said("cases", "list", *options)
    assert ended == code
    assert err.startswith(told)


def test_a_symptom_whose_tree_is_gone_can_be_asked_for(
    place: Path, said: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("DIAGNOSE_TREES")
    assert shown(said, "--symptom", "step-stuck") == [2, 1]
    said("cases", "confirm", "2", "not-listed")
    assert shown(said, "--symptom", "step-stuck", "--cause", "not-listed") == [2]


def test_as_csv_there_is_a_column_for_each_check_that_was_found(place: Path, said: Said) -> None:
    more_cases(place, 1)
    said("cases", "confirm", "1")
    assert said("cases", "list", "--csv") == (
        0,
        "case,date,symptom,cause,vehicle,state,gone-long-ago,squeak,volts\n"
        "3,2026-03-03,water-pump,pump-fuse,Van 7,cured,,,11.25\n"
        "2,2026-03-03,step-stuck,,,referred,,,\n"
        "1,2026-03-01,step-stuck,grit,the blue van,cured,yes,not-sure,11.25\n",
        "",
    )
    assert said("cases", "list", "--csv", "--waiting")[1].splitlines()[1:] == [
        "2,2026-03-03,step-stuck,,,referred"
    ]
    assert said("cases", "list", "--csv", "--cases", str(place / "no.sqlite"))[1] == (
        "case,date,symptom,cause,vehicle,state\n"
    )


def test_what_a_spreadsheet_would_work_out_is_disarmed(place: Path, said: Said) -> None:
    labels = ('=HYPERLINK("x")', "+1", "-1+1", "@SUM(A1)", "a;=1", 'quo"te, comma', "the owner's", "'=x")
    with open_store(str(place / "cases.sqlite")) as store:
        for label in labels:
            store.open_case("step-stuck", "d", "owner", label, NOON + timedelta(days=5))
    rows = list(csv.DictReader(io.StringIO(said("cases", "list", "--csv", "--state", "open")[1])))
    # OWASP ASVS 5.0, requirement 1.2.10: an apostrophe in front. "+1" is a number and none of it.
    assert [row["vehicle"] for row in reversed(rows)] == [
        "'=HYPERLINK(\"x\")", "+1", "'-1+1", "'@SUM(A1)", "a;'=1", 'quo"te, comma', "the owner's", "''=x"
    ]  # fmt: skip


def test_the_csv_is_read_in_again(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        for number, found in enumerate(
            ((Finding("volts", "low", 11.25, 0.1),), (Finding("squeak", "no"),), ())
        ):
            opened = NOON + timedelta(days=number)
            add_known(
                store, KnownCase("step-stuck", "d", "grit", "cured", opened, f"van {number}", found), opened
            )
    written, other = place / "cases.csv", place / "other.sqlite"
    # A finding of a check that no tree has any more cannot be read again.
    assert said("cases", "list", "--csv", "--since", "2026-03-01", "--confirmed", "-o", str(written))[:2] == (
        0,
        "",
    )
    assert written.read_bytes().startswith(b"\xef\xbb\xbfcase,date,"), (
        "a spreadsheet takes it for UTF-8 by the mark"
    )
    code, _, err = said("cases", "import", str(written), "--source", "us", "--cases", str(other))
    assert (code, err) == (0, "")
    back = said("cases", "list", "--csv", "--cases", str(other))[1]
    rows = [sorted(text.splitlines()) for text in (back, written.read_text(encoding="utf-8-sig"))]
    without_numbers = [[line.partition(",")[2] for line in lines] for lines in rows]
    assert sorted(without_numbers[0]) == sorted(without_numbers[1])
    assert len(rows[0]) == 4


def test_a_file_that_cannot_be_written_is_told_and_the_old_one_stays(place: Path, said: Said) -> None:
    code, _, err = said("cases", "list", "--csv", "-o", str(place / "no" / "folder" / "x.csv"))
    assert code == 1
    assert "No such file or directory" in err
    written = place / "x.csv"
    written.write_text("old")
    assert said("cases", "list", "--csv", "-o", str(written))[0] == 0
    assert written.read_text(encoding="utf-8-sig").startswith("case,date")
    assert [file.name for file in place.iterdir() if "part" in file.name] == []


def test_the_vehicle_of_a_card_can_be_asked_for(place: Path, said: Said) -> None:
    card = place / "van.yaml"
    card.write_text("label: The Blue Van\n", encoding="utf-8")
    assert shown(said, "--vehicle", str(card)) == [1]
    assert said("cases", "list", "--vehicle", str(card))[1].endswith("To see one: diagnose cases show 1\n")


@pytest.mark.parametrize("columns", [40, 80])
def test_what_is_waited_for_fits_the_screen(
    place: Path, said: Said, monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    out = said("cases", "list", "--waiting")[1]
    assert max(map(display_width, out.splitlines())) <= columns
    assert "code " in out or columns == 80


def test_a_plain_list_needs_no_trees(place: Path, said: Said, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DIAGNOSE_TREES", str(place / "no-such-folder"))
    assert shown(said) == [2, 1]
    assert said("cases", "list", "--waiting")[2].startswith("there is no folder ")
