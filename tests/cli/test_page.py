from __future__ import annotations

import json
import re
from types import SimpleNamespace

import pytest

from diagnose.knowledge.collection import shipped_folder

TREE = "hob-hisses-on"


@pytest.fixture(autouse=True)
def little_of_rounds(request, monkeypatch):
    """What most pays to be looked at takes a second to work out: only one test here is about it."""
    if "worth" not in request.node.name:
        monkeypatch.setattr("diagnose.cli.page._worth", lambda *_: None)


def held(page):
    """The data documents of a page by id."""
    found = re.findall(r'<script type="application/json" id="([^"]+)">(.*?)</script>', page)
    return {id: json.loads(text) for id, text in found}


def test_the_page_goes_to_standard_output_and_holds_what_was_named(run):
    ran = run("page", TREE)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith("<!DOCTYPE html>")
    assert list(held(ran.out)) == ["data", f"tree-{TREE}"]
    assert held(ran.out)["data"]["vehicle"] is None
    assert held(ran.out)["data"]["learned"] is False


def test_a_file_is_named_with_what_is_in_it(run, tmp_path):
    ran = run("page", TREE, "hook-up-trips", TREE, "-o", "page.html")
    assert (ran.code, ran.err) == (0, "")
    size = (tmp_path / "page.html").stat().st_size / 1e6
    assert (
        ran.out
        == f"Written to page.html: 2 symptoms, {size:.1f} MB. Copy it to the phone and open it there.\n"
    )


def test_an_unknown_symptom_is_told_with_the_nearest(run):
    ran = run("page", "hob-hises-on", "-o", "page.html")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.startswith('there is no symptom "hob-hises-on"; the nearest are hob-hisses-on')
    assert ran.err.count("\n") == 1


def test_the_flaws_of_every_broken_tree_are_told(run, tmp_path):
    for name in ("one-thing", "other-thing"):
        (tmp_path / f"{name}.yaml").write_text("symptom: It is dead\nsistem: body\n", encoding="utf-8")
    ran = run("page", "one-thing.yaml", TREE, "other-thing.yaml")
    assert (ran.code, ran.out) == (1, "")
    assert "one-thing.yaml:2:1: " in ran.err
    assert "other-thing.yaml:2:1: " in ran.err
    assert 'did you mean "system"?' in ran.err


def test_two_trees_of_one_name_are_refused(run, tmp_path):
    (tmp_path / "mine").mkdir()
    shipped = (shipped_folder() / f"{TREE}.yaml").read_text(encoding="utf-8")
    (tmp_path / "mine" / f"{TREE}.yaml").write_text(f"{shipped}# my own\n", encoding="utf-8")
    ran = run("page", TREE, f"mine/{TREE}.yaml")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == f'{TREE} and mine/{TREE}.yaml are both called "{TREE}": a page holds one of them\n'


def test_an_own_tree_says_that_nobody_here_has_checked_it(run, tmp_path):
    (tmp_path / "mine").mkdir()
    shipped = (shipped_folder() / f"{TREE}.yaml").read_text(encoding="utf-8")
    (tmp_path / "mine" / "my-hob.yaml").write_text(shipped, encoding="utf-8")
    known = held(run("page", "my-hob", "--trees", "mine").out)
    assert known["tree-my-hob"]["shipped"] is False
    assert known["data"]["trees"][0]["shipped"] is False


def test_where_nothing_can_be_written_that_is_said(run):
    ran = run("page", TREE, "-o", "no-such-folder/page.html")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == "cannot write no-such-folder/page.html: No such file or directory\n"


def test_a_name_is_no_card(run):
    ran = run("page", TREE, "--vehicle", "van")
    assert (ran.code, ran.out) == (2, "")
    assert (
        ran.err == "--vehicle takes the path of a card, such as van.yaml (to make one: diagnose card new)\n"
    )


def test_a_card_gives_the_country_the_facts_and_the_numbers(run, card):
    ran = run("page", TREE, "--vehicle", card.name, DIAGNOSE_COUNTRY="uk")
    assert ran.code == 0
    data = held(ran.out)["data"]
    assert data["country"] == "ie"
    assert data["vehicle"]["name"] == "the blue van"
    assert data["vehicle"]["numbers"] == {"gas-engineer": "01632 960001"}
    assert data["vehicle"]["cannot"] == ["lift", "smell"]


def test_a_country_that_is_none_is_refused(run):
    ran = run("page", TREE, DIAGNOSE_COUNTRY="narnia")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err.startswith('"narnia" is no country here')


def test_at_a_terminal_the_page_wants_a_file(run, monkeypatch):
    from diagnose.cli import page

    monkeypatch.setattr(page, "sys", SimpleNamespace(stdout=SimpleNamespace(isatty=lambda: True)))
    ran = run("page", TREE)
    assert (ran.code, ran.out) == (2, "")
    assert "diagnose page -o page.html" in ran.err


def test_cases_count_only_where_they_are_named(run):
    quiet, counted = (
        held(run("page", TREE, *more).out)["data"] for more in ([], ["--cases", "cases.sqlite"])
    )
    assert (quiet["learned"], counted["learned"]) == (False, True)


@pytest.mark.long
def test_short_rounds_and_what_is_worth_a_look_are_those_of_the_prompt(run, card):
    card.write_text("facts: {build: motorhome, stored: outdoors, drained: undrained}\n", encoding="utf-8")
    rounds = held(run("page", TREE, "--vehicle", card.name).out)["data"]["rounds"]["rounds"]
    for id, minutes in (("wake-up", 180), ("journey", 90)):
        short = next(each for each in rounds[id]["shorts"] if each["minutes"] == minutes)
        at_prompt = json.loads(
            run("round", id, "--vehicle", card.name, "--short", str(minutes), "--json").out
        )
        assert at_prompt["order"] == short["tasks"], id
        assert abs(at_prompt["minutes"] - short["takes"]) < 1e-9
        assert not at_prompt["short"]["too_long"]
    assert [each["task"] for each in rounds["wake-up"]["worth"]] == ["w15-hob", "w5-brakes", "p19-alarms"]
    assert "not-listed" not in str(rounds)


@pytest.mark.long
def test_a_card_leaves_out_what_is_for_other_vehicles_unless_it_is_named(run, card):
    card.write_text("facts: {heater-fuel: diesel, fridge-sources: compressor}\n", encoding="utf-8")
    ran = run("page", "--vehicle", card.name, "-o", "page.html")
    left = re.findall(r"Left out, being for other vehicles than this one: (\S+)", ran.err)
    assert left == ["absorption-fridge", "heater-no-fire", "wet-heating-cold"]
    named = run("page", "heater-no-fire", "--vehicle", card.name)
    assert "tree-heater-no-fire" in held(named.out)
    assert "Left out" not in named.err
