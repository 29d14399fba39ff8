"""`diagnose trees schema` as it is run."""

from __future__ import annotations

import json

from diagnose.knowledge.collection import Library
from diagnose.knowledge.schema import tree_schema


def test_the_schema_alone_stands_on_standard_output(run):
    ran = run("trees", "schema")
    assert (ran.code, ran.err) == (0, "")
    assert json.loads(ran.out) == tree_schema(Library().common())


def test_a_file_is_written_anew_each_time(run, tmp_path):
    (tmp_path / "tree.schema.json").write_text("old", encoding="utf-8")
    ran = run("trees", "schema", "-o", "tree.schema.json")
    assert (ran.code, ran.out, ran.err) == (0, "tree.schema.json is written.\n", "")
    written = json.loads((tmp_path / "tree.schema.json").read_text(encoding="utf-8"))
    assert written == tree_schema(Library().common())


def test_a_folder_that_is_not_there_is_told(run):
    ran = run("trees", "schema", "-o", "nowhere/x.json")
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == "there is no folder nowhere\n"
