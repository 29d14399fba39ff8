"""The package as it is installed: what it ships, what it imports when, and what it depends on."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import tomllib
import venv
from pathlib import Path

import pytest

import diagnose

CHECKOUT = Path(__file__).resolve().parent.parent
HEAVY = (
    "graphviz",
    "jinja2",
    "networkx",
    "numpy",
    "openpyxl",
    "pint",
    "prompt_toolkit",
    "psycopg",
    "rich",
    "scipy",
    "sqlalchemy",
)


def project():
    return tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def imported_after(code):
    """The heavy modules that a fresh Python holds after running the code."""
    listing = f"import json, sys; print('\\n' + json.dumps([m for m in {HEAVY!r} if m in sys.modules]))"
    script = f"try:\n  {code}\nexcept SystemExit: pass\n{listing}"
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=CHECKOUT, capture_output=True, text=True, check=True
    )
    return json.loads(done.stdout.splitlines()[-1])


@pytest.mark.parametrize("words", [["--help"], ["--version"], ["no-such-command"], ["walk", "--help"]])
def test_help_version_and_wrong_usage_import_nothing_heavy(words):
    assert imported_after(f"from diagnose.cli import main; main({words!r})") == []


@pytest.mark.parametrize("words", [["gauge"], ["gauge", "battery-charge", "12.4 V"], ["gauge", "5 bar"]])
def test_gauges_answer_without_anything_heavy(words):
    assert imported_after(f"from diagnose.cli import main; main({words!r})") == []


def test_knowledge_is_read_without_anything_heavy():
    assert imported_after("import diagnose.knowledge.collection") == []


def test_every_dependency_has_a_lower_bound_and_no_upper_one():
    optional = project()["optional-dependencies"].values()
    listed = [*project()["dependencies"], *(each for group in optional for each in group)]
    assert listed
    for requirement in listed:
        assert re.fullmatch(r"[a-z][a-z0-9-]*(\[[a-z]+\])?>=[0-9.]+", requirement), requirement


def test_the_installed_trees_are_those_of_the_checkout():
    wheel = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["hatch"]["build"]
    assert wheel["targets"]["wheel"]["force-include"] == {"trees": "diagnose/_trees"}
    assert list((CHECKOUT / "trees").glob("*.yaml"))


def test_the_top_level_holds_what_it_should_and_no_more():
    wanted = {"README.md", "DEVELOPERS.md", "pyproject.toml", "diagnose", "trees", "tests", "docs", "LICENSE"}
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=CHECKOUT, capture_output=True, text=True, check=False
    ).stdout.split("\0")
    top = {name.split("/")[0] for name in listed if name}
    if not top:
        pytest.skip("this is no git checkout")
    assert {name for name in top if not name.startswith(".")} == wanted


@pytest.mark.long
def test_the_wheel_walks_a_tree_in_an_empty_environment_away_from_the_checkout(tmp_path):
    built = tmp_path / "built"
    run([sys.executable, "-m", "build", "--wheel", "--outdir", str(built), str(CHECKOUT)], tmp_path)
    (wheel,) = built.glob("*.whl")
    venv.create(tmp_path / "empty", with_pip=True)
    python = tmp_path / "empty" / "bin" / "python"
    run([str(python), "-m", "pip", "install", "--quiet", str(wheel)], tmp_path)
    where = run([str(python), "-c", "import diagnose; print(diagnose.__file__)"], tmp_path).strip()
    assert Path(where).is_relative_to(tmp_path / "empty")
    answers = tmp_path / "answers.yaml"
    answers.write_text("battery-harmed: no\n", encoding="utf-8")
    command = [
        str(python.with_name("diagnose")),
        "walk",
        "engine-no-crank",
        "--answers",
        str(answers),
        "--json",
    ]
    walked = json.loads(run(command, tmp_path))
    assert walked["symptom"] == "engine-no-crank"
    assert walked["next"]["kind"] == "check"
    assert sum(line["share"] for line in walked["ranking"]) == pytest.approx(1.0)


def run(command, folder):
    """What a command prints, run in a folder of its own with nothing of the checkout in its way."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, timeout=600)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_version_is_one_and_the_same_everywhere():
    done = subprocess.run(
        [sys.executable, "-m", "diagnose", "--version"], cwd=CHECKOUT, capture_output=True, text=True
    )
    assert done.stdout == f"diagnose {diagnose.__version__}\n"
    assert "version" in project()["dynamic"]
