"""`diagnose cases import` as it is used: tried out, refused, mended, brought in."""

from __future__ import annotations

import json

import pytest

from tests.cases.import_histories import GOOD, HEADER, TREE, row, write


@pytest.fixture
def place(tmp_path):
    """The folder in which the program runs, with a tree of its own."""
    folder = tmp_path / "trees"
    folder.mkdir()
    lamp = TREE.format(says="The lamp stays dark", also="lamp dead, no light", own="volts-at-lamp")
    (folder / "lamp-dark.yaml").write_text(lamp, encoding="utf-8")
    return tmp_path


@pytest.fixture
def bring_in(run, place):
    """`bring_in("fleet.csv", ...)` runs the command."""
    return lambda *words, **more: run("cases", "import", *words, "--trees", "trees", **more)


def listed(run):
    return json.loads(run("cases", "list", "--json").out)["cases"]


def test_good_rows_come_in_and_the_page_says_what_they_are(bring_in, run, place):
    write(place / "fleet.csv", [GOOD, row(case="18", cause="")])
    done = bring_in("fleet.csv")
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith(
        'fleet.csv: 2 rows of source "fleet.csv".\n\n2 cases came in: 1 with a cause, 1 without.\n'
    )
    assert "Nobody is asked about them." in " ".join(done.out.split())
    assert [(case["cause"], case["confirmed"]) for case in listed(run)] == [
        (None, False),
        ("bulb-gone", True),
    ]
    again = bring_in("fleet.csv")
    assert "No case came in.\n2 cases were here already and counted once.\n" in again.out


def test_the_ranking_follows_what_came_in(bring_in, run, place):
    write(place / "fleet.csv", [row(case=str(n)) for n in range(200)])
    (place / "a.yaml").write_text("switch-click: not-sure\n", encoding="utf-8")

    def first():
        told = run("walk", "lamp-dark", "--answers", "a.yaml", "--json", "--trees", "trees")
        return json.loads(told.out)["ranking"][0]

    assert first()["cause"] == "switched-off"
    bring_in("fleet.csv")
    assert first()["cause"] == "bulb-gone"
    assert first()["share"] > 0.8


def test_one_bad_row_keeps_all_out_unless_the_good_ones_are_asked_for(bring_in, run, place):
    write(place / "fleet.csv", [GOOD, row(case="18", date="x"), row(case="19", cause="bulb has gone off")])
    done = bring_in("fleet.csv")
    assert done.code == 1
    assert done.out == ""
    assert "Nothing came in: 2 rows cannot be taken as they are." in done.err
    assert '  fleet.csv:3:2: "x" is no date; write it as 2026-04-03\n' in done.err
    assert '      "bulb has gone off": bulb-gone  # 1 row' in done.err
    assert "diagnose cases import fleet.csv --take-good --trees trees" in done.err
    assert listed(run) == []
    taken = bring_in("fleet.csv", "--take-good")
    assert taken.code == 0
    assert "1 case came in: 1 with a cause, 0 without." in taken.out
    assert len(listed(run)) == 1


def test_trying_out_keeps_nothing_and_says_how_the_import_would_end(bring_in, run, place):
    write(place / "fleet.csv", [GOOD, row(case="18", date="x")])
    done = bring_in("fleet.csv", "--dry-run")
    assert done.code == 1
    assert "1 case would come in: 1 with a cause, 0 without." in done.out
    assert not (place / "cases.sqlite").exists()
    assert bring_in("fleet.csv", "--dry-run", "--take-good").code == 0
    write(place / "good.csv", [GOOD])
    assert bring_in("good.csv", "--dry-run").code == 0
    bring_in("good.csv")
    assert "No case would come in." in bring_in("good.csv", "--dry-run").out


@pytest.mark.parametrize("kind", [".csv", ".xlsx", ".jsonl"])
def test_refused_rows_are_written_mended_and_read_again(bring_in, run, place, kind):
    write(place / f"fleet{kind}", [GOOD, row(case="18", date="x", vehicle="=no"), row(case="19")])
    done = bring_in(f"fleet{kind}", "--take-good", "--refused", f"mend{kind}")
    assert done.code == 0, done.err
    assert f"diagnose cases import mend{kind} --source fleet{kind} --trees trees" in done.out
    again = bring_in(f"mend{kind}", "--source", f"fleet{kind}", "--dry-run")
    assert "1 row refused." in again.out
    assert '"x" is no date' in again.out
    mended = write(place / f"mend{kind}", [[*row(case="18"), "why"]], [*HEADER, "reason"])
    assert bring_in(mended.name, "--source", f"fleet{kind}").code == 0
    assert len(listed(run)) == 3
    assert "3 cases were here" not in bring_in(f"fleet{kind}", "--take-good").out
    assert len(listed(run)) == 3


def test_a_file_of_refused_rows_is_never_written_over_another(bring_in, place):
    write(place / "fleet.csv", [row(date="x")])
    done = bring_in("fleet.csv", "--refused", "fleet.csv")
    assert (done.code, done.err) == (
        2,
        "fleet.csv is there already and is left as it is; write another name\n",
    )
    done = bring_in("fleet.csv", "--refused", "mend.xlsx")
    assert "refused rows are kept in the form in which they came: name a file .csv" in done.err
    assert bring_in("fleet.csv", "--refused", "none/mend.csv").code == 2
    write(place / "good.csv", [GOOD])
    assert bring_in("good.csv", "--refused", "mend.csv").code == 0
    assert not (place / "mend.csv").exists()
    assert not list(place.glob(".*.part"))


def test_without_a_terminal_it_says_which_mapping_to_write(bring_in, run, place):
    write(
        place / "fleet.csv",
        [["1", "2025-01-01", "Table light", "New bulb"]],
        ["Job no", "Day", "Complaint", "Found"],
    )
    done = bring_in("fleet.csv")
    assert done.code == 1
    assert done.err == (
        "fleet.csv:1:1: no column is the case's number (case)\n"
        "fleet.csv:1:1: no column is the date (date)\n"
        "fleet.csv:1:1: no column is the symptom (symptom)\n"
        "Say what each column is in fleet.mapping.yaml, or bring the file in at a terminal, which asks. "
        "Change what is not right:\n"
        "  columns:\n"
        '    "Job no": case\n'
        '    "Day": date\n'
        '    "Complaint": symptom\n'
        '    "Found": cause\n'
    )
    hint = done.err.partition("right:\n")[2]
    more = "symptoms: {Table light: lamp-dark}\ncauses: {lamp-dark: {New bulb: bulb-gone}}\n"
    (place / "fleet.mapping.yaml").write_text(hint.replace("\n  ", "\n")[2:] + more, encoding="utf-8")
    assert bring_in("fleet.csv").code == 0
    assert listed(run)[0]["cause"] == "bulb-gone"


def test_the_hint_for_words_is_refused_until_somebody_has_chosen(bring_in, place):
    write(place / "fleet.csv", [row(symptom="oil was changed")])
    done = bring_in("fleet.csv")
    hint = done.err.partition("right:\n")[2]
    assert '    "oil was changed": choose  # 1 row: ' in hint
    (place / "fleet.mapping.yaml").write_text(hint.replace("\n  ", "\n")[2:], encoding="utf-8")
    assert 'fleet.mapping.yaml:2:22: there is no symptom "choose"' in bring_in("fleet.csv").err


def test_a_guided_import_asks_shows_the_whole_and_is_not_asked_again(bring_in, run, place):
    header = ["Job no", "Day", "Complaint", "Found", "Van"]
    rows = [
        ["1", "03/04/2025", "Table light", "New bulb", "AB12 CDE"],
        ["2", "04/04/2025", "Oil", "", "van 2"],
    ]
    write(place / "fleet.csv", rows, header)
    typed = "1\n1\n1\n1\n1\n" + "1\n" + "lamp\n" + "6\n" + "1\n" + "van 1\n" + "yes\n"
    done = bring_in("fleet.csv", "--guided", typed=typed)
    assert done.code == 0, done.err
    text = " ".join(done.out.split())
    assert 'What is the column "Job no"? It holds such as "1".' in text
    assert 'In which order are dates such as "03/04/2025" written?' in text
    assert "This is how it would be read:" in text
    assert "1 case came in: 1 with a cause, 0 without." in text
    kept = (place / "fleet.mapping.yaml").read_text(encoding="utf-8")
    assert "dates: day-month-year\n" in kept
    assert '  "Table light": lamp-dark\n' in kept
    assert listed(run)[0]["vehicle"] == "van 1"
    write(place / "fleet.csv", [*rows, ["3", "05/04/2025", "table light", "new bulb", "van 3"]], header)
    later = bring_in("fleet.csv")
    assert "1 case came in: 1 with a cause, 0 without." in later.out
    assert "1 case was here already" in later.out


def test_numbers_that_can_be_read_in_two_ways_are_asked_for_once(bring_in, run, place):
    write(place / "fleet.csv", [row(volts_at_lamp="1,234"), row(case="18", volts_at_lamp="2,345")])
    assert "    decimal: comma  # or point\n" in bring_in("fleet.csv").err.replace("\n  ", "\n    ")
    done = bring_in("fleet.csv", "--guided", typed="1\nyes\n")
    assert 'How are numbers such as "1,234" to be read?' in done.out
    assert "2 cases came in" in done.out
    assert "decimal: comma" in (place / "fleet.mapping.yaml").read_text(encoding="utf-8")
    shown = json.loads(run("cases", "show", "1", "--json").out)["cases"][0]["findings"]
    assert {key: shown[-1][key] for key in ("check", "reading")} == {
        "check": "volts-at-lamp",
        "reading": 1.234,
    }


@pytest.mark.parametrize("typed", ["", "1\n1\n1\n1\n1\n1\n1\n6\n1\nvan 1\nno\n"])
def test_a_no_at_the_end_and_the_end_of_the_input_keep_nothing(bring_in, run, place, typed):
    rows = [
        ["1", "03/04/2025", "Table light", "New bulb", "AB12 CDE"],
        ["2", "04/04/2025", "Oil", "", "van 2"],
    ]
    write(place / "fleet.csv", rows, ["Job no", "Day", "Complaint", "Found", "Van"])
    done = bring_in("fleet.csv", "--guided", typed=typed)
    assert done.code == 0
    assert done.out.endswith("Nothing was kept.\n")
    assert not list(place.glob("*.mapping.yaml"))
    assert listed(run) == []


def test_a_danger_told_instead_of_an_answer_stops_at_once(bring_in, place):
    write(place / "fleet.csv", [["1"]], ["Job no"])
    done = bring_in("fleet.csv", "--guided", typed="danger\n")
    assert "112" in done.out
    assert not list(place.glob("*.mapping.yaml"))


def test_the_mapping_is_kept_where_it_is_wanted_and_named_then(bring_in, place):
    header = ["Job no", "date", "symptom"]
    write(place / "fleet.csv", [["1", "2025-01-01", "lamp-dark"]], header)
    done = bring_in("fleet.csv", "--guided", "-o", "mine.yaml", typed="1\nyes\n")
    assert done.code == 0, done.err
    assert (place / "mine.yaml").exists()
    assert not list(place.glob("*.mapping.yaml"))
    again = bring_in("fleet.csv", "--mapping", "mine.yaml")
    assert "read by mine.yaml" in again.out
    assert "1 case was here already" in again.out


def test_json_is_one_document_for_what_came_in_and_for_what_did_not(bring_in, place):
    write(place / "fleet.csv", [GOOD, row(case="18", date="x")])
    done = bring_in("fleet.csv", "--json")
    assert done.code == 1
    assert json.loads(done.out) == {
        "errors": [
            {"file": "fleet.csv", "line": 3, "column": 2, "message": '"x" is no date; write it as 2026-04-03'}
        ]
    }
    done = bring_in("fleet.csv", "--json", "--take-good", "--dry-run")
    told = json.loads(done.out)
    assert done.code == 0
    assert told["import"] == {
        "source": "fleet.csv", "dry_run": True, "rows": 2, "added": 1, "confirmed": 1, "already": 0,
        "differing": 0, "differ": [], "left_out": 0, "repeated": 0, "doubtful": 0,
        "refused": 1, "refused_file": None,
        "not_read": [],
    }  # fmt: skip
    assert told["errors"][0]["doubtful"] is False


def test_other_content_is_told_with_the_command_that_confirms_it(bring_in, place):
    write(place / "fleet.csv", [row(cause="")])
    bring_in("fleet.csv")
    write(place / "fleet.csv", [row()])
    done = " ".join(bring_in("fleet.csv").out.split())
    assert "1 case stood here with other content under the same number. What is kept was not changed:" in done
    assert (
        "- 17 (case 1 here): another cause; its cause is known now: diagnose cases confirm 1 bulb-gone"
        in done
    )


def test_an_untrusted_file_steers_no_terminal(bring_in, place):
    write(
        place / "fleet.csv",
        [row(symptom="\x1b[2Jlamp\u202e"), row(case="\x1b]0;x\x07")],
        [*HEADER[:-1], "x\x9b31m"][:8],
    )
    done = bring_in("fleet.csv")
    assert done.code == 1
    (place / "fleet.csv").unlink()
    write(place / "fleet.csv", [row(symptom="\x1b[2Jlamp\u202e"), row(case="\x1b]0;x\x07")])
    more = bring_in("fleet.csv")
    for text in (done.err, more.err):
        assert not any(
            (ord(letter) < 32 and letter != "\n") or letter in "\x7f\x9b\u202e" for letter in text
        ), text


@pytest.mark.parametrize("columns", ["40", "80"])
def test_no_line_of_the_page_is_wider_than_the_screen_but_what_is_there_to_be_copied(
    bring_in, place, columns
):
    rows = [
        row(symptom="lamp stays darkk", vehicle="AB12 CDE"),
        row(case="18", cause="bulb has gone off"),
        row(),
    ]
    write(place / "fleet.csv", rows, [*HEADER[:-1], "Remarks of the workshop"])
    out = bring_in("fleet.csv", "--take-good", COLUMNS=columns).out
    before, _, copied = out.partition("right:\n")
    assert copied
    assert max(len(line) for line in before.splitlines()) <= int(columns)


def test_a_job_that_was_left_off_elsewhere_is_no_walk_to_go_on_with(bring_in, run, place):
    write(place / "fleet.csv", [row(state="left-off", cause="")])
    assert bring_in("fleet.csv").code == 0
    resumed = run("walk", "--resume")
    assert resumed.code == 1
    assert "there is no case to go on with" in resumed.err
    assert "--resume" not in run("cases", "show", "1", "--trees", "trees").out
