"""The two commands that the README gives to everybody, run in a fresh clone and environment."""

from __future__ import annotations

import os
import re
import subprocess
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parent.parent.parent
MARK = re.compile(r"<!-- (start|tests) -->\n```sh\n(.*?)```", re.DOTALL)


def commands():
    return dict(MARK.findall((CHECKOUT / "README.md").read_text(encoding="utf-8")))


def test_the_readme_gives_one_command_to_start_and_one_to_test():
    assert set(commands()) == {"start", "tests"}
    for command in commands().values():
        assert command.count("\n") == 1
        assert "-m venv " in command


@pytest.fixture
def clone(tmp_path):
    """A fresh clone of what is committed, or a copy where this is no repository."""
    if not (CHECKOUT / ".git").exists():
        pytest.skip("this is no git checkout")
    target = tmp_path / "clone"
    subprocess.run(["git", "clone", "--quiet", str(CHECKOUT), str(target)], check=True)
    return target


def run(command, folder, **environment):
    kept = {
        name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "VIRTUAL_ENV"))
    }
    return subprocess.run(
        ["bash", "-euo", "pipefail", "-c", command],
        cwd=folder,
        env=kept | environment,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=900,
    )


@pytest.mark.long
@pytest.mark.timeout(1000)
def test_the_start_command_asks_what_is_wrong(clone):
    done = run(commands()["start"], clone)
    assert done.returncode == 0, done.stderr
    assert "What is wrong?" in done.stdout


@pytest.mark.long
@pytest.mark.timeout(1000)
def test_the_test_command_finds_every_test_in_its_own_environment(clone):
    # The tests are collected, not run: this is one of them.
    done = run(commands()["tests"], clone, PYTEST_ADDOPTS="--collect-only --quiet")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "tests/test_package.py" in done.stdout
