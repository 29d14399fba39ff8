"""The table of what is measured by mutation testing names modules and tests that exist."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from tests.mutation import TESTS, _for_one, files_for, measure, modules


@pytest.mark.parametrize("module", TESTS)
def test_each_module_of_the_table_exists_and_so_do_its_tests(module):
    assert module in modules()
    assert all(Path(path).exists() for path in files_for(module))


def test_a_copy_for_one_module_changes_that_module_and_runs_its_tests_alone():
    settings = Path("pyproject.toml").read_text()
    made = tomllib.loads(_for_one("reasoning/scores", settings))
    mutmut = made["tool"]["mutmut"]
    assert mutmut.pop("only_mutate") == ["diagnose/reasoning/scores.py"]
    assert mutmut.pop("pytest_add_cli_args_test_selection") == ["tests/reasoning/test_scores.py"]
    assert made == tomllib.loads(settings)


def test_a_module_that_is_not_in_the_table_is_measured_with_all_tests_of_the_room():
    assert "reasoning/bounds" not in TESTS
    assert files_for("reasoning/bounds") == ["tests/reasoning"]


def test_a_module_that_does_not_exist_is_refused():
    with pytest.raises(ValueError, match="no module rounds/nothing"):
        measure("rounds/nothing")
