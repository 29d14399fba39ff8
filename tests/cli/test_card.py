"""`diagnose card`: making one, checking it, and the one at the usual place."""

from __future__ import annotations

from datetime import UTC, datetime
from types import SimpleNamespace

import pytest

from diagnose.cases.records import Entry
from diagnose.knowledge.card_fields import DATES
from diagnose.terms import Finding
from tests.cli.card_of_the_van import ASKED, SAFE, reckoned


def facts_asked():
    """How many questions about facts a new card comes with."""
    from diagnose.knowledge.collection import Library
    from diagnose.terminal.keeping_facts import OF_THE_SEASON

    facts = Library().common().facts
    return len(
        [id for id, fact in facts.items() if not fact.reading and id not in ("country", *OF_THE_SEASON)]
    )


def test_a_new_card_is_made_by_a_short_talk_and_read_again(run, tmp_path):
    facts = facts_asked()
    typed = "the blue van\nuk\n" + "\n" * facts + "flue: left side\n\nkneel\n2021-06\n"
    ran = run("card", "new", "van.yaml", typed=typed + "\n" * 30)
    assert (ran.code, ran.err) == (0, "")
    assert "diagnose walk --vehicle van.yaml" in ran.out
    text = (tmp_path / "van.yaml").read_text(encoding="utf-8")
    for line in ('label: "the blue van"', 'country: "uk"', '  flue: "left side"', "cannot: [kneel]"):
        assert line in text
    assert "  gas-hose: 2021-06-01" in text
    assert run("card", "check", "van.yaml").code == 0


def test_what_cannot_be_is_asked_again_in_the_talk(run, tmp_path):
    facts = facts_asked()
    typed = "x\n\n" + "\n" * facts + "bonnet: x\nflue\n\nneel\n\n2099-01\n06/21\n2021-06\n"
    ran = run("card", "new", "van.yaml", typed=typed + "\n" * (len(DATES) - 1) + "call me\n\n\n\n\n\n")
    assert ran.code == 0
    assert "No tree names that part." in ran.out
    assert "Type a part, a colon and where it is." in ran.out
    assert "Only these words: kneel, climb, lift, reach, hear, smell." in ran.out
    assert "which is still to come." in ran.out
    assert "gas-hose wants a date such as 2021-06-30" in ran.out
    assert "wants a telephone number in figures" in ran.out


def test_a_file_that_is_there_is_never_written_over(run, tmp_path):
    (tmp_path / "van.yaml").write_text("mine", encoding="utf-8")
    ran = run("card", "new", "van.yaml", typed="\n" * 60)
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == "van.yaml is there already and is left as it is; write another name\n"
    assert (tmp_path / "van.yaml").read_text(encoding="utf-8") == "mine"
    (tmp_path / "loose.yaml").symlink_to(tmp_path / "nowhere.yaml")
    assert run("card", "new", "loose.yaml", typed="\n" * 60).code == 1
    assert not (tmp_path / "nowhere.yaml").exists()


def test_a_talk_that_breaks_off_writes_nothing(run, tmp_path):
    ran = run("card", "new", "van.yaml", typed="the van\n")
    assert ran.code == 0
    assert "Nothing was written." in ran.out
    assert not (tmp_path / "van.yaml").exists()


def test_danger_told_in_the_talk_stops_it(run, tmp_path):
    ran = run("card", "new", "van.yaml", typed="there is a smell of gas\n")
    assert ran.code == 0
    assert "STOP - DANGER" in ran.out
    assert not (tmp_path / "van.yaml").exists()


@pytest.mark.parametrize("name", ["van", "no/such/folder/van.yaml", "a\x1b[31m.yaml"])
def test_a_name_that_cannot_be_a_card_is_wrong_usage(run, name):
    ran = run("card", "new", name)
    assert ran.code == 2
    assert "\x1b" not in ran.err


def test_a_check_says_every_flaw_and_what_is_due(run, card, tmp_path):
    ran = run("card", "check", "van.yaml")
    assert ran.code == 0
    assert ran.out.startswith("NOTICE: The gas hose is ")
    assert ran.out.endswith("van.yaml: no flaw\n")
    card.write_text("dates: {tyres: 9999}\nnumbers: {x: 1}\n", encoding="utf-8")
    ran = run("card", "check", "van.yaml")
    assert (ran.code, ran.out) == (1, "")
    assert len(ran.err.splitlines()) == 3
    card.write_text("label: van\n", encoding="utf-8")
    assert run("card", "check", "van.yaml").out == "van.yaml: no flaw, nothing is due\n"


def test_without_a_file_the_card_at_the_usual_place_is_meant(run, tmp_path):
    home = tmp_path / "leisure-fault-diagnosis"
    for command in ("check", "print"):
        ran = run("card", command)
        assert (ran.code, ran.out) == (2, "")
        assert f"none stands at {home / 'my-vehicle.yaml'}; to make one: diagnose card new" in ran.err
    ran = run("card", "new", typed="the blue van\nuk\nleave off\n")
    assert (ran.code, ran.err) == (0, "")
    said = " ".join(ran.out.split())
    assert "From now on it is used by itself." in said
    assert "diagnose card print -o locker-card.html" in said
    assert run("card", "check").out == f"{home / 'my-vehicle.yaml'}: no flaw, nothing is due\n"
    assert "THE BLUE VAN" in run("card", "print", "--plain").out
    before = (home / "my-vehicle.yaml").read_text(encoding="utf-8")
    ran = run("card", "new", typed="x\n")
    assert ran.code == 1
    assert "is there already and is left as it is" in ran.err
    assert (home / "my-vehicle.yaml").read_text(encoding="utf-8") == before


def test_in_a_pipe_or_with_json_the_card_at_the_usual_place_is_not_taken(run, tmp_path):
    home = tmp_path / "leisure-fault-diagnosis"
    home.mkdir()
    (home / "my-vehicle.yaml").write_text("facts: {heater-fuel: gas}\n", encoding="utf-8")
    ran = run("walk", "heater-no-fire", typed=ASKED)
    assert "What does the room heater burn or use?" in ran.out
    assert "With the card" not in ran.out
    (tmp_path / "found.yaml").write_text(SAFE, encoding="utf-8")
    assert "due" not in reckoned(run, "--answers", "found.yaml")


def test_a_flawed_card_at_the_usual_place_stands_in_nobodys_way(tmp_path, monkeypatch, capsys):
    from diagnose.cli.vehicle import card_by_default
    from diagnose.knowledge.collection import Library
    from diagnose.walking.places import usual_card

    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert card_by_default(Library()) is None
    usual_card().parent.mkdir()
    usual_card().write_text("country: gb\nlabel: 7\n", encoding="utf-8")
    assert card_by_default(Library()) is None
    told = capsys.readouterr().err.splitlines()
    assert told[0].startswith(f"{usual_card()}:1:10: country is")
    assert told[-1] == f"So the card {usual_card()} is left aside this time."
    usual_card().write_text("label: mine\n", encoding="utf-8")
    assert card_by_default(Library()).name == "mine"


def test_facts_of_one_lay_up_are_not_kept_for_the_next():
    # Was it drained, where did it stand, for how long: a card would tell it wrongly next year.
    from diagnose.knowledge.collection import Library
    from diagnose.terminal.keeping_facts import OF_THE_SEASON, asked_facts

    facts = {id: Library().common().facts[id] for id in ("drained", "build")}
    findings = {id: Finding(id, fact.answer_ids()[0]) for id, fact in facts.items()}
    now = datetime(2026, 3, 1, tzinfo=UTC)
    live = [Entry(now, "finding", id, finding.answer) for id, finding in findings.items()]
    walk = SimpleNamespace(past=SimpleNamespace(live=live, findings=findings))
    opened = SimpleNamespace(walk=walk, tree=SimpleNamespace(checks={}, facts=facts))
    assert list(asked_facts([opened])) == ["build"]
    assert set(OF_THE_SEASON) <= set(Library().common().facts)


def test_the_talk_shows_a_few_parts_and_all_of_them_if_wanted(run, tmp_path):
    typed = "x\n\n" + "\n" * facts_asked() + "parts\ngas-hose: in the locker\nleave off\n"
    ran = run("card", "new", "van.yaml", typed=typed)
    said = " ".join(ran.out.split())
    few, every = said.index("Such parts are: battery-isolator, main-fuse"), said.index("air-filter, alarm,")
    assert few < said.index("To see all") < every
    assert '  gas-hose: "in the locker"' in (tmp_path / "van.yaml").read_text(encoding="utf-8")


def test_of_a_caravan_nothing_is_asked_that_it_has_not(run):
    motorhome = run("card", "new", "a.yaml", typed="x\nuk\nmotorhome\n" + "\n" * 60).out
    caravan = run("card", "new", "b.yaml", typed="x\nuk\ncaravan\n" + "\n" * 60).out
    for text in ("starter battery", "Starter battery: when"):
        assert text in motorhome
        assert text not in caravan
