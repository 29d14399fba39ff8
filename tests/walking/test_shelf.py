"""Routes kept in a folder: taken out as they were put in, and compiled anew silently if anything is wrong."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from diagnose.reasoning import compiling
from diagnose.reasoning.compiling import compile_route
from diagnose.reasoning.model import build_model
from diagnose.reasoning.proof import UnsafeRoute
from diagnose.reasoning.robustness import cost_by_cause
from diagnose.reasoning.route import route_to_json
from diagnose.terms import EndedCases, Settings, Tally
from diagnose.walking import shelf
from diagnose.walking.shelf import minutes_kept, route_digest, route_for
from tests.walking.small_trees import heater


@pytest.fixture
def model():
    return build_model(heater())


def kept(folder):
    """The files in a folder, which are all of it."""
    return sorted(path for path in folder.rglob("*") if path.is_file())


def no_compiling(*_):
    pytest.fail("the route was compiled although it was kept")


def test_a_route_is_compiled_once_and_then_taken_from_the_folder(model, tmp_path, monkeypatch):
    folder = tmp_path / "cache" / "routes"
    first = route_for(model, folder)
    assert [path.name for path in kept(folder)] == [f"{route_digest(model)}.json"]
    assert first == compile_route(model)
    monkeypatch.setattr(compiling, "compile_route", no_compiling)
    assert route_for(model, folder) == first


def test_a_kept_route_is_json_of_the_routes_own_form(model, tmp_path):
    route = route_for(model, tmp_path)
    assert json.loads(kept(tmp_path)[0].read_text(encoding="utf-8")) == json.loads(route_to_json(route))


def test_without_a_folder_nothing_is_kept(model, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert route_for(model) == compile_route(model)
    assert kept(tmp_path) == []


DAMAGE = {
    "empty": lambda data: b"",
    "cut short": lambda data: data[: len(data) // 2],
    "a character lost": lambda data: data[:40] + data[41:],
    "not text": lambda data: b"\xff\xfe\x00" + data,
    "other JSON": lambda data: b'{"route": []}',
    "deep": lambda data: b"[" * 200_000,
    "no numbers": lambda data: data.replace(b"0.", b"NaN,0."),
    "a pickle": lambda data: b"\x80\x04\x95\x05\x00\x00\x00\x00\x00\x00\x00}\x94.",
}


@pytest.mark.parametrize("how", DAMAGE)
def test_a_damaged_file_is_compiled_anew_without_a_word(how, model, tmp_path, capfd, recwarn, caplog):
    good = route_for(model, tmp_path)
    (path,) = kept(tmp_path)
    sound = path.read_bytes()
    path.write_bytes(DAMAGE[how](sound))
    assert route_for(model, tmp_path) == good
    assert path.read_bytes() == sound
    assert kept(tmp_path) == [path]
    assert capfd.readouterr() == ("", "")
    assert (len(recwarn), caplog.records) == (0, [])


def tampered(path, change):
    data = json.loads(path.read_text(encoding="utf-8"))
    change(data)
    path.write_text(json.dumps(data), encoding="utf-8")


def stop_leads_on(data):
    """The danger answer of the first question leads where the harmless one does."""
    edges = data["nodes"][0][4]
    assert [edge[0] for edge in edges] == ["no", "yes", "not-sure"]
    edges[1][1] = edges[0][1]


def an_edge_lost(data):
    data["nodes"][0][4].pop()


def a_question_swapped(data):
    data["nodes"][0][1] = "co-alarm"


def of_nobody(kind):
    def change(data):
        next(node for node in data["nodes"] if node[0] == kind)[1] = "nobody"

    return change


UNSAFE = {
    "a stop that leads on": stop_leads_on,
    "an edge lost": an_edge_lost,
    "another first question": a_question_swapped,
    "an unknown check": of_nobody("check"),
    "an unknown remedy": of_nobody("remedy"),
    "an unknown referral": of_nobody("referral"),
    "an unknown stop": of_nobody("stop"),
}


@pytest.mark.parametrize("how", UNSAFE)
def test_a_kept_route_that_breaks_a_rule_is_compiled_anew(how, model, tmp_path):
    good = route_for(model, tmp_path)
    (path,) = kept(tmp_path)
    sound = path.read_text(encoding="utf-8")
    tampered(path, UNSAFE[how])
    assert path.read_text(encoding="utf-8") != sound
    assert route_for(model, tmp_path) == good
    assert path.read_text(encoding="utf-8") == sound


def test_a_route_of_another_tree_under_this_name_is_compiled_anew(model, tmp_path):
    good = route_for(model, tmp_path)
    (path,) = kept(tmp_path)
    other = heater(cut_sets=(("empty",), ("shut",), ("fuse",)))
    path.write_text(route_to_json(compile_route(build_model(other))), encoding="utf-8")
    assert route_for(model, tmp_path) == good


def test_a_route_for_a_technician_under_an_owners_name_is_judged_as_an_owners(tmp_path):
    tree = heater()
    hob = replace(tree.checks["hob"], by="technician", minutes=0.1)
    tree = replace(tree, checks={**tree.checks, "hob": hob})
    owner, technician = build_model(tree), build_model(tree, "technician")
    wrong = compile_route(technician)
    assert any(node.of == "hob" for node in wrong.nodes)
    (tmp_path / f"{route_digest(owner)}.json").write_text(route_to_json(wrong), encoding="utf-8")
    assert route_for(owner, tmp_path) == compile_route(owner)


def test_a_folder_that_cannot_be_written_is_no_trouble(model, tmp_path, capfd):
    blocked = tmp_path / "file"
    blocked.write_text("not a folder", encoding="utf-8")
    assert route_for(model, blocked / "cache") == compile_route(model)
    (tmp_path / f"{route_digest(model)}.json").mkdir()
    assert route_for(model, tmp_path) == compile_route(model)
    assert capfd.readouterr() == ("", "")


def test_an_unsafe_route_is_refused_and_not_kept(model, tmp_path, monkeypatch):
    route = compile_route(model)
    first = route.nodes[0]
    edges = {**first.edges, "yes": first.edges["no"]}
    broken = replace(route, nodes=(replace(first, edges=edges), *route.nodes[1:]))
    monkeypatch.setattr(compiling, "compile_route", lambda _: broken)
    with pytest.raises(UnsafeRoute):
        route_for(model, tmp_path)
    assert kept(tmp_path) == []


# The name -------------------------------------------------------------------------------------------------


def digests(tree=None, role="owner", settings=Settings(), tally=Tally(), other_trees=(), hurry=False):  # noqa: B008
    return route_digest(build_model(tree or heater(), role, settings, tally, other_trees, hurry))


def test_the_same_content_has_the_same_name():
    assert digests() == digests()
    tally = Tally(causes={"empty": 1.0, "fuse": 2.0}, answers={("empty", "hob", "none"): 1.0})
    turned = Tally(causes={"fuse": 2.0, "empty": 1.0}, answers={("empty", "hob", "none"): 1.0})
    assert digests(tally=tally) == digests(tally=turned)


CHANGES = {
    "tree": {"tree": heater(digest="digest-2")},
    "id": {"tree": heater(id="heater-2")},
    "common files": {"tree": heater(common_digest="other")},
    "waiting": {"settings": Settings(wait_rate=0.1)},
    "money": {"settings": Settings(money_per_minute=1.0)},
    "expectations": {"settings": Settings(expect_strength=20.0)},
    "half-life": {"settings": Settings(half_life=2.0)},
    "hurry": {"hurry": True},
    "causes": {"tally": Tally(causes={"empty": 1.0})},
    "more cases": {"tally": Tally(causes={"empty": 2.0})},
    "answers": {"tally": Tally(answers={("empty", "hob", "none"): 1.0})},
}


def test_every_change_of_content_has_a_name_of_its_own():
    names = [digests(), *(digests(**change) for change in CHANGES.values())]
    assert len(set(names)) == len(CHANGES) + 1


def test_one_route_serves_both_roles_unless_a_step_is_for_a_technician_only():
    assert digests() == digests(role="technician")
    check = replace(heater().checks["hob"], by="technician")
    theirs = heater(checks={**heater().checks, "hob": check})
    assert digests(theirs) != digests(theirs, role="technician")


def test_the_role_is_part_of_the_name_wherever_it_makes_another_route():
    tree = heater()
    assert compile_route(build_model(tree)) == compile_route(build_model(tree, "technician"))
    remedy = replace(tree.events["fuse"].remedy, by="technician")
    mended = {**tree.events, "fuse": replace(tree.events["fuse"], remedy=remedy)}
    measured = {**tree.checks, "volts": replace(tree.checks["volts"], by="technician")}
    for other in (replace(tree, events=mended), replace(tree, checks=measured)):
        assert digests(tree=other) != digests(tree=other, role="technician")


def test_cases_that_weigh_otherwise_make_another_name():
    """The same confirmed cases, of whose endings more or fewer were never told."""
    causes = {"empty": 4.0, "board": 1.0}

    def tally(unknown):
        cured = EndedCases(ended=4.0, confirmed=4.0, causes={"empty": 4.0})
        referred = EndedCases(ended=1.0 + unknown, confirmed=1.0, causes={"board": 1.0})
        return Tally(causes=causes, endings={"cured": cured, "referred": referred})

    assert digests(tally=tally(0)) != digests(tally=tally(8))


def test_another_version_of_the_program_takes_no_old_route(monkeypatch):
    before = digests()
    monkeypatch.setattr(shelf, "__version__", "999.0")
    assert digests() != before


def test_a_tree_to_hand_over_to_makes_another_route():
    tree = heater()
    fuse = tree.events["fuse"]
    seen = replace(fuse, remedy=replace(fuse.remedy, kind="see", text="habitation-dead"))
    tree = replace(tree, events={**tree.events, "fuse": seen})
    assert digests(tree=tree) != digests(tree=tree, other_trees={"habitation-dead"})


def test_minutes_are_read_off_a_kept_route_once_and_no_route_is_compiled_for_them(
    model, tmp_path, monkeypatch
):
    """Without a route nothing is known; with one they are what it costs for each cause."""
    monkeypatch.setattr(compiling, "compile_route", no_compiling)
    assert minutes_kept(model, tmp_path) is None
    monkeypatch.undo()
    expected = tuple(cost_by_cause(route_for(model, tmp_path), model))
    monkeypatch.setattr(compiling, "compile_route", no_compiling)
    assert minutes_kept(model, tmp_path) == expected
    monkeypatch.setattr(shelf, "_taken_from", lambda *_: pytest.fail("the route was read again"))
    assert minutes_kept(model, tmp_path) == expected


@pytest.mark.parametrize("damaged", ["", "[1]", "{}", '["a"]', "[-1, NaN]", "null"])
def test_damaged_minutes_are_worked_out_again(model, tmp_path, damaged):
    expected = tuple(cost_by_cause(route_for(model, tmp_path), model))
    beside = tmp_path / f"{route_digest(model)}.minutes"
    beside.write_text(damaged, encoding="utf-8")
    assert minutes_kept(model, tmp_path) == expected
    assert json.loads(beside.read_text(encoding="utf-8")) == list(expected)
