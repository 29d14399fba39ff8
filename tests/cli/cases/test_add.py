"""`diagnose cases add` without a terminal: exact ids log a case, words only list what they may mean."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from diagnose.cases.store import open_store
from tests.cli.cases.step_stuck import Said

IDS = ("cases", "add", "--symptom", "step-stuck", "--cause")


def logged(place: Path, case: int = 3):
    with open_store(str(place / "cases.sqlite")) as store:
        return store.case(case), store.tally("step-stuck", datetime.now(UTC))


def nothing_is_logged(place: Path) -> bool:
    with open_store(str(place / "cases.sqlite")) as store:
        return len(store.cases()) == 2


def test_exact_ids_log_a_confirmed_case_that_counts_once(place: Path, said: Said) -> None:
    assert said(*IDS, "grit", "--vehicle", "van 7", "--yes") == (
        0,
        "Case 3 is logged: Grit holds it (grit). It counts from the next walk on.\n"
        "To take it back: diagnose cases forget 3\n",
        "",
    )
    record, tally = logged(place)
    assert (record.state, record.role, record.vehicle, record.cause) == (
        "cured",
        "technician",
        "van 7",
        "grit",
    )
    assert record.confirmed
    assert abs(record.opened - datetime.now(UTC)) < timedelta(minutes=1)
    assert tally.causes == {"grit": 1.0}


def test_day_end_and_findings_are_kept(place: Path, said: Said) -> None:
    found = ("--finding", "volts=11,2", "--finding", "squeak=yes")
    code, out, _ = said(
        *IDS, "frost+damp", "--on", "2026-02-28", "--state", "referred", *found, "--yes", "--json"
    )
    assert code == 0
    (document,) = json.loads(out)["cases"]
    assert document == {
        "case": 3,
        "symptom": "step-stuck",
        "state": "referred",
        "confirmed": True,
        "cause": "damp+frost",
        "opened": "2026-02-28T12:00:00Z",
        "vehicle": None,
        "findings": 2,
    }
    _, tally = logged(place)
    assert tally.answers == {("damp+frost", "squeak", "yes"): 1.0, ("damp+frost", "volts", "low"): 1.0}


def test_what_no_tree_lists_is_logged_as_not_listed(place: Path, said: Said) -> None:
    code, out, _ = said(*IDS, "not-listed", "--yes")
    assert (code, out.splitlines()[0]) == (
        0,
        "Case 3 is logged: something that is not listed. It counts from the next walk on.",
    )
    assert logged(place)[1].causes == {"not-listed": 1.0}


def test_words_are_never_taken_where_nobody_can_be_asked(place: Path, said: Said) -> None:
    code, out, err = said("cases", "add", "step", "grit", "--vehicle", "van 7", "--on", "2026-02-28")
    assert (code, out) == (2, "")
    assert err.startswith(
        "nobody can be asked which of these it was; write the one that is meant:\n"
        "  Grit holds it (The step will not fold in)\n"
        "    diagnose cases add --symptom step-stuck --cause grit --vehicle 'van 7' --on 2026-02-28 --yes\n"
    )
    # Not even one exact id is taken without a yes.
    command = "diagnose cases add --symptom step-stuck --cause grit --yes"
    assert said(*IDS, "grit") == (2, "", f"nobody can be asked here; to log it, add --yes:\n  {command}\n")
    assert said("cases", "add", "grit")[2].endswith(
        f":\n  Grit holds it (The step will not fold in)\n    {command}\n"
    )
    code, out, err = said("cases", "add", "grit", "--json")
    assert (code, err) == (2, "")
    assert command in json.loads(out)["errors"][0]["message"]
    assert nothing_is_logged(place)


def test_what_fits_nothing_says_how_to_write_it(place: Path, said: Said) -> None:
    written = (
        "nobody can be asked here, so give its ids:\n  diagnose cases add --symptom ID --cause ID --yes\n"
    )
    assert said("cases", "add", "xyzzy", "quux") == (2, "", f'nothing here fits "xyzzy quux"; {written}')
    assert said("cases", "add") == (2, "", f"say in a few words what it was; {written}")


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("--cause", "grit", "--yes"), 2, "--cause goes with --symptom, and without words"),
        (
            ("grit", "--symptom", "step-stuck", "--cause", "grit"),
            2,
            "--cause goes with --symptom, and without words",
        ),
        (("grit", "--yes"), 2, "--yes goes with --symptom and --cause: words are never taken without asking"),
        (
            ("--symptom", "step-stuk", "--cause", "grit", "--yes"),
            1,
            'there is no symptom "step-stuk"; the nearest are step-stuck, ',
        ),
        (
            ("--symptom", "step-stuck", "--cause", "gritt", "--yes"),
            1,
            '"gritt" is no cause of step-stuck (did you mean "grit"?)',
        ),
    ],
)
def test_what_does_not_go_is_told(
    place: Path, said: Said, words: tuple[str, ...], code: int, told: str
) -> None:
    ended, out, err = said("cases", "add", *words)
    assert (ended, out) == (code, "")
    assert err.startswith(told)
    assert nothing_is_logged(place)


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (("volts",), '--finding volts: write it like --finding "rest-volts=12.1 V"\n'),
        (("=yes",), '--finding =yes: write it like --finding "rest-volts=12.1 V"\n'),
        (
            ("squeek=yes", "volts=99"),
            '--finding squeek=yes: "squeek" is no check, fact or cause of this tree (did you mean '
            '"squeak"?)\n--finding volts=99: volts: ',
        ),
        (("squeak=maybe",), '--finding squeak=maybe: "maybe" is no answer of squeak: yes, no or not-sure'),
        (("squeak=yes", "squeak=no"), "--finding squeak=no: "),
        (("grit=not-cured",), "--finding grit is a cause; what was found is of a check\n"),
        (("squeak={a: [b]}",), '--finding squeak={a: [b]}: "{a: [b]}" is no answer of squeak'),
    ],
)
def test_every_finding_that_will_not_do_is_told_at_once(
    place: Path, said: Said, found: tuple[str, ...], told: str
) -> None:
    options = [part for each in found for part in ("--finding", each)]
    code, out, err = said(*IDS, "grit", *options, "--yes")
    assert (code, out) == (2, "")
    assert err.startswith(told)
    assert nothing_is_logged(place)


def test_a_day_to_come_or_of_no_calendar_is_refused(place: Path, said: Said) -> None:
    tomorrow = (date.today() + timedelta(days=1)).isoformat()
    for day, told in (
        (tomorrow, "has not come yet"),
        ("2026-02-30", "there is no day"),
        ("20.11.2026", "2026-11-20"),
    ):
        code, _, err = said(*IDS, "grit", "--on", day, "--yes")
        assert code == 2
        assert told in err
    assert nothing_is_logged(place)


@pytest.mark.parametrize(
    ("label", "told"),
    [
        (
            "AB12 CDE",
            '"AB12 CDE" looks like a number plate, which tells whose vehicle it is; give it a name of your ',
        ),
        ("=1+1", '"=1+1" is a formula to a spreadsheet; give the vehicle another name'),
        ("x" * 61, "the vehicle's name has 61 characters; 60 at most"),
        ("van\x1b[2J", "a control or invisible character stands in the vehicle's name"),
    ],
)
def test_a_name_that_the_store_should_not_hold_is_refused(
    place: Path, said: Said, label: str, told: str
) -> None:
    code, _, err = said(*IDS, "grit", "--vehicle", label, "--yes")
    assert code == 2
    assert err.startswith(told)
    assert nothing_is_logged(place)


def test_a_name_that_only_looks_like_a_plate_can_be_insisted_on(place: Path, said: Said) -> None:
    assert said(*IDS, "grit", "--vehicle", "Tom 200", "--yes")[0] == 2
    assert said(*IDS, "grit", "--vehicle", "Tom 200", "--plates", "--yes")[0] == 0
    assert logged(place)[0].vehicle == "Tom 200"


def test_the_same_vehicle_cause_and_day_is_not_logged_twice_by_a_slip(place: Path, said: Said) -> None:
    typed = (*IDS, "grit", "--vehicle", "van 7", "--yes")
    assert said(*typed)[0] == 0
    assert said(*typed) == (
        1,
        "",
        "case 3 is of the same vehicle, day and cause; to log another one, add --again\n",
    )
    assert said(*typed, "--again")[0] == 0
    assert logged(place)[1].causes == {"grit": 2.0}


def test_a_card_gives_the_name(place: Path, said: Said) -> None:
    card = place / "van.yaml"
    card.write_text("label: the green van\n", encoding="utf-8")
    assert said(*IDS, "grit", "--vehicle", str(card), "--yes")[0] == 0
    assert logged(place)[0].vehicle == "the green van"


def test_a_tree_with_flaws_is_named_and_left_out(place: Path, said: Said) -> None:
    (place / "trees" / "broken-one.yaml").write_text("symptom: [\n", encoding="utf-8")
    code, _, err = said("cases", "add", "grit")
    assert code == 2
    assert err.startswith(
        "broken-one is left out: its file has flaws (diagnose trees check broken-one)\nnobody"
    )


def test_it_makes_the_store_and_repeats_the_options_that_were_typed(place: Path, said: Said) -> None:
    fresh = place / "other.sqlite"
    out = said(*IDS, "grit", "--yes", "--cases", str(fresh))[1]
    # A path that is wider than the screen is cut, and where the test's own lies nobody knows.
    told = f"To take it back: diagnose cases forget 1 --cases {fresh}"
    assert "".join(out.split()).endswith("".join(told.split()))
    assert fresh.exists()
    err = said("cases", "add", "grit", "--cases", str(fresh), "--trees", str(place / "trees"))[2]
    assert f"--cause grit --yes --cases {fresh} --trees {place / 'trees'}\n" in err


def test_what_it_logs_can_be_taken_back(place: Path, said: Said) -> None:
    said(*IDS, "grit", "--yes")
    assert said("cases", "forget", "3", "--yes")[0] == 0
    assert nothing_is_logged(place)
    with open_store(str(place / "cases.sqlite")) as store:
        assert store.tally("step-stuck", datetime.now(UTC)).causes == {}


def test_words_may_be_looked_for_in_one_symptom_alone(place: Path, said: Said) -> None:
    err = said("cases", "add", "spider in flue", "--symptom", "water-heater-no-fire")[2]
    assert "--symptom water-heater-no-fire --cause flue-nest --yes" in err
    assert "--symptom heater-no-fire " not in err


def test_a_logged_case_can_be_taken_up_again_as_any_other(place: Path, said: Said) -> None:
    said(*IDS, "grit", "--finding", "squeak=yes", "--yes")
    said("walk", "--resume", "3")
    record = logged(place)[0]
    assert [line.kind for line in record.entries][:2] == ["finding", "resumed"]
    assert (record.confirmed, record.cause) == (True, "grit")


def test_logging_clears_no_stop(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        stop = store.open_case("step-stuck", "d", "owner", "van 7", datetime.now(UTC) - timedelta(hours=1))
        store.end_case(stop, "stopped", datetime.now(UTC), referral="gas-escape")
    assert said(*IDS, "grit", "--vehicle", "van 7", "--finding", "squeak=yes", "--yes")[0] == 0
    assert "cleared" in said("walk", "step-stuck", "--vehicle", "van 7")[1]
