from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys

import pytest

from diagnose.knowledge.collection import Library


def test_an_unknown_command_is_wrong_usage_and_names_the_way(run):
    ran = run("heater", "is", "cold")
    assert ran.code == 2
    assert ran.out == ""
    assert (
        'There is no command "heater". To say what is wrong, write: diagnose walk heater is cold' in ran.err
    )


def symptoms_in(text):
    """The ids that a text names."""
    return [id for id in Library().ids() if re.search(rf"(?<![a-z-]){id}(?![a-z-])", text)]


def test_an_unknown_id_names_the_three_nearest_and_where_to_look(run):
    ran = run("walk", "heater-no-fir")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.startswith('there is no symptom "heater-no-fir"; the nearest are heater-no-fire, ')
    assert ran.err.endswith("(diagnose symptoms lists all)\n")
    assert len(symptoms_in(ran.err)) == 3


def test_words_that_fit_nothing_name_the_three_nearest(run):
    ran = run("walk", "qqq zzz")
    assert (ran.code, ran.out) == (1, "")
    assert len(symptoms_in(ran.err)) == 3
    assert "diagnose symptoms" in ran.err


def test_with_json_an_error_is_a_document_on_standard_output(run):
    ran = run("walk", "heater-no-fir", "--json")
    assert (ran.code, ran.err) == (1, "")
    (error,) = json.loads(ran.out)["errors"]
    assert set(error) == {"file", "line", "column", "message"}
    assert error["message"].startswith('there is no symptom "heater-no-fir"')


def test_wrong_usage_with_json_is_a_document_as_well(run):
    ran = run("walk", "--json", "--bogus")
    assert (ran.code, ran.err) == (2, "")
    assert "--bogus" in json.loads(ran.out)["errors"][0]["message"]


@pytest.mark.parametrize(
    ("arguments", "code", "text"),
    [
        (["walk", "--resume", "99"], 1, "there is no case 99; `diagnose cases list` shows those there are\n"),
        (["walk", "--resume"], 1, "there is no case to go on with; to begin one: diagnose walk\n"),
        (["walk", "--resume", "soon"], 2, '--resume takes the number of a case, not "soon"\n'),
        (
            ["walk", "--resume", "1", "--answers", "x.yaml"],
            2,
            "--resume and --answers do not go together: a case knows its own answers\n",
        ),
        (["walk", "x/none.yaml"], 1, "x/none.yaml:1:1: there is no such file\n"),
        (["symptoms", "--trees", "nowhere"], 2, 'there is no folder "nowhere"\n'),
    ],
)
def test_what_cannot_be_done_is_said_in_one_clear_text(run, arguments, code, text):
    ran = run(*arguments)
    assert (ran.code, ran.out, ran.err) == (code, "", text)


def test_json_without_a_symptom_is_wrong_usage(run):
    ran = run("walk", "--json")
    assert (ran.code, ran.err) == (2, "")
    message = json.loads(ran.out)["errors"][0]["message"]
    assert message == "--json wants a symptom's id or path, such as: diagnose walk engine-no-crank --json"


def test_flaws_of_an_answers_file_are_told_with_their_places(run, tmp_path):
    (tmp_path / "a.yaml").write_text("hob: 1\nsmell-of-gas: maybe\n")
    ran = run("walk", "heater-no-fire", "--answers", "a.yaml", "--json")
    assert ran.code == 1
    errors = json.loads(ran.out)["errors"]
    assert [(error["file"], error["line"], error["column"]) for error in errors] == [
        ("a.yaml", 1, 1),
        ("a.yaml", 2, 15),
    ]


@pytest.mark.parametrize(
    "content", [b"no database at all, just a text" * 40, b"SQLite format 3\x00" + b"\xff" * 500]
)
def test_a_foreign_or_damaged_store_is_refused_in_one_text_and_left_as_it_is(run, tmp_path, content):
    store = tmp_path / "cases.sqlite"
    store.write_bytes(content)
    ran = run("walk", "heater-no-fire")
    assert ran.code == 1
    assert "Traceback" not in ran.err
    assert str(store) in ran.err
    assert ran.err.count("\n") == 1
    assert store.read_bytes() == content


def broken(code: str, *arguments: str, **more: str) -> subprocess.CompletedProcess[str]:
    program = f"import diagnose.cli\n{code}\ndiagnose.cli.main({list(arguments)!r})\n"
    return subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, env=os.environ | more, check=False
    )


BREAK = (
    "import diagnose.cli.symptoms\n"
    "def bad(*_, **__): raise TypeError('a slip of ours')\n"
    "diagnose.cli.symptoms.command.callback = bad"
)


def test_a_slip_of_the_program_shows_no_traceback():
    ran = broken(BREAK, "symptoms")
    assert ran.returncode == 1
    assert ran.stderr == (
        "Something went wrong inside the program (TypeError: a slip of ours). What you answered so far "
        "is kept. The same command with --debug shows where.\n"
    )


@pytest.mark.parametrize("arguments", [["--debug", "symptoms"], ["symptoms", "--debug"]])
def test_debug_shows_one_wherever_it_stands(arguments):
    ran = broken(BREAK, *arguments)
    assert ran.returncode == 1
    assert "Traceback (most recent call last)" in ran.stderr


def test_debug_behind_two_dashes_is_somebodys_own_word(run):
    ran = run("walk", "--", "--debug")
    assert ran.code == 1
    assert "Traceback" not in ran.err
    assert '"--debug"' in ran.err


def test_ctrl_c_ends_with_130():
    code = BREAK.replace("TypeError('a slip of ours')", "KeyboardInterrupt")
    ran = broken(code, "symptoms")
    assert ran.returncode == 130
    assert "Traceback" not in ran.stderr


def test_a_reader_that_goes_away_is_no_error(tmp_path):
    """`diagnose symptoms | head -1`, with a reader that closes before anything is written."""
    child = subprocess.Popen(
        [sys.executable, "-m", "diagnose", "symptoms"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert child.stdout is not None
    assert child.stderr is not None
    child.stdout.close()
    assert child.stderr.read() == b""
    child.stderr.close()
    assert child.wait() in (0, -signal.SIGPIPE)
