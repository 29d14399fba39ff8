"""`diagnose trees rename`: the change is shown, waits for a yes, and is written whole or not at all."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from diagnose.knowledge.collection import shipped_folder
from tests.terminal.conftest import LAMP


@pytest.fixture
def file(tmp_path: Path) -> Path:
    folder = tmp_path / "trees"
    folder.mkdir()
    path = folder / "lamp-dark.yaml"
    path.write_text(LAMP)
    return path


def test_with_yes_the_change_is_shown_and_written(run, file):
    ran = run("trees", "rename", "trees/lamp-dark.yaml", "bulb-gone", "bulb-blown", "--yes")
    assert (ran.code, ran.err) == (0, "")
    assert file.read_text() == LAMP.replace("    bulb-gone:", "    bulb-blown:").replace(
        "      prevent: Keep two bulbs of the right kind in the drawer\n",
        "      prevent: Keep two bulbs of the right kind in the drawer\n      was: bulb-gone\n",
    )
    assert "-    bulb-gone:\n+    bulb-blown:\n" in ran.out
    assert "trees/lamp-dark.yaml is written. What past cases have under bulb-gone counts" in ran.out
    assert run("trees", "check", "trees/lamp-dark.yaml").code == 0


def test_the_diff_is_what_the_program_patch_takes(run, file, tmp_path):
    ran = run("trees", "rename", "trees/lamp-dark.yaml", "bulb-gone", "bulb-blown")
    assert ran.code == 2
    assert ran.err.endswith("nobody can be asked here; with --yes the change is written\n")
    assert file.read_text() == LAMP
    subprocess.run(["patch", "-s", str(file)], input=ran.out, text=True, check=True, cwd=tmp_path)
    assert "bulb-blown" in file.read_text()


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("trees/lamp-dark.yaml", "bulb-gone", "line-dead"), '"line-dead" is a cause of lamp-dark already'),
        (("trees/lamp-dark.yaml", "bulb", "x"), '"bulb" is no cause, check or event of lamp-dark'),
        (("trees/none.yaml", "bulb", "x"), "trees/none.yaml:1:1: there is no such file"),
        (("heater-no-fire", "flue-nest", "x"), "name a folder of your own trees with --trees"),
    ],
)
def test_what_cannot_be_is_one_clear_line_and_the_file_is_untouched(run, file, arguments, message):
    ran = run("trees", "rename", *arguments, "--yes")
    assert (ran.code, ran.out) == (1, "")
    assert message in ran.err
    assert ran.err.count("\n") == 1
    assert file.read_text() == LAMP


def test_a_broken_tree_tells_its_flaws_and_stays(run, file):
    file.write_text(LAMP.replace("in_100: 40", "in_100: 400"))
    ran = run("trees", "rename", "trees/lamp-dark.yaml", "bulb-gone", "bulb-blown", "--yes")
    assert ran.code == 1
    assert "trees/lamp-dark.yaml:12:15:" in ran.err
    assert "bulb-blown" not in file.read_text()


def test_a_shipped_tree_becomes_a_copy_of_ones_own(run, file):
    shipped = shipped_folder() / "heater-no-fire.yaml"
    before = shipped.read_bytes()
    ran = run("trees", "rename", "heater-no-fire", "flue-nest", "flue-blocked", "--yes", "--trees", "trees")
    assert ran.code == 0
    assert "what to send to the project" in " ".join(ran.out.split())
    assert shipped.read_bytes() == before
    copy = file.parent / "heater-no-fire.yaml"
    assert copy.read_bytes().count(b"flue-blocked") == 2
    again = run("trees", "rename", "heater-no-fire", "flue-blocked", "flue-full", "--yes", "--trees", "trees")
    assert again.code == 0
    assert b"was: [flue-nest, flue-blocked]" in copy.read_bytes()
