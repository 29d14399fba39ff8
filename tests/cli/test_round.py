"""`diagnose round`: gone through, left, taken up, printed, brought back, kept; and what is refused."""

from __future__ import annotations

import json

import pytest

from diagnose.cases.rounds_store import rounds_kept
from diagnose.cases.store import open_store

CARD = """
label: Van 7
facts: {build: motorhome, fridge-sources: three-way, use: private, over-3500: under}
dates: {gas-hose: 2015-03-01}
"""


@pytest.fixture
def kept(tmp_path):
    """`kept()` are the rounds in the store, the one begun first in front."""

    def rounds():
        with open_store(str(tmp_path / "cases.sqlite")) as store:
            return rounds_kept(store)[::-1]

    return rounds


def ends(record):
    return {line.subject: line.answer for line in record.lines if line.noted == "mark"}


def test_a_round_left_at_the_end_of_the_input_is_kept_and_taken_up_with_the_command_that_it_names(run, kept):
    ran = run("round", "journey", "--vehicle", "van 7", "--by", "A.", typed="fine\nwrong: it squeaks\n2\n")
    assert (ran.code, ran.err) == (0, "")
    assert "  diagnose round --resume 1 --by A.\n" in ran.out
    (record,) = kept()
    assert (record.vehicle, record.who, record.stage, len(record.lines)) == ("van 7", "A.", "left-off", 2)
    assert (record.lines[1].answer, record.lines[1].note) == ("wrong", "it squeaks")
    again = run("round", "--resume", "1", typed="fine\nleave off\n")
    assert "Task 3 of" in again.out
    assert len(ends(kept()[0])) == 3


def test_wrong_opens_its_walk_with_what_is_known_and_comes_back(run, kept, tmp_path):
    (tmp_path / "van.yaml").write_text(CARD, encoding="utf-8")
    typed = "\n".join(["wrong", "1", "leave off", "leave off"])
    ran = run("round", "journey", "--vehicle", "./van.yaml", typed=typed + "\n")
    assert ran.code == 0
    assert "Find out why now? The round waits for you." in ran.out
    assert ran.out.index("LEFT OFF") < ran.out.index("Back to the round.") < ran.out.index("Task 2 of")
    (record,) = kept()
    assert [(line.answer, line.case) for line in record.lines] == [("wrong", None), ("wrong", 1)]
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        assert (store.case(1).vehicle, store.case(1).state) == ("Van 7", "left-off")


@pytest.mark.long
def test_danger_in_a_walk_stops_the_round_too(run, kept):
    ran = run("round", "journey", typed="wrong\n1\ndanger\n3\n")
    assert ran.code == 0
    assert "STOP - DANGER" in ran.out
    assert "The round stops here too." in ran.out
    (record,) = kept()
    assert record.stage == "stopped"


@pytest.mark.parametrize(
    "word",
    [
        "danger",
        pytest.param("I can smell gas", marks=pytest.mark.long),
        pytest.param("wrong: smoke comes out", marks=pytest.mark.long),
    ],
)
def test_danger_stops_at_a_task_and_nothing_goes_on_before_somebody_qualified_has_cleared_it(run, kept, word):
    ran = run("round", "journey", typed=f"{word}\n")
    assert (ran.code, "STOP - DANGER" in ran.out) == (0, True)
    assert "112" in ran.out
    assert kept()[0].stage == "stopped"
    assert ends(kept()[0]) == {}
    refused = run("round", "--resume", "1", typed="no\n")
    assert "STOP - DANGER" in refused.out
    assert "Task 1" not in refused.out
    # A walk of the same vehicle asks as well, and so does a new round.
    assert "Has somebody qualified" in run("walk", "hob-goes-out", typed="leave off\n").out
    assert "Has somebody qualified" in run("round", "lay-up", typed="no\n").out
    cleared = run("round", "--resume", "1", typed="yes\nleave off\n")
    assert "Task 1 of" in cleared.out


def test_a_date_that_is_over_is_wrong_by_itself(run, kept, tmp_path):
    (tmp_path / "van.yaml").write_text(CARD, encoding="utf-8")
    (tmp_path / "found.yaml").write_text("w14-gas: fine\n", encoding="utf-8")
    ran = run("round", "wake-up", "--vehicle", "./van.yaml", "--marks", "found.yaml")
    assert ran.code == 0
    assert ends(kept()[0]) == {"w14-gas": "wrong"}
    assert kept()[0].lines[0].note.startswith("Gas hose: overdue since 1 March 2020")


def test_a_paper_of_the_drivers_is_wrong_by_itself_and_the_round_does_not_keep_which(run, kept, tmp_path):
    (tmp_path / "van.yaml").write_text("label: van\ndates: {medical: 2020-03}\n", encoding="utf-8")
    (tmp_path / "found.yaml").write_text("j5-papers: fine\n", encoding="utf-8")
    ran = run("round", "journey", "--vehicle", "./van.yaml", "--marks", "found.yaml")
    assert ran.code == 0
    assert ends(kept()[0]) == {"j5-papers": "wrong"}
    assert (
        kept()[0].lines[0].note
        == "A paper of the driver's is past its date; the card says which. Nothing else was wrong."
    )
    assert "medical" not in run("round", "--kept", "1").out


def test_a_vehicle_that_a_walk_has_stopped_is_not_ready_before_it_is_cleared(run, kept):
    run("walk", "hob-goes-out", typed="danger\n")
    ran = run("round", "journey", "--json")
    found = json.loads(ran.out)
    assert found["verdict"] == "not-ready"
    assert any("nobody qualified has cleared" in json.dumps(reason) for reason in found["reasons"]), found


@pytest.mark.parametrize("text", ["", "[]\n", "{}\n"])
def test_a_file_without_a_mark_begins_no_round(run, kept, tmp_path, text):
    (tmp_path / "found.yaml").write_text(text, encoding="utf-8")
    ran = run("round", "journey", "--marks", "found.yaml")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.startswith("found.yaml:")
    assert kept() == ()


@pytest.mark.long
def test_at_the_prompt_a_date_that_is_over_says_what_stays_unused(run, kept, tmp_path):
    (tmp_path / "van.yaml").write_text("dates: {tyres: 2010-03-01}\n", encoding="utf-8")
    ran = run("round", "journey", "--vehicle", "./van.yaml", typed="fine\nnothing else\nleave off\n")
    assert "So it is wrong by its date. Look at the rest all the same." in ran.out
    assert "Until it is put right, do not use:\n  The vehicle on the road.\n" in ran.out
    assert ends(kept()[0])["w4-tyres"] == "wrong"


def test_all_flaws_of_a_marks_file_are_told_at_once_and_nothing_is_kept(run, kept, tmp_path):
    (tmp_path / "van.yaml").write_text("facts: {build: caravan}\n", encoding="utf-8")
    (tmp_path / "found.yaml").write_text(
        "w4-tyres: fine\nw4-tires: fine\nw9-engine: fine\nw5-brakes: good\nw6-belts: {ende: fine}\n"
        f"w3-uncover: {{end: wrong, note: {'x' * 301}}}\nw1-mice: [fine]\nw2-battery: not done\n",
        encoding="utf-8",
    )
    ran = run("round", "wake-up", "--vehicle", "./van.yaml", "--marks", "found.yaml")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.splitlines() == [
        'found.yaml:2:1: "w4-tires" is no task of the wake-up round (did you mean "w4-tyres"?)',
        'found.yaml:3:1: "w9-engine" is not for this vehicle by its card; it ends as not-fitted',
        'found.yaml:4:12: a task ends as fine, wrong, not-done, not-fitted, not "good"',
        "found.yaml:5:11: a mark has an end: fine, wrong, not-done, not-fitted",
        'found.yaml:5:12: "ende" does not stand in a mark, which has end and note (did you mean "end"?)',
        "found.yaml:6:32: a note is a text of 300 characters at most",
        "found.yaml:7:10: a task ends as fine, wrong, not-done, not-fitted, not a list",
    ]
    assert kept() == ()


def test_a_note_that_speaks_of_danger_is_no_mark(run, kept, tmp_path):
    (tmp_path / "found.yaml").write_text("j2-gas: {end: wrong, note: it smells of gas}\n", encoding="utf-8")
    ran = run("round", "journey", "--marks", "found.yaml")
    assert (ran.code, ran.out) == (1, "")
    assert "all out, and call 112" in ran.err
    assert kept() == ()


@pytest.mark.long
def test_marks_from_paper_go_into_a_round_that_was_begun(run, kept, tmp_path):
    run("round", "journey", typed="fine\n")
    (tmp_path / "found.yaml").write_text("j2-gas: fine\nj3-shut: not fitted\n", encoding="utf-8")
    assert run("round", "--resume", "1", "--marks", "found.yaml").code == 0
    assert len(kept()) == 1
    assert {"j2-gas": "fine", "j3-shut": "not-fitted"}.items() <= ends(kept()[0]).items()


def test_the_document_begins_nothing_and_says_what_there_is(run, kept):
    ran = run("round", "wake-up", "--json")
    document = json.loads(ran.out)
    assert kept() == ()
    assert [task["task"] for task in document["tasks"]][:2] == ["w1-mice", "p19-alarms"]
    assert sorted(document["order"]) == sorted(task["task"] for task in document["tasks"])
    assert document["least_minutes"] <= document["minutes"]
    assert document["verdict"] == "not-ready"
    assert document["certificate"] == "This does not certify that the vehicle is safe."


@pytest.mark.long
def test_a_kept_round_is_shown_with_every_end_and_as_a_document(run):
    run("round", "journey", "--vehicle", "van 7", typed="fine\nnot done\nnot fitted\nleave off\n")
    assert "1  Before a journey, van 7, " in run("round", "--kept").out
    page = run("round", "--kept", "1").out
    assert all(f"  {end} " in page for end in ("FINE", "NOT FITTED", "NOT DONE"))
    document = json.loads(run("round", "--kept", "1", "--json").out)
    assert (document["number"], document["stage"], document["marked"]) == (1, "left-off", 3)
    assert len(json.loads(run("round", "--kept", "--json").out)["rounds"]) == 1


def test_a_round_that_is_gone_through_says_what_it_came_to(run, kept, tmp_path):
    text = CARD.replace(
        "2015-03-01", "2026-03-01, gas-check: 2026-06-01, mains-check: 2026-06-01, tyres: 2024-06-01"
    )
    (tmp_path / "van.yaml").write_text(text, encoding="utf-8")
    ran = run("round", "journey", "--vehicle", "./van.yaml", typed="fine\n" * 8)
    assert kept()[0].stage == "ended"
    assert "READY for the journey" in ran.out
    assert "safe." in ran.out.splitlines()[-1]
    assert "To go on" not in ran.out


@pytest.mark.long
def test_a_short_round_holds_all_that_is_there_for_safety(run):
    document = json.loads(run("round", "lay-up", "--short", "30", "--json").out)
    chosen = set(document["order"])
    assert {task["task"] for task in document["tasks"] if task["safety"]} <= chosen
    assert document["short"]["left_out"]
    assert not chosen & set(document["short"]["left_out"])


@pytest.mark.parametrize("ending", [pytest.param("pdf", marks=pytest.mark.long), "html", "txt"])
def test_the_list_on_paper(run, kept, tmp_path, ending):
    assert run("round", "journey", "--vehicle", "<b>van \u202e7", "--list", "-o", f"list.{ending}").code == 0
    made = (tmp_path / f"list.{ending}").read_bytes()
    assert kept() == ()
    if ending == "pdf":
        assert made.startswith(b"%PDF")
    else:
        text = made.decode()
        assert "j2-gas" in text
        assert "\u202e" not in text
        assert ("&lt;b&gt;van" in text) == (ending == "html")


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        ((), 2, "which round? Write: diagnose round wake-up (or journey, hand-over, lay-up)"),
        (("wake-upp",), 2, 'did you mean "wake-up"?'),
        (("--resume", "7"), 1, "there is no round 7; `diagnose round --kept` shows those there are"),
        (("--resume",), 1, "there is no round to go on with; to begin one: diagnose round wake-up"),
        (("--resume", "x"), 2, '--resume takes the number of a round, not "x"'),
        (("journey", "-o", "x.pdf"), 2, "-o and --format are for --list"),
        (("journey", "--by", "x" * 41), 2, "--by takes a label of 40 characters at most"),
        (("journey", "--list", "-o", "no/such/list.txt"), 1, "cannot write no/such/list.txt"),
        (("journey", "--list", "-o", "van.yaml"), 2, 'the ending of "van.yaml" names no format'),
        (("wake-up", "--short", "nan"), 2, '--short takes a number, not "nan"'),
        (("journey", "--marks", "none.yaml"), 1, "none.yaml"),
    ],
)
def test_what_cannot_be_done_is_told_in_a_line(run, kept, words, code, told):
    ran = run("round", *words)
    assert (ran.code, ran.out) == (code, "")
    assert told in ran.err
    assert "Traceback" not in ran.err
    assert kept() == ()


def test_a_printed_list_never_takes_the_place_of_the_card(run, tmp_path):
    (tmp_path / "van.yaml").write_text(CARD, encoding="utf-8")
    ran = run("round", "journey", "--vehicle", "./van.yaml", "--list", "--format", "txt", "-o", "van.yaml")
    assert (ran.code, ran.out, ran.err) == (2, "", "van.yaml is the card itself; write to another file\n")
    assert (tmp_path / "van.yaml").read_text(encoding="utf-8") == CARD


@pytest.mark.long
def test_a_round_of_another_name_or_vehicle_is_not_taken_up(run):
    run("round", "journey", "--vehicle", "van 7", typed="fine\n")
    assert run("round", "lay-up", "--resume", "1").err == "round 1 is a journey, not a lay-up\n"
    assert (
        run("round", "--resume", "1", "--vehicle", "van 8").err == 'round 1 is of "van 7", not of "van 8"\n'
    )


@pytest.mark.long
def test_a_round_that_is_not_at_its_end_is_offered_before_another_is_begun(run, kept):
    run("round", "journey", typed="fine\n")
    ran = run("round", "journey", typed="1\nleave off\n")
    assert "is not at its end." in ran.out
    assert len(kept()) == 1
    run("round", "journey", typed="2\nleave off\n")
    assert len(kept()) == 2


@pytest.mark.long
@pytest.mark.parametrize("columns", ["80", "40", "20"])
def test_no_line_is_wider_than_the_screen(run, columns):
    ran = run("round", "wake-up", typed="help\nwrong\n1\nleave off\nfine\nleave off\n", COLUMNS=columns)
    written = [line for line in ran.out.splitlines() if not line.startswith(">")]
    assert max(map(len, written)) <= int(columns)


def test_a_vehicle_that_a_walk_stopped_is_not_ready_until_that_is_cleared_on_a_round(run):
    run("walk", "hob-goes-out", "--vehicle", "van 7", typed="danger\n1\n")
    document = json.loads(run("round", "journey", "--vehicle", "van 7", "--json").out)
    assert document["verdict"] == "not-ready"
    assert "Danger was told" in document["reasons"][0]
    printed = run("round", "journey", "--vehicle", "van 7", "--list", "--format", "txt").out
    assert "Danger stopped this vehicle, and nobody qualified has cleared it since" in printed
    stopped = run("round", "journey", "--vehicle", "van 7", typed="no\n")
    assert "Task 1" not in stopped.out
    assert json.loads(run("round", "--kept", "1", "--json").out)["verdict"] == "not-ready"
    run("round", "--resume", "1", typed="yes\nleave off\n")
    # Whoever cleared it on the round is not asked again, neither there nor by a walk.
    assert "Has somebody qualified" not in run("round", "--resume", "1", typed="leave off\n").out
    assert (
        "Has somebody qualified"
        not in run("walk", "hob-goes-out", "--vehicle", "van 7", typed="leave off\n").out
    )
    reasons = json.loads(run("round", "--kept", "1", "--json").out)["reasons"]
    assert not any("Danger was told" in reason for reason in reasons)


def test_tyres_are_never_called_not_fitted(run, kept):
    ran = run("round", "journey", typed="fine\nnot fitted\nleave off\n")
    assert "Every vehicle has that, so nobody has looked at it: it is kept as not done." in ran.out
    assert "Not done: Look at every tyre, inner walls too." in ran.out
