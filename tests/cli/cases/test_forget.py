"""`diagnose cases forget`: what is shown before, what goes, and what is not taken for something else."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.cases.rounds_store import begin_round, rounds_kept
from diagnose.cases.store import open_store
from tests.cli.cases.step_stuck import NOON, Said


def kept(place: Path) -> list[int]:
    with open_store(str(place / "cases.sqlite")) as store:
        return [case.case for case in store.cases(oldest_first=True)]


def test_what_goes_is_shown_and_without_a_terminal_needs_a_yes(place: Path, said: Said) -> None:
    code, out, err = said("cases", "forget", "1-2")
    assert (code, out) == (2, "")
    assert err == (
        "These go for good, with every answer that was given and with what they count:\n"
        "  1  step-stuck, the blue van, 2026-03-01, cured, not confirmed, 11 lines\n"
        "  2  step-stuck, 2026-03-03, referred, not confirmed, 0 lines\n"
        "Copies of the store still hold them.\n\nNobody can be asked here; with --yes it is done.\n"
    )
    assert kept(place) == [1, 2]


def test_with_a_yes_it_goes(place: Path, said: Said) -> None:
    code, out, err = said("cases", "forget", "2", "--yes")
    assert (code, err) == (0, "")
    assert out.endswith(
        "Copies of the store still hold them.\n"
        "1 case forgotten. Nothing of them is left in the store's file.\n"
    )
    assert kept(place) == [1]
    assert said("cases", "forget", "2", "--yes")[0] == 1


def test_a_vehicle_goes_by_its_label_and_a_number_is_a_label_only_there(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        store.open_case("step-stuck", "d", "owner", "1", NOON)
    assert said("cases", "forget", "--vehicle", "1", "--yes")[0] == 0
    assert kept(place) == [1, 2]
    assert said("cases", "forget", "--vehicle", "THE BLUE VAN", "--yes")[0] == 0
    assert kept(place) == [2]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "say what goes: the number of a case, --vehicle LABEL, --round NUMBER or --merged ORIGIN"),
        (("blue",), '"blue" is no number of a case; for a vehicle write: --vehicle blue'),
        (
            ("the blue van",),
            "\"the blue van\" is no number of a case; for a vehicle write: --vehicle 'the blue van'",
        ),
        (("7-3",), "7-3 is no span of cases; write the lower number first, such as 3-7"),
        (("1-9999999",), "1-9999999 is no span of cases; write the lower number first, such as 3-7"),
        (("--vehicle", " "), "--vehicle takes a label; cases without one are named by their numbers"),
    ],
)
def test_what_cannot_be_meant_is_wrong_usage(
    place: Path, said: Said, words: tuple[str, ...], told: str
) -> None:
    assert said("cases", "forget", *words, "--yes") == (2, "", f"{told}\n")
    assert kept(place) == [1, 2]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("1", "9"), "there is no case 9; `diagnose cases list` shows those there are"),
        (("0",), "there is no case 0; `diagnose cases list` shows those there are"),
        (("9999999999",), "there is no case 9999999999; `diagnose cases list` shows those there are"),
        (("--vehicle", "blu van"), 'no case has the vehicle "blu van" (did you mean "the blue van"?)'),
        (
            ("--merged", "f00d"),
            'nothing is merged from "f00d"; `diagnose cases merge` lists what stands merged',
        ),
    ],
)
def test_what_is_not_there_is_told_and_nothing_goes(
    place: Path, said: Said, words: tuple[str, ...], told: str
) -> None:
    assert said("cases", "forget", *words, "--yes") == (1, "", f"{told}\n")
    assert kept(place) == [1, 2]


def test_confirmed_and_brought_in_cases_are_told_where_they_still_are(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        store.confirm(1, "grit", NOON)
        with store.writing() as connection:
            connection.exec_driver_sql(
                "UPDATE cases SET source = 'fleet.csv', source_case = '7' WHERE id = 1"
            )
    out = said("cases", "forget", "1", "--yes")[1]
    assert "cured, it was grit, 11 lines" in out
    assert "Some were brought in from fleet.csv; bringing that in again would bring them\nback.\n" in out
    assert "a new one puts that right:\n  diagnose cases export -o FILE\n" in out


def test_of_very_many_only_the_first_are_shown(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        for _ in range(40):
            store.open_case("step-stuck", "d", "owner", "fleet", NOON)
    out = said("cases", "forget", "--vehicle", "fleet", "--yes")[1]
    assert "  32  step-stuck, fleet" in out
    assert "  33  step-stuck, fleet" not in out
    assert "  and 10 more\n" in out
    assert "40 cases forgotten." in out


def test_a_label_that_could_steer_a_terminal_is_shown_without_that(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        store.open_case("step-stuck", "d", "owner", "van \x1b[2J7", NOON)
    code, out, err = said("cases", "forget", "3")
    assert "\x1b" not in err + out
    assert said("cases", "forget", "--vehicle", "vex \x1b[2J8")[2].isprintable() is False
    assert "\x1b" not in said("cases", "forget", "--vehicle", "van \x1b[2J8")[2]
    assert code == 2


def test_a_round_is_forgotten_by_its_number_and_with_its_vehicle(place: Path, said: Said) -> None:
    with open_store(str(place / "cases.sqlite")) as store:
        for vehicle in ("Van 70", "Van 71"):
            begin_round(store, "wake-up", "d", vehicle, "", NOON)
    code, told, complaint = said("cases", "forget", "--round", "1", "--yes")
    assert (code, complaint) == (0, "")
    assert "1  wake-up, Van 70, 2026-03-01, 0 lines\n" in told
    assert told.endswith("1 round forgotten. Nothing of them is left in the store's file.\n")
    assert said("cases", "forget", "--vehicle", "van 71", "--yes")[0] == 0
    with open_store(str(place / "cases.sqlite")) as store:
        assert rounds_kept(store) == ()
    assert said("cases", "forget", "--round", "1", "--yes")[::2] == (
        1,
        "there is no round 1; `diagnose round --kept` shows those there are\n",
    )
