from __future__ import annotations

import json

TREE = """
symptom: "A lamp\\tthat is dark"
system: habitation-electrics
also_said: [dark]
"""


def test_every_symptom_is_listed_under_its_system_with_its_id(run):
    ran = run("symptoms")
    assert ran.code == 0
    assert ran.err == ""
    assert "Heating\n  The blown-air gas heater will not fire\n    heater-no-fire\n" in ran.out
    assert ran.out.endswith("To walk one: diagnose walk ID\n")


def test_the_json_document_holds_what_a_program_needs(run):
    ran = run("symptoms", "--json")
    symptoms = json.loads(ran.out)["symptoms"]
    assert [set(symptom) for symptom in symptoms] == [
        {"id", "symptom", "also_said", "system", "shipped"} for _ in symptoms
    ]
    assert {symptom["id"] for symptom in symptoms} >= {"engine-no-crank", "heater-no-fire", "water-pump"}
    assert all(symptom["shipped"] for symptom in symptoms)


def test_ones_own_trees_are_listed_and_marked(run, tmp_path):
    folder = tmp_path / "own"
    folder.mkdir()
    (folder / "lamp-dark.yaml").write_text(TREE)
    ran = run("symptoms", "--trees", "own")
    assert "(your own tree; not checked by this project)" in " ".join(ran.out.split())
    listed = json.loads(run("symptoms", "--json", DIAGNOSE_TREES=str(folder)).out)["symptoms"]
    assert [symptom["shipped"] for symptom in listed if symptom["id"] == "lamp-dark"] == [False]


def test_no_line_is_wider_than_the_screen(run):
    assert max(map(len, run("symptoms", COLUMNS="40").out.splitlines())) <= 40
