from __future__ import annotations

import json

import pytest

from diagnose.cases.store import open_store

SAFE = "smell-of-gas: no\nco-alarm: quiet\nbattery-harmed: no\nflue-cover: bare\nflue-outside: clear\n"


def reckoned(run, tmp_path, text, *more):
    (tmp_path / "found.yaml").write_text(text, encoding="utf-8")
    ran = run("walk", "heater-no-fire", "--answers", "found.yaml", "--json", *more)
    assert (ran.code, ran.err) == (0, "")
    return json.loads(ran.out)


def test_the_document_has_the_keys_that_are_promised(run, tmp_path):
    document = reckoned(run, tmp_path, SAFE + "heater-fuel: gas\ncylinder-empty: not-cured\n")
    assert list(document) == ["symptom", "ranking", "next", "findings"]
    assert document["symptom"] == "heater-no-fire"
    assert {"kind", "id"} <= set(document["next"])
    for entry in document["ranking"]:
        assert list(entry) == ["cause", "says", "share", "low", "high"]
        assert 0 <= entry["low"] <= entry["high"] <= 1
    shares = [entry["share"] for entry in document["ranking"]]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1, abs=1e-9)
    assert "not-listed" in [entry["cause"] for entry in document["ranking"]]
    assert {"remedy": "cylinder-empty", "answer": "not-cured"} in document["findings"]


def test_an_unanswered_danger_question_comes_next(run, tmp_path):
    document = reckoned(run, tmp_path, "smell-of-gas: no\nheater-fuel: gas\n")
    assert (document["next"]["kind"], document["next"]["id"]) == ("check", "co-alarm")


def test_a_stop_answer_stops(run, tmp_path):
    document = reckoned(run, tmp_path, SAFE.replace("quiet", "sounds-or-ill"))
    assert (document["next"]["kind"], document["next"]["id"]) == ("stop", "co-suspected")


def test_the_order_of_the_findings_does_not_matter(run, tmp_path):
    one = reckoned(run, tmp_path, SAFE + "heater-fuel: gas\n")
    other = reckoned(
        run, tmp_path, "".join(reversed((SAFE + "heater-fuel: gas\n").splitlines(keepends=True)))
    )
    assert one == other


def test_with_json_no_case_is_opened(run, tmp_path):
    reckoned(run, tmp_path, SAFE)
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        assert store.cases() == ()


def test_a_technician_is_given_what_an_owner_is_not(run, tmp_path):
    (tmp_path / "found.yaml").write_text("", encoding="utf-8")
    for role in ("owner", "technician"):
        ran = run("walk", "engine-no-crank", "--answers", "found.yaml", "--json", "--as", role)
        assert ran.code == 0
        assert json.loads(ran.out)["symptom"] == "engine-no-crank"


def test_answers_without_json_are_taken_and_the_walk_goes_on(run, tmp_path):
    (tmp_path / "found.yaml").write_text(SAFE + "heater-fuel: gas\nhob-flame: steady\n", encoding="utf-8")
    typed = "no\nquiet\nno\nbare\nclear\n"
    ran = run("walk", "heater-no-fire", "--answers", "found.yaml", typed=typed)
    assert ran.code == 0
    assert "Can you smell gas" in ran.out
    assert "What does the room heater burn or use?" not in ran.out
    assert "How does one hob ring burn?" not in ran.out
    assert "diagnose walk --resume 1" in ran.out
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        ahead = [entry.subject for entry in store.case(1).entries if entry.ahead]
    assert {"heater-fuel", "hob-flame"} <= set(ahead)


def test_a_pipe_gets_plain_text_and_a_readable_record_of_the_walk(run):
    ran = run("walk", "heater-no-fire", typed="no\nmaybe\nquiet\ndanger\n\n", COLUMNS="40")
    assert (ran.code, ran.err) == (0, "")
    assert "\x1b" not in ran.out
    assert [letter for letter in set(ran.out) if ord(letter) < 32] == ["\n"]
    assert "> no\n" in ran.out
    assert "> maybe\n\nHere it has to be the whole word: quiet,\n" in ran.out
    assert "STOP - DANGER" in ran.out
    assert max(map(len, ran.out.splitlines())) <= 40


def test_the_end_of_the_input_leaves_the_walk_off(run, tmp_path):
    ran = run("walk", "heater-no-fire", typed="no\n")
    assert ran.code == 0
    assert ran.out.endswith(
        "All that you answered is kept as case 1. To go on, type:\n  diagnose walk --resume 1\n\n"
        "This does not certify that the vehicle is safe.\n"
    )
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        assert store.case(1).state == "left-off"


def test_what_has_to_be_repeated_stands_in_the_command_to_go_on(run, tmp_path):
    ran = run("walk", "heater-no-fire", "--cases", "my cases.sqlite", typed="no\n")
    assert "diagnose walk --resume 1 --cases 'my cases.sqlite'" in ran.out
    assert (tmp_path / "my cases.sqlite").exists()
    again = run("walk", "--resume", "1", "--cases", "my cases.sqlite", typed="no\n")
    assert "The walk is taken up again" in again.out


def test_the_vehicle_and_the_role_are_kept_with_the_case(run, tmp_path):
    run("walk", "engine-no-crank", "--vehicle", " the blue van ", "--as", "technician", typed="no\n")
    with open_store(str(tmp_path / "cases.sqlite")) as store:
        record = store.case(1)
    assert (record.vehicle, record.role, record.symptom) == ("the blue van", "technician", "engine-no-crank")


def test_the_numbers_to_call_are_those_of_the_country(run):
    ran = run("walk", "heater-no-fire", typed="yes\n\n", DIAGNOSE_COUNTRY="uk")
    assert "Emergency number: 112 or 999." in ran.out
    without = run("walk", "heater-no-fire", "--vehicle", "another", typed="yes\n\n")
    assert "Emergency number: 112." in without.out


def test_a_country_that_is_not_known_is_refused_before_anything_is_asked(run):
    ran = run("walk", "heater-no-fire", DIAGNOSE_COUNTRY="atlantis")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.startswith('"atlantis" is no country here; write one of at, be, ')


def test_the_number_of_a_case_that_was_cured_can_be_taken_up_again_but_a_stopped_one_not(run):
    stopped = run("walk", "heater-no-fire", typed="yes\n\n")
    assert "It is kept as case 1." in stopped.out
    again = run("walk", "--resume", "1")
    assert again.code == 1
    assert again.err.startswith("case 1 was stopped for danger and cannot be taken up again")


def test_bytes_that_are_no_letters_are_asked_about_again(run, monkeypatch):
    import io
    import sys

    from diagnose.terminal.console import open_console

    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"\xff\xfe no\n"), encoding="utf-8"))
    assert open_console().ask() == "\N{REPLACEMENT CHARACTER}\N{REPLACEMENT CHARACTER} no"


def test_without_any_input_the_program_ends_quietly(run, monkeypatch):
    import sys

    from diagnose.terminal.console import open_console

    monkeypatch.setattr(sys, "stdin", None)
    with pytest.raises(EOFError):
        open_console().ask()
