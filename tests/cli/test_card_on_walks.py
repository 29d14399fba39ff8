"""Walks with a vehicle's card: what it answers, shows, stops and refuses."""

from __future__ import annotations

import json

import pytest

from tests.cli.card_of_the_van import CARD, SAFE, TYPED, reckoned, stored


def test_a_plain_word_stays_a_label(run, tmp_path):
    ran = run("walk", "heater-no-fire", "--vehicle", "the red van", typed="no\n")
    assert ran.code == 0
    assert stored(tmp_path).vehicle == "the red van"


LAMP = """
symptom: The lamp over the table stays dark
system: habitation-electrics
refer_to: workshop
applies_to: {build: [campervan]}
cured_when: {ask: Has the lamp burned for a minute?}
faults:
  hazard: none
  any_of:
    switched-off:
      says: The switch at the lamp is off
      in_100: 60
      remedy: {do: Press the switch, by: owner, hands: controls, minutes: 30, part: lamp-switch}
    line-dead: {says: No current comes to it, in_100: 35, remedy: {refer: workshop}}
checks:
  switch-click:
    ask: Which way does the switch stand?
    hands: look
    by: owner
    minutes: 1
    part: lamp-switch
    answers: {on: It stands at on, off: It stands at off}
    expect: {switched-off: {off: almost certain}, otherwise: {on: almost certain}}
"""


@pytest.fixture
def lamp(tmp_path):
    (tmp_path / "trees").mkdir()
    (tmp_path / "trees" / "lamp-dark.yaml").write_text(LAMP, encoding="utf-8")
    text = "label: lamps\nfacts: {build: campervan}\nwhere: {lamp-switch: under the shelf}\n"
    (tmp_path / "lamp.yaml").write_text(text, encoding="utf-8")
    return ("walk", "lamp-dark", "--trees", "trees", "--vehicle", "lamp.yaml")


def test_a_walk_with_a_card_knows_its_facts_and_shows_where_things_are(run, lamp):
    ran = run(*lamp, typed="off\n", COLUMNS="40")
    assert (ran.code, ran.err) == (0, "")
    said = " ".join(ran.out.split())
    assert "What kind of vehicle is it?" not in said
    assert said.count("Lamp switch: under the shelf.") == 2  # with the question and with what to do
    assert "diagnose walk --resume 1 --trees trees --vehicle lamp.yaml" in said
    assert max(map(len, ran.out.splitlines())) <= 40


def test_a_part_of_a_tree_that_is_not_at_hand_is_not_known(run, lamp, tmp_path):
    ran = run("walk", "heater-no-fire", "--vehicle", "lamp.yaml")
    assert ran.code == 1
    assert 'where names "lamp-switch", a part that no tree names' in ran.err


def test_whoever_cannot_smell_is_told_to_ask_somebody(run, card):
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed="no\n")
    assert "you cannot smell well: ask somebody who can" in " ".join(ran.out.split())


def test_what_is_due_is_said_once_and_before_the_first_question(run, card):
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed=TYPED)
    assert ran.out.count("The gas hose is") == 1
    assert ran.out.count("The carbon-monoxide alarm had its end date on 31 March 2015") == 1
    assert ran.out.index("NOTICE") < ran.out.index("The gas hose is") < ran.out.index("Can you smell gas")


def test_only_the_label_and_the_facts_that_the_tree_asks_for_go_into_the_case(run, card, tmp_path):
    run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed=TYPED)
    record = stored(tmp_path)
    assert record.vehicle == "the blue van"
    assert {entry.subject for entry in record.entries if entry.ahead} == {"heater-fuel"}
    kept = b"".join(path.read_bytes() for path in tmp_path.glob("cases.sqlite*"))
    for secret in (b"ZEBRA", b"960001", b"campervan", b"van.yaml", b"2015", b"lift"):
        assert secret not in kept


def test_with_json_the_facts_of_the_card_are_findings_and_the_same_each_time(run, card, tmp_path):
    (tmp_path / "found.yaml").write_text(SAFE, encoding="utf-8")
    arguments = ("--vehicle", "van.yaml", "--answers", "found.yaml")
    one, other = reckoned(run, *arguments), reckoned(run, *arguments)
    assert one == other
    findings = {each["check"]: each.get("answer") for each in one["findings"]}
    assert findings["heater-fuel"] == "gas"
    assert (findings["build"], findings["country"]) == ("campervan", "ie")
    assert findings["smell-of-gas"] == "no"
    assert one["next"]["kind"] == "check"


def test_with_json_the_card_adds_what_is_due_and_whom_to_call_and_without_one_nothing(run, card, tmp_path):
    (tmp_path / "found.yaml").write_text(SAFE, encoding="utf-8")
    plain = reckoned(run, "--answers", "found.yaml")
    document = reckoned(run, "--vehicle", "van.yaml", "--answers", "found.yaml")
    assert list(plain) == ["symptom", "ranking", "next", "findings"]
    assert list(document) == [*plain, "due", "call"]
    hose, alarm = document["due"]
    assert (hose["date"], hose["on"]) == ("gas-hose", "2015-05-01")
    assert "have it changed by a gas engineer" in hose["says"]
    assert (alarm["date"], alarm["on"]) == ("alarm", "2015-03-31")
    assert document["call"] == [{"referral": "gas-engineer", "number": "01632 960001"}]
    (tmp_path / "bare.yaml").write_text("label: bare\n", encoding="utf-8")
    bare = reckoned(run, "--vehicle", "bare.yaml", "--answers", "found.yaml")
    assert (bare["due"], bare["call"]) == ([], [])
    named = reckoned(run, "--vehicle", "a plain name", "--answers", "found.yaml")
    assert list(named) == list(plain)


def test_a_file_of_answers_wins_over_the_card(run, card, tmp_path):
    (tmp_path / "found.yaml").write_text(SAFE + "heater-fuel: diesel\n", encoding="utf-8")
    document = reckoned(run, "--vehicle", "van.yaml", "--answers", "found.yaml")
    assert {"check": "heater-fuel", "answer": "diesel"} in document["findings"]
    assert document["next"]["kind"] == "referral"


def test_a_reading_in_a_file_of_answers_has_the_uncertainty_of_the_card(run, card, tmp_path):
    (tmp_path / "found.yaml").write_text(
        "rest-volts: 12.4\ncrank-volts: {value: 11, uncertainty: 0.2}\n", encoding="utf-8"
    )
    known = [check for check in ("rest-volts", "crank-volts") if _takes_a_reading(check)]
    text = "\n".join(f"{id}: 12.4" for id in known) + "\n"
    (tmp_path / "found.yaml").write_text(text, encoding="utf-8")
    ran = run("walk", "engine-no-crank", "--vehicle", "van.yaml", "--answers", "found.yaml", "--json")
    doubts = {each["check"]: each.get("uncertainty") for each in json.loads(ran.out)["findings"]}
    assert known
    assert {doubts[id] for id in known} == {0.4}


def _takes_a_reading(id):
    from diagnose.knowledge.collection import Library

    check = Library().tree("engine-no-crank").checks.get(id)
    return check is not None and check.reading is not None


def test_what_somebody_cannot_do_changes_what_comes_next(run, card, tmp_path):
    lifts = "cannot: [kneel, climb, lift, reach, hear, smell]\n"
    (tmp_path / "bound.yaml").write_text(lifts, encoding="utf-8")
    (tmp_path / "free.yaml").write_text("label: free\n", encoding="utf-8")
    (tmp_path / "found.yaml").write_text("mains-harmed: no\n", encoding="utf-8")
    steps = {}
    for name in ("bound", "free"):
        ran = run("walk", "water-pump", "--vehicle", f"{name}.yaml", "--answers", "found.yaml", "--json")
        steps[name] = json.loads(ran.out)
    assert steps["bound"]["ranking"] == steps["free"]["ranking"]
    from diagnose.knowledge.collection import Library

    tree = Library().tree("water-pump")
    for document in steps.values():
        leads = document["next"]["why"]["leads_to"].values()
        for step in (document["next"], *leads):
            needs = tree.checks[step["id"]].needs if step["kind"] == "check" else ()
            assert document is steps["free"] or not needs


def test_the_country_on_the_card_wins_over_the_setting(run, card):
    typed = "danger\n\n"
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed=typed, DIAGNOSE_COUNTRY="de")
    assert "Emergency number: 112 or 999." in ran.out
    assert "Emergency number: 112." in run("walk", "heater-no-fire", typed=typed, DIAGNOSE_COUNTRY="de").out


def test_danger_told_before_a_walk_stops_with_the_numbers_of_the_card(run, tmp_path):
    (tmp_path / "van.yaml").write_text("country: uk\nnumbers: {gas-escape: 01632 960003}\n")
    ran = run("walk", "--vehicle", "./van.yaml", typed="danger\n")
    assert ran.code == 0
    assert "STOP - DANGER" in ran.out
    assert "The number on your card: 01632 960003" in ran.out
    assert "call 112." in ran.out


def test_a_flawed_card_is_refused_with_every_flaw_before_anything_is_asked(run, tmp_path):
    (tmp_path / "van.yaml").write_text("country: gb\nwhere: {bonet: x}\n", encoding="utf-8")
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml")
    assert (ran.code, ran.out) == (1, "")
    assert [line.split(" ")[0] for line in ran.err.splitlines()] == ["van.yaml:1:10:", "van.yaml:2:9:"]
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", "--json")
    assert [error["line"] for error in json.loads(ran.out)["errors"]] == [1, 2]
    assert not (tmp_path / "cases.sqlite").exists()


def test_a_card_that_is_not_there_is_refused(run):
    ran = run("walk", "heater-no-fire", "--vehicle", "no/such.yaml")
    assert (ran.code, ran.out, ran.err) == (1, "", "no/such.yaml:1:1: there is no such file\n")


def test_a_label_like_a_number_plate_is_advised_against_once(run, tmp_path):
    (tmp_path / "van.yaml").write_text("label: AB12 CDE\n", encoding="utf-8")
    ran = run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed="no\n")
    assert ran.code == 0
    assert ran.err.count("number plate") == 1
    assert ran.err.startswith("van.yaml:1:8: ")


def test_a_case_does_not_go_on_with_the_card_of_another_vehicle(run, card, tmp_path):
    run("walk", "heater-no-fire", "--vehicle", "the red van", typed="no\n")
    ran = run("walk", "--resume", "1", "--vehicle", "van.yaml")
    assert ran.code == 1
    assert ran.err == 'case 1 is of "the red van"; the card is of "the blue van"\n'


def test_a_walk_is_taken_up_again_with_its_card(run, lamp):
    run(*lamp, typed="leave off\n")
    ran = run("walk", "--resume", *lamp[2:])
    assert ran.code == 0
    assert "Lamp switch: under the shelf." in ran.out


def test_a_fact_that_was_added_to_the_card_meanwhile_is_not_asked_at_resuming(run, card):
    card.write_text(CARD.replace("  heater-fuel: gas\n", ""), encoding="utf-8")
    run("walk", "heater-no-fire", "--vehicle", "van.yaml", typed="no\nleave off\n\n")
    card.write_text(CARD, encoding="utf-8")
    ran = run("walk", "--resume", "--vehicle", "van.yaml", typed=TYPED)
    assert (ran.code, ran.err) == (0, "")
    assert "So far the likeliest" in ran.out
    assert "What does the room heater burn or use?" not in ran.out
