"""`diagnose trees extend`: from a case that nobody could explain to a tree that asks the right question."""

from __future__ import annotations

import difflib
import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import shipped_folder
from tests.terminal.conftest import LAMP

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
ANSWERS = """\
says: The bulb's holder is green with verdigris
id: holder-corroded
in_100: 4
remedy: {do: "Switch it off, take the bulb out and wipe the contacts", by: owner, hands: controls, minutes: 6}
prevent: Keep the vehicle aired in winter
expect:
  switch-click: {on: almost certain}
  volts-at-lamp: {alive: almost certain}
check:
  id: holder-seen
  ask: What colour are the contacts in the holder?
  hands: look
  by: owner
  minutes: 2
  answers: {green: They are green, bright: They are bright}
  expect: {holder-corroded: {green: 0.95}, otherwise: {bright: almost certain}}
confirm: yes
"""


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A tree, and three cases: one of which no cause is known, one that is not confirmed, one that is."""
    (tmp_path / "trees").mkdir()
    (tmp_path / "trees" / "lamp-dark.yaml").write_text(LAMP)
    (tmp_path / "new.yaml").write_text(ANSWERS)
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        for cause in ("not-listed", "", "bulb-gone"):
            case = store.open_case("lamp-dark", "of old", "owner", "", NOON)
            store.append(case, Entry(NOON, "finding", "switch-click", "on"))
            store.append(case, Entry(NOON, "finding", "volts-at-lamp", "alive", 12.4))
            store.end_case(case, "referred", NOON, referral="workshop")
            if cause:
                store.confirm(case, cause, NOON)
    return tmp_path


@pytest.fixture
def extend(run, place):
    def extended(case: int, *more: str, typed: str = ""):
        return run("trees", "extend", str(case), "--trees", "trees", *more, typed=typed)

    return extended


def test_ten_minutes_later_the_next_owner_is_asked_the_right_question(run, place, extend):
    file = place / "trees" / "lamp-dark.yaml"
    ran = extend(1, "--answers", "new.yaml", "--yes")
    assert (ran.code, ran.err) == (0, "")
    assert "Safety rules proved for owner and technician: 1, 2, 3, 4, 5, 6, 7." in ran.out
    assert "TRIED ON 2 PAST CASES" in ran.out
    assert "Case 1 is confirmed as holder-corroded" in ran.out
    lines = difflib.ndiff(LAMP.splitlines(), file.read_text().splitlines())
    assert [line[2:].split(":")[0].strip() for line in lines if line.startswith("- ")] == ["expect", "expect"]
    assert "not_listed: 1" in file.read_text()
    checked = json.loads(run("trees", "check", "trees/lamp-dark.yaml", "--json").out)["trees"][0]
    assert (checked["errors"], checked["advice"], checked["causes"]) == ([], [], 4)
    found = place / "found.yaml"
    found.write_text("switch-click: on\nvolts-at-lamp: 12.4\n")
    walked = json.loads(run("walk", "lamp-dark", "--trees", "trees", "--answers", str(found), "--json").out)
    assert (walked["next"]["kind"], walked["next"]["id"]) == ("check", "holder-seen")
    found.write_text("switch-click: on\nvolts-at-lamp: 12.4\nholder-seen: green\n")
    walked = json.loads(run("walk", "lamp-dark", "--trees", "trees", "--answers", str(found), "--json").out)
    assert walked["ranking"][0]["cause"] == "holder-corroded"
    listed = json.loads(run("cases", "list", "--json").out)["cases"]
    assert {case["case"]: case["cause"] for case in listed} == {1: "holder-corroded", 2: None, 3: "bulb-gone"}


def test_without_yes_nothing_is_written_where_nobody_can_be_asked(place, extend):
    ran = extend(1, "--answers", "new.yaml")
    assert ran.code == 2
    assert ran.err == "nobody can be asked here; with --yes the change is written\n"
    assert "+    holder-corroded:" in ran.out
    assert (place / "trees" / "lamp-dark.yaml").read_text() == LAMP


@pytest.mark.parametrize(
    ("case", "code", "message"),
    [
        (2, 1, "say so first: diagnose cases confirm 2 not-listed --trees trees"),
        (9, 1, "case 9"),
    ],
)
def test_a_case_that_is_not_confirmed_or_not_there_is_refused_with_what_to_do(
    place, extend, case, code, message
):
    ran = extend(case, "--answers", "new.yaml", "--yes")
    assert (ran.code, ran.out) == (code, "")
    assert message in ran.err
    assert ran.err.count("\n") == 1
    assert (place / "trees" / "lamp-dark.yaml").read_text() == LAMP


@pytest.mark.parametrize(
    ("before", "after", "message"),
    [
        ("id: holder-corroded", "id: bulb-gone", 'new.yaml:2:5: "bulb-gone" stands for something'),
        (
            "in_100: 4",
            "in_100: 40\nothers: not-listed",
            "new.yaml:3:9: not_listed is 5; a share of 40 cannot",
        ),
        ("hands: look", "hands: ears", "new.yaml:12:10: hands wants look, controls or tools"),
        ("says: The", "tells: The", 'new.yaml:1:1: key "tells" is not known here'),
        ("in_100: 4", "hazard: gas", "tree lacks ask_first, which gas needs"),
    ],
)
def test_what_is_wrong_in_the_answers_is_told_at_its_place_and_nothing_is_written(
    place, extend, before, after, message
):
    (place / "new.yaml").write_text(ANSWERS.replace(before, after))
    ran = extend(1, "--answers", "new.yaml", "--yes")
    assert ran.code == 1
    assert message in ran.err
    assert "Traceback" not in ran.err
    assert (place / "trees" / "lamp-dark.yaml").read_text() == LAMP


def test_an_extension_that_would_make_a_route_unsafe_is_refused_with_the_path(place, extend, monkeypatch):
    from diagnose.reasoning.proof import UnsafeRoute
    from diagnose.revising import consequences

    def unsafe(*_):
        raise UnsafeRoute(5, "a caution comes late", "switch-click > on")

    monkeypatch.setattr(consequences, "route_for", unsafe)
    ran = extend(1, "--answers", "new.yaml", "--yes")
    assert ran.code == 1
    assert "the route breaks safety rule 5, a caution comes late: switch-click > on" in ran.err
    assert (place / "trees" / "lamp-dark.yaml").read_text() == LAMP


def test_a_tree_that_was_changed_meanwhile_is_left(place, extend, monkeypatch):
    from diagnose.revising import extending_figures

    file, real = place / "trees" / "lamp-dark.yaml", extending_figures.consequences

    def meanwhile(*arguments, **named):
        file.write_text(LAMP + "# by somebody else\n")
        return real(*arguments, **named)

    monkeypatch.setattr(extending_figures, "consequences", meanwhile)
    ran = extend(1, "--answers", "new.yaml", "--yes")
    assert (ran.code, ran.err.count("\n")) == (1, 1)
    assert "was changed by somebody else meanwhile" in ran.err
    assert file.read_text() == LAMP + "# by somebody else\n"


def test_a_read_only_tree_is_refused_before_any_question(place, extend):
    (place / "trees" / "lamp-dark.yaml").chmod(0o444)
    ran = extend(1)
    assert (ran.code, ran.out) == (1, "")
    assert "may not be written" in ran.err


def test_the_questions_end_with_the_input_and_nothing_is_written(place, extend):
    ran = extend(1, typed="The holder is green\n")
    assert ran.code == 0
    assert ran.out.endswith("Nothing was written.\n")
    assert (place / "trees" / "lamp-dark.yaml").read_text() == LAMP


def test_a_tree_in_which_everything_is_needed_at_once_takes_no_cause(place, extend):
    file = place / "trees" / "lamp-dark.yaml"
    file.write_text(LAMP.replace("any_of:", "all_of:"))
    ran = extend(1)
    assert (ran.code, ran.out, ran.err.count("\n")) == (1, "", 1)
    assert "every event needs all of its inputs" in ran.err


def test_the_change_as_one_document_is_written_with_yes_alone(place, extend):
    before = (place / "trees" / "lamp-dark.yaml").read_text()
    ran = extend(1, "--answers", "new.yaml", "--json")
    looked = json.loads(ran.out)
    assert (ran.code, ran.err, looked["written"], looked["confirmed"]) == (0, "", False, False)
    assert (place / "trees" / "lamp-dark.yaml").read_text() == before
    told = json.loads(extend(1, "--answers", "new.yaml", "--yes", "--json").out)
    assert told == {**looked, "written": True, "confirmed": True}
    assert (told["symptom"], told["case"], told["cause"]) == ("lamp-dark", 1, "holder-corroded")
    assert (told["file"], told["copied"], told["proved"]) == (
        "trees/lamp-dark.yaml",
        False,
        [1, 2, 3, 4, 5, 6, 7],
    )
    assert "+    holder-corroded:" in told["change"]
    minutes = told["expected_minutes"]
    assert minutes.keys() == {"owner", "technician"}
    assert all(0 < each["now"] < 1e4 and each["now"] != each["before"] for each in minutes.values())
    assert told["cases"] == 2
    with open_store(str(place / "cases.sqlite")) as store:
        assert store.case(1).cause == "holder-corroded"


def test_a_document_of_what_is_wrong_and_none_without_a_file(place, extend):
    (place / "new.yaml").write_text(ANSWERS.replace("says: The", "sais: The"))
    ran = extend(1, "--answers", "new.yaml", "--json", "--yes")
    assert ran.code == 1
    assert json.loads(ran.out)["errors"][0]["message"].startswith('key "sais" is not known here')
    ran = extend(1, "--json")
    assert (ran.code, "--json stands with --answers" in ran.out) == (2, True)


def test_yes_alone_answers_no_question(extend):
    assert extend(1, "--yes").code == 2


@pytest.mark.long
def test_a_shipped_tree_stays_and_the_copy_has_the_cause(run, place, tmp_path):
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        case = store.open_case("heater-no-fire", "of old", "owner", "", NOON)
        store.end_case(case, "referred", NOON, referral="gas-engineer")
        store.confirm(case, "not-listed", NOON)
    before = (shipped_folder() / "heater-no-fire.yaml").read_bytes()
    (place / "wet.yaml").write_text(
        "says: Water stands in the exhaust pipe\nunder: fire-side\nremedy: {refer: gas-engineer}\n"
    )
    ran = run("trees", "extend", str(case), "--answers", "wet.yaml", "--yes", "--trees", "trees")
    assert ran.code == 0, ran.err
    assert (shipped_folder() / "heater-no-fire.yaml").read_bytes() == before
    assert b"water-stands-exhaust:" in (place / "trees" / "heater-no-fire.yaml").read_bytes()
    assert f"diagnose cases confirm {case} water-stands-exhaust --trees trees" in " ".join(ran.out.split())
