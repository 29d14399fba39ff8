"""The package as it is installed: what it ships, what it imports when, and what it depends on."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
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
    "polib",
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


def test_the_version_is_one_and_the_same_everywhere():
    done = subprocess.run(
        [sys.executable, "-m", "diagnose", "--version"], cwd=CHECKOUT, capture_output=True, text=True
    )
    assert done.stdout == f"diagnose {diagnose.__version__}\n"
    assert "version" in project()["dynamic"]
