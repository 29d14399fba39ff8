"""The two commands that the README gives to everybody, run in a fresh clone and environment."""

from __future__ import annotations

import json
import os
import re
import shutil
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
def test_the_start_command_asks_what_is_wrong_and_what_it_installs_walks_a_tree_by_itself(clone, tmp_path):
    done = run(commands()["start"], clone)
    assert done.returncode == 0, done.stderr
    assert "What is wrong?" in done.stdout
    # The command builds a wheel and installs that, so what is left works without anything of the checkout.
    for path in clone.iterdir():
        if path.name != ".venv":
            shutil.rmtree(path) if path.is_dir() else path.unlink()
    programs = clone / ".venv" / "bin"
    where = run(f"{programs}/python -c 'import diagnose; print(diagnose.__file__)'", tmp_path).stdout.strip()
    assert Path(where).is_relative_to(clone / ".venv")
    (tmp_path / "answers.yaml").write_text("battery-harmed: no\n", encoding="utf-8")
    done = run(f"{programs}/diagnose walk engine-no-crank --answers answers.yaml --json", tmp_path)
    assert done.returncode == 0, done.stderr
    walked = json.loads(done.stdout)
    assert walked["symptom"] == "engine-no-crank"
    assert walked["next"]["kind"] == "check"
    assert sum(line["share"] for line in walked["ranking"]) == pytest.approx(1.0)


@pytest.mark.long
@pytest.mark.timeout(1000)
def test_the_test_command_finds_every_test_in_its_own_environment(clone):
    # The tests are collected, not run: this is one of them.
    done = run(commands()["tests"], clone, PYTEST_ADDOPTS="--collect-only --quiet")
    assert done.returncode == 0, done.stdout + done.stderr
    assert "tests/test_package.py" in done.stdout
