"""`diagnose practise` through a pipe: exercises, scripts, results, sheets, and what it refuses."""

from __future__ import annotations

import csv
import io
import json

import pytest

ID = "hook-up-trips"
BASE = ("practise", ID, "--seed", "60007")


@pytest.fixture
def exercise(run):
    """The document of an exercise with nothing chosen."""
    return json.loads(run(*BASE, "--json").out)


def best(document):
    """The choices of the best route, a line each, and the fault's name."""
    return "".join(f"{turn['id']}\n" for turn in document["best"]["turns"]) + f"name {document['cause']}\n"


def test_the_same_seed_gives_the_same_exercise_and_its_code_leads_to_it(run, exercise):
    again = json.loads(run(*BASE, "--json").out)
    by_code = json.loads(run("practise", "--exercise", exercise["exercise"], "--json").out)
    assert again == exercise == by_code
    assert exercise["ended"] == "left-off"
    assert (
        json.loads(run("practise", ID, "--seed", "60008", "--json").out)["exercise"] != exercise["exercise"]
    )


def test_whoever_follows_the_best_route_loses_nothing(run, exercise, tmp_path):
    (tmp_path / "best.txt").write_text("# the route\n\n" + best(exercise), encoding="utf-8")
    done = run(*BASE, "--choices", "best.txt", "--json", "--learner", "robin")
    told = json.loads(done.out)
    assert done.code == 0
    assert told["minutes"] == told["best"]["minutes"]
    assert all(turn["regret"] <= 1e-9 for turn in told["turns"] if turn["regret"] is not None)
    assert (told["costliest"], told["marks"], told["learner"]) == (None, [], "robin")


def test_through_a_pipe_the_screens_are_plain_and_the_end_of_input_leaves_off(run):
    done = run(*BASE, typed="1\nlist\nso far\n99\nhelp\n")
    assert done.code == 0
    assert "\x1b" not in done.out
    assert "HOW IT WENT" in done.out
    assert "There is no 99." in done.out
    assert "This was practice." in done.out


def test_results_become_a_table_and_what_is_unreadable_is_told(run, exercise, tmp_path):
    told = json.loads(run(*BASE, "--json", typed=best(exercise)).out)
    lines = f"# handed in\nrobin {told['result']}\nrobin {told['result']}\nkim {exercise['exercise']}\n"
    (tmp_path / "handed-in.txt").write_text(lines, encoding="utf-8")
    done = run("practise", "--class", "handed-in.txt", f"=1+1 {told['result']}", "-o", "class.csv")
    assert done.code == 1
    assert "handed-in.txt:4: this is the code of an exercise, not of a result" in done.err
    rows = list(csv.DictReader(io.StringIO((tmp_path / "class.csv").read_text(encoding="utf-8"))))
    assert [row["learner"] for row in rows] == ["robin", "'=1+1"]
    assert {row["cause"] for row in rows} == {told["cause"]}
    assert all(row["minutes"] == row["best_minutes"] for row in rows)
    as_json = json.loads(run("practise", "--class", f"robin {told['result']}", "--json").out)
    assert (as_json["results"][0]["result"], as_json["errors"]) == (told["result"], [])


def test_what_was_missed_is_drawn_from_a_table_and_from_codes(run, exercise, tmp_path):
    missed = json.loads(run(*BASE, "--json", typed="mains-harmed\nelectrician\n").out)
    (tmp_path / "codes.txt").write_text(f"robin {missed['result']}\n", encoding="utf-8")
    run("practise", "--class", "codes.txt", "-o", "class.csv")
    drawn = [
        json.loads(run("practise", ID, "--by", "misses", "--earlier", name, "--seed", "11", "--json").out)
        for name in ("codes.txt", "class.csv")
    ]
    assert drawn[0] == drawn[1]
    assert drawn[0]["cause"] == missed["cause"] == exercise["cause"]


def test_a_named_fault_is_hidden_and_a_mistyped_one_is_told_the_nearest(run, exercise):
    named = json.loads(run(*BASE, "--fault", exercise["cause"], "--json").out)
    assert named["exercise"] == exercise["exercise"]
    wrong = run(*BASE, "--fault", exercise["cause"] + "x")
    assert wrong.code == 2
    assert f'(did you mean "{exercise["cause"]}"?)' in wrong.err


def test_a_script_says_which_line_cannot_be_chosen(run, tmp_path):
    (tmp_path / "wrong.txt").write_text("mains-harmed\nplug-sen\n", encoding="utf-8")
    done = run(*BASE, "--choices", "wrong.txt", "--json")
    assert done.code == 1
    assert json.loads(done.out)["errors"][0]["message"] == (
        'wrong.txt:2: "plug-sen" is no choice here (did you mean "plug-seen"?)'
    )
    twice = run(*BASE, "--json", typed="mains-harmed\nmains-harmed\n")
    assert "standard input:2" in twice.out
    assert "nothing is done twice" in twice.out


def test_the_trainer_sees_the_fault_and_answers(run, exercise):
    done = run(*BASE, "--trainer", typed="1\n\n2\n\nleave off\n")
    assert "FOR THE TRAINER ALONE" in done.out
    assert "Such a vehicle answers:" in done.out
    assert "Your result" not in done.out
    assert "FOR THE TRAINER" not in run(*BASE, typed="leave off\n").out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["practise"], "which symptom?"),
        (["practise", "hook-up-trip"], "hook-up-trips"),
        ([*BASE, "another"], "one ID is wanted"),
        ([*BASE, "--exercise", "0000"], "leave out --seed"),
        ([*BASE, "--by", "misses"], "go together"),
        ([*BASE, "--level", "easy"], "--level goes with --by difficulty"),
        ([*BASE, "--fault", "x", "--by", "share"], "leave out --by"),
        ([*BASE, "--learner", "x" * 41], "40 characters at most"),
        ([*BASE, "-o", "x.pdf"], "-o is for --sheet and --class"),
        ([*BASE, "--trainer", "--json"], "--trainer asks the trainer, so leave out --json"),
        ([*BASE, "--sheet", "--choices", "x"], "leave out --choices"),
        ([*BASE, "--sheet", "--trainer"], "--sheet is done on paper, so leave out --trainer"),
        ([*BASE, "--sheet", "--json"], "leave out --json"),
        ([*BASE, "--format", "html"], "--format is for --sheet"),
        (["practise", "--exercise", "0000", "--as", "technician"], "so leave out --as"),
        (["practise", "--class", "x", "--sheet", "--seed", "1"], "so leave out --seed and --sheet"),
        (["practise", "--class"], "--class wants results"),
        (["practise", "--exercise", "0000-0001"], "group"),
        (["practise", ID, "--seed", "100000"], "100000"),
    ],
)
def test_what_does_not_go_together_is_one_clear_line(run, words, says):
    done = run(*words)
    assert done.code in (1, 2)
    assert says in done.err + done.out
    assert "Traceback" not in done.err


def test_files_that_cannot_be_read_or_written_are_one_line(run, tmp_path):
    assert run(*BASE, "--choices", "nowhere.txt", "--json").code == 1
    done = run("practise", ID, "--by", "misses", "--earlier", "nowhere.csv")
    assert done.err == "cannot read nowhere.csv: No such file or directory\n"
    done = run(*BASE, "--sheet", "-o", "no/such/sheet.pdf")
    assert (done.code, done.err) == (1, "cannot write no/such/sheet.pdf: No such file or directory\n")
    done = run("practise", "--class", "nowhere.txt")
    assert (done.code, done.err) == (1, "result 1: there is no file nowhere.txt\n")
    (tmp_path / "huge.csv").write_text("learner,symptom,cause,found\n" + "x" * 200_000, encoding="utf-8")
    done = run("practise", ID, "--by", "misses", "--earlier", "huge.csv")
    assert (done.code, done.out) == (1, "")
    assert done.err.startswith("cannot read huge.csv: line 2 is none of a class table: ")
    (tmp_path / "bytes.csv").write_bytes(b"\xff\xfe\x00\xd8")
    done = run("practise", ID, "--by", "misses", "--earlier", "bytes.csv")
    assert done.err == "cannot read bytes.csv: it is no text in UTF-8\n"


def test_a_sheet_goes_where_its_form_asks(run, tmp_path):
    done = run(*BASE, "--sheet")
    assert (done.code, done.out) == (0, f"Written to {ID}-practice.pdf\n")
    assert (tmp_path / f"{ID}-practice.pdf").read_bytes().startswith(b"%PDF")
    assert run(*BASE, "--sheet", "-o", "sheet.html").out == ""
    assert (tmp_path / "sheet.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert "For the trainer alone" in run(*BASE, "--sheet", "--format", "txt").out
    done = run(*BASE, "--sheet", "-o", "sheet.docx")
    assert (done.code, (tmp_path / "sheet.docx").exists()) == (2, False)
    assert "end it in .pdf, .html, .htm, .txt, or say which with --format" in done.err


def test_a_tree_of_ones_own_can_be_practised_by_its_path(run, tmp_path):
    from diagnose.knowledge.collection import shipped_folder

    own = tmp_path / "my-hob.yaml"
    own.write_text((shipped_folder() / "hob-hisses-on.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    told = json.loads(run("practise", "./my-hob.yaml", "--seed", "60007", "--json").out)
    assert told["symptom"] == "my-hob"
    for words in ([], ["--sheet", "--format", "txt"], ["--sheet", "--format", "html"]):
        own_said, said = (
            run("practise", "./my-hob.yaml", *words).out,
            run("practise", "hob-hisses-on", *words).out,
        )
        unchecked = "nobody of this project has checked it"
        assert (unchecked in " ".join(own_said.split()), unchecked in " ".join(said.split())) == (True, False)
    again = run("practise", "./my-hob.yaml", "--exercise", told["exercise"], "--json")
    assert json.loads(again.out) == told
    unknown = run("practise", "--exercise", told["exercise"])
    assert unknown.code == 1
    assert "no tree here" in unknown.err
