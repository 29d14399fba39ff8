"""Outcomes come home: `diagnose cases confirm CODE NUMBER`, where the case was opened and elsewhere."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from diagnose.cases.codes import number_of, written
from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from diagnose.cli import main
from diagnose.knowledge.collection import Library
from diagnose.walking.case_codes import code_of

MAY = datetime(2026, 5, 3, 9, 30, tzinfo=UTC)

STEP_STUCK = """\
symptom: The step will not fold in
system: water
refer_to: workshop
cured_when: {ask: "Does it fold in and out three times?", minutes: 1}
faults:
  hazard: none
  any_of:
    grit:
      says: Grit holds it
      in_100: 60
      remedy: {do: Brush it clean, by: owner, hands: controls, minutes: 5}
      prevent: Brush it each month
    motor:
      says: Its motor has failed
      in_100: 35
      remedy: {refer: workshop}
      prevent: Have it looked at with the yearly check
checks:
  squeak:
    ask: Does it squeak?
    hands: look
    by: owner
    minutes: 1
    answers: {"yes": It squeaks, "no": Silent}
    expect: {grit: {"yes": probable}, otherwise: {"no": probable}}
  volts:
    ask: What does the panel show?
    hands: look
    by: owner
    minutes: 1
    reading: {unit: V, range: [0, 16], uncertainty: 0.1}
    bands: {low: {below: 11.5}, good: {from: 11.5}}
    expect: {grit: {good: probable}, otherwise: {low: fifty-fifty}}
sources: [made up for a test]
"""
HELD = """\
The step will not fold in (handed on; begun in May 2026)
{whose}

What was found:
  - Does it squeak? Silent.
  - What does the panel show? good: 11.5 V or more.

What was tried:
  - Brush it clean: no better.

What did it turn out to be?
  1  Grit holds it
  2  Its motor has failed
  3  Something else, not in this list

{then}
  diagnose cases confirm {code} NUMBER{options}
"""


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A folder with a tree, and a store in which case 1 was handed on."""
    folder = tmp_path / "trees"
    folder.mkdir()
    (folder / "step-stuck.yaml").write_text(STEP_STUCK, encoding="utf-8")
    monkeypatch.setenv("DIAGNOSE_TREES", str(folder))
    monkeypatch.setenv("DIAGNOSE_CASES", str(tmp_path / "owner.sqlite"))
    monkeypatch.setenv("COLUMNS", "100")
    with open_store(str(tmp_path / "owner.sqlite")) as store:
        handed_on(store, tree_at(tmp_path))
    return tmp_path


@pytest.fixture
def said(capsys):
    """Runs the program as the console script does: exit code, standard output, standard error."""

    def run(*words):
        with pytest.raises(SystemExit) as ended:
            main(words)
        shown = capsys.readouterr()
        return int(ended.value.code or 0), shown.out, shown.err

    return run


@pytest.fixture
def workshop(place, monkeypatch):
    """The store of another machine, which is where the commands look now; it is not there yet."""
    monkeypatch.setenv("DIAGNOSE_CASES", str(place / "workshop.sqlite"))
    return place / "workshop.sqlite"


def sentences(run):
    """What a run wrote, without the ends of its lines; it has to have gone well."""
    code, out, err = run
    assert (code, err) == (0, "")
    return " ".join(out.split())


def tree_at(place):
    return Library((place / "trees",)).tree("step-stuck")


def handed_on(store, tree, state="referred", opened=MAY):
    case = store.open_case("step-stuck", tree.digest, "owner", "the blue van", opened)
    lines = (("finding", "squeak", "no"), ("finding", "volts", "good"), ("tried", "grit", "not-cured"))
    for number, (kind, subject, answer) in enumerate(lines):
        value = 12.4 if subject == "volts" else None
        store.append(case, Entry(opened + timedelta(minutes=number), kind, subject, answer, value))
    store.end_case(case, state, opened, referral="workshop")
    return case


def code_at(place, case=1):
    with open_store(str(place / "owner.sqlite")) as store:
        return code_of(store.case(case), tree_at(place), store.origin)


def tag_at(place):
    with open_store(str(place / "owner.sqlite")) as store:
        return store.origin[:4]


def tally_of(file):
    with open_store(str(file)) as store:
        return store.tally("step-stuck", MAY)


def case_of(file, case=1):
    with open_store(str(file)) as store:
        return store.case(case)


# Where the case was opened ----------------------------------------------------------------------------------


def test_code_and_number_close_the_case_where_it_was_opened(place, said):
    assert said("cases", "confirm", code_at(place), "2") == (
        0,
        "Case 1 is confirmed: Its motor has failed (motor). It counts from the next walk on.\n",
        "",
    )
    assert tally_of(place / "owner.sqlite").causes == {"motor": 1.0}


@pytest.mark.parametrize(
    "spell",
    [
        str.lower,
        lambda code: code.replace("-", " "),
        lambda code: code.replace("-", ""),
        lambda code: code.replace("0", "O").replace("1", "l"),
    ],
)
def test_a_code_may_be_written_in_any_way(place, said, spell):
    code = spell(code_at(place))
    assert said("cases", "confirm", *code.split(), "motor")[0] == 0
    assert case_of(place / "owner.sqlite").cause == "motor"


def test_without_a_number_the_code_is_told_and_nothing_is_confirmed(place, said):
    code = code_at(place)
    told = HELD.format(
        whose="This is case 1 here, not confirmed yet.",
        then="Nothing has been confirmed yet. To do so:",
        code=code,
        options="",
    )
    assert said("cases", "confirm", code.lower()) == (0, told, "")
    document = json.loads(said("cases", "confirm", code, "--json")[1])
    assert [case["case"] for case in document["cases"]] == [1]
    assert document["outcomes"] == [
        {"number": 1, "cause": "grit", "says": "Grit holds it"},
        {"number": 2, "cause": "motor", "says": "Its motor has failed"},
        {"number": 3, "cause": "not-listed", "says": "Something else, not in this list"},
    ]
    assert not case_of(place / "owner.sqlite").confirmed


def test_the_last_number_and_nought_are_something_that_is_not_listed(place, said):
    for number in ("3", "0"):
        assert said("cases", "confirm", code_at(place), number)[0] == 0
        assert case_of(place / "owner.sqlite").cause == "not-listed"


def test_a_case_that_was_taken_up_again_is_closed_by_its_code(place, said):
    code, file = code_at(place), place / "owner.sqlite"
    with open_store(str(file)) as store:
        store.reopen(1, MAY + timedelta(days=1))
        store.append(1, Entry(MAY + timedelta(days=1), "finding", "squeak", "yes"))
    assert sentences(said("cases", "confirm", code, "2")) == (
        "Case 1 is confirmed: Its motor has failed (motor). It counts from the next walk on. "
        "It had been taken up again since; it is over now (handed on)."
    )
    assert (case_of(file).state, case_of(file).cause) == ("referred", "motor")
    ended = tally_of(file).endings["referred"]
    assert (ended.ended, ended.confirmed) == (1.0, 1.0)


def test_a_case_that_was_stopped_stays_so(place, said):
    with open_store(str(place / "owner.sqlite")) as store:
        case = handed_on(store, tree_at(place), "stopped")
    assert said("cases", "confirm", code_at(place, case), "1")[0] == 0
    kept = case_of(place / "owner.sqlite", case)
    assert (kept.state, kept.confirmed) == ("stopped", True)
    assert said("walk", "--resume", str(case))[0] == 1


def test_a_code_that_was_used_says_so_and_another_cause_moves_the_count(place, said):
    code = code_at(place)
    said("cases", "confirm", code, "2")
    assert sentences(said("cases", "confirm", code, "motor")) == (
        "Case 1 was confirmed as this already: Its motor has failed (motor). Nothing has changed."
    )
    assert sentences(said("cases", "confirm", code, "1")) == (
        "Case 1 is now confirmed as: Grit holds it (grit). Until now it counted as motor; "
        "the counts have moved."
    )
    assert tally_of(place / "owner.sqlite").causes == {"grit": 1.0}


def test_the_code_of_a_case_is_shown_and_is_in_the_document(place, said):
    code = code_at(place)
    assert f"\nCode: {code}\n" in said("cases", "show", "1")[1]
    assert json.loads(said("cases", "show", "1", "--json")[1])["cases"][0]["code"] == code
    with open_store(str(place / "owner.sqlite")) as store:
        store.reopen(1, MAY)
    assert "Code" not in said("cases", "show", "1")[1]
    assert json.loads(said("cases", "show", "1", "--json")[1])["cases"][0]["code"] is None


def test_a_number_goes_with_the_number_of_a_case_too(place, said):
    assert said("cases", "confirm", "1", "2")[0] == 0
    assert case_of(place / "owner.sqlite").cause == "motor"


# On another machine -----------------------------------------------------------------------------------------


def test_on_another_machine_a_code_opens_its_case_confirmed_and_just_once(place, workshop, said):
    code, tag = code_at(place), tag_at(place)
    told = HELD.format(
        whose=f"This is case 1 of the store {tag}; it has not come here yet.",
        then="Nothing has been confirmed yet. To do so:",
        code=code,
        options="",
    )
    assert said("cases", "confirm", code) == (0, told, "")
    assert not workshop.exists()
    assert sentences(said("cases", "confirm", code, "2")) == (
        f"Case 1 of the store {tag} is opened here as case 1 and confirmed: Its motor has failed (motor). "
        "It counts from the next walk on."
    )
    kept = case_of(workshop)
    assert (kept.source, kept.source_case, kept.state, kept.vehicle) == (tag, "1", "referred", "")
    assert (kept.opened, kept.role) == (datetime(2026, 5, 1, tzinfo=UTC), "owner")
    assert [(line.kind, line.subject, line.answer, line.value) for line in kept.entries] == [
        ("finding", "squeak", "no", None),
        ("finding", "volts", "good", None),
        ("tried", "grit", "not-cured", None),
    ]
    assert tally_of(workshop).causes == {"motor": 1.0}
    assert tally_of(workshop).answers == {("motor", "squeak", "no"): 1.0, ("motor", "volts", "good"): 1.0}
    assert sentences(said("cases", "confirm", code, "2")) == (
        f"This is case 1 of the store {tag}, which came before. Case 1 was confirmed as this already: "
        "Its motor has failed (motor). Nothing has changed."
    )
    assert sentences(said("cases", "confirm", code, "1")).endswith("; the counts have moved.")
    assert tally_of(workshop).causes == {"grit": 1.0}
    assert f"\nBrought in: case 1 of {tag}, of 2026-05-01.\n" in said("cases", "show", "1")[1]
    assert "which is case 1 here, confirmed as grit." in said("cases", "confirm", code)[1]


def test_a_stop_from_elsewhere_does_not_stand_in_the_way_of_a_vehicle_here(place, workshop, said):
    with open_store(str(place / "owner.sqlite")) as store:
        case = handed_on(store, tree_at(place), "stopped")
    assert said("cases", "confirm", code_at(place, case), "2")[0] == 0
    assert case_of(workshop).state == "stopped"
    with open_store(str(workshop)) as store:
        assert list(store.newest_first("")) == []


# Codes that will not do -------------------------------------------------------------------------------------


def test_a_slip_of_the_pen_is_told_with_its_group(place, said):
    code = code_at(place)
    wrong = code[:10] + ("0" if code[10] != "0" else "1") + code[11:]
    told = "one character seems wrong, in group 3; look at that group again, or have it read out"
    assert said("cases", "confirm", wrong, "2") == (2, "", f"{told}\n")
    exit_code, out, _ = said("cases", "confirm", wrong, "2", "--json")
    assert (exit_code, json.loads(out)["errors"][0]["message"]) == (2, told)
    assert not case_of(place / "owner.sqlite").confirmed


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("hello",), '"hello" is neither the number of a case nor a code'),
        (("-1",), "No such option"),
        (("1", "9"), "there is no outcome 9; they are:"),
    ],
)
def test_what_is_neither_a_case_nor_a_code_is_told(place, said, words, told):
    exit_code, out, err = said("cases", "confirm", *words)
    assert exit_code in (1, 2)
    assert out == ""
    assert told in err


def test_a_number_beyond_the_outcomes_is_told_with_the_outcomes(place, said):
    assert said("cases", "confirm", code_at(place), "4") == (
        1,
        "",
        "there is no outcome 4; they are:\n"
        "  1 grit: Grit holds it\n"
        "  2 motor: Its motor has failed\n"
        "  3 not-listed: Something else, not in this list\n",
    )


def test_a_case_that_this_store_has_lost_is_told(place, said):
    code, tag = code_at(place), tag_at(place)
    (place / "owner.sqlite").unlink()
    with open_store(str(place / "owner.sqlite")) as store, store.writing() as connection:
        connection.exec_driver_sql(f"UPDATE store_identity SET origin = '{tag}000000000000'")
    assert said("cases", "confirm", code, "2")[::2] == (
        1,
        "there is no case 1; `diagnose cases list` shows those there are\n",
    )


def test_a_code_that_names_another_case_of_this_store_is_refused(place, said):
    with open_store(str(place / "owner.sqlite")) as store:
        other = replace(store.case(1), opened=MAY.replace(month=4))
        code = code_of(other, tree_at(place), store.origin)
    exit_code, _, err = said("cases", "confirm", code, "2")
    assert exit_code == 1
    assert err.startswith(
        "this code is not of case 1, which has another symptom or was opened in another month;"
    )
    assert not case_of(place / "owner.sqlite").confirmed


def test_two_stores_of_the_same_short_name_are_not_taken_for_one(place, workshop, said):
    said("cases", "confirm", code_at(place), "2")
    with open_store(str(place / "owner.sqlite")) as store:
        other = replace(store.case(1), opened=MAY.replace(month=4))
        code = code_of(other, tree_at(place), store.origin)
    exit_code, _, err = said("cases", "confirm", code, "1")
    assert exit_code == 1
    assert (
        f"this code is not of case 1, case 1 of the store {tag_at(place)}, which has another symptom" in err
    )
    assert tally_of(workshop).causes == {"motor": 1.0}


def test_a_code_of_a_later_version_is_told(place, said):
    later = written(number_of(code_at(place)) + 1)
    assert said("cases", "confirm", later, "2") == (
        1,
        "",
        "this code was made by a later version of the program; update this one to read it\n",
    )


def test_a_symptom_that_is_not_at_hand_is_told(place, workshop, said, monkeypatch):
    code = code_at(place)
    monkeypatch.delenv("DIAGNOSE_TREES")
    told = "no tree at hand has the symptom of this code; name its folder with --trees\n"
    assert said("cases", "confirm", code, "2") == (1, "", told)
    assert said("cases", "confirm", code, "2", "--trees", str(place / "trees"))[0] == 0


# Trees that have changed ------------------------------------------------------------------------------------


def changed(place, old, new):
    file = place / "trees" / "step-stuck.yaml"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


NEW_CAUSE = """\
    hinge:
      says: Its hinge is bent
      in_100: 5
      remedy: {refer: workshop}
      prevent: Fold it in before you drive
    motor:
"""


def test_other_words_and_figures_do_not_touch_a_code(place, said):
    code = code_at(place)
    changed(place, "Does it squeak?", "Does it squeak or grate?")
    changed(place, "in_100: 60", "in_100: 50")
    assert said("cases", "confirm", code, "2")[0] == 0
    assert case_of(place / "owner.sqlite").cause == "motor"


def test_a_cause_and_a_check_that_were_renamed_are_found_under_their_names_of_today(place, workshop, said):
    code = code_at(place)
    changed(place, "    motor:\n", "    motor-failed:\n      was: [motor]\n")
    changed(place, "  squeak:\n", "  squeaks:\n    was: [squeak]\n")
    assert said("cases", "confirm", code, "2")[0] == 0
    kept = case_of(workshop)
    assert kept.cause == "motor-failed"
    assert [line.subject for line in kept.entries] == ["squeaks", "volts", "grit"]


def test_with_a_new_cause_in_the_list_numbers_are_refused_and_causes_are_taken(place, workshop, said):
    code, tag = code_at(place), tag_at(place)
    changed(place, "    motor:\n", NEW_CAUSE)
    exit_code, out, err = said("cases", "confirm", code, "2")
    assert (exit_code, out) == (1, "")
    assert err == (
        'the tree "step-stuck" asks or knows something else than when this code was made, so outcome 2 '
        "may be another now; write the cause instead of its number:\n"
        "  1 grit: Grit holds it\n"
        "  2 hinge: Its hinge is bent\n"
        "  3 motor: Its motor has failed\n"
        "  4 not-listed: Something else, not in this list\n"
    )
    listed = said("cases", "confirm", code)[1]
    assert "so write the cause" in listed
    assert "  motor       Its motor has failed\n" in listed
    assert listed.endswith(f"  diagnose cases confirm {code} CAUSE\n")
    assert sentences(said("cases", "confirm", code, "motor")) == (
        f"Case 1 of the store {tag} is opened here as case 1 and confirmed: Its motor has failed (motor). "
        "It counts from the next walk on. What was found could not be read from the code: its tree has "
        "asked or known something else since. It counts for its cause alone."
    )
    assert case_of(workshop).entries == ()
    assert tally_of(workshop).causes == {"motor": 1.0}


def test_the_version_that_a_code_was_made_with_is_looked_for_in_every_folder(place, workshop, said):
    """A workshop whose own tree knows more still reads the codes of owners who have the other one."""
    code = code_at(place)
    own = place / "own"
    own.mkdir()
    text = STEP_STUCK.replace("    motor:\n", NEW_CAUSE).replace(
        '"no": Silent}', '"no": Silent, hums: It hums}'
    )
    text = text.replace("  volts:", "  volts-now:")
    (own / "step-stuck.yaml").write_text(text, encoding="utf-8")
    both = ("--trees", str(place / "trees"), "--trees", str(own))
    assert "  2  Its motor has failed\n" in said("cases", "confirm", code, *both)[1]
    told = sentences(said("cases", "confirm", code, "2", *both))
    assert told.endswith("No place in the tree as it is now, so left out: volts: good.")
    kept = case_of(workshop)
    assert (kept.cause, [line.subject for line in kept.entries]) == ("motor", ["squeak", "grit"])


def test_a_number_with_the_number_of_a_case_wants_the_same_tree(place, said):
    changed(place, "    motor:\n", NEW_CAUSE)
    exit_code, _, err = said("cases", "confirm", "1", "2")
    assert exit_code == 1
    assert 'the tree "step-stuck" has changed since case 1, so outcome 2 may be another now;' in err
    assert said("cases", "confirm", "1", "motor")[0] == 0
