"""Mutation testing of one module of the reasoning after the other, each with the tests that concern it.

    python -m tests.reasoning.mutation                     # which modules there are, and their tests
    python -m tests.reasoning.mutation evidence readings   # measures these two
    python -m tests.reasoning.mutation every

Each module is measured in a copy of the project of its own, mutants/<module>/, so that what is edited
meanwhile does not come into it and the results of several modules stand side by side. A run that was
stopped goes on where it was; delete mutants/<module>/ to begin anew, which a change of the code or of the
tests asks for. `mutation_figures` tells what came of it. Needs the extra `mutation`.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

COPIES = Path("mutants")
COPIED = ("diagnose", "docs", "tests", "trees", "pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE")

PROOF = (
    "reasoning/test_allowing.py",
    "reasoning/test_proof*.py",
    "reasoning/test_what_a_person_cannot_do.py",
)
TESTS: dict[str, tuple[str, ...]] = {
    "allowing": PROOF,
    "proof": PROOF,
    "proof_of_referring": PROOF,
    "evidence": (
        "reasoning/test_evidence.py",
        "reasoning/test_readings_at_borders.py",
        "published/test_findings_and_readings.py",
        "published/test_prior_and_tables.py",
    ),
    "readings": (
        "reasoning/test_evidence.py",
        "reasoning/test_readings_at_borders.py",
        "published/test_findings_and_readings.py",
    ),
    "hypotheses": ("reasoning/test_hypotheses.py", "published/test_prior_and_tables.py"),
    "expectations": (
        "reasoning/test_hypotheses.py",
        "reasoning/test_learning.py",
        "published/test_prior_and_tables.py",
    ),
    "states": ("reasoning/test_states.py",),
    "closing": (
        "reasoning/test_closing_and_bounds.py",
        "reasoning/test_order_of_remedies.py",
        "published/test_order_and_plan.py",
    ),
    "learning": (
        "reasoning/test_learning.py",
        "reasoning/test_learning_returns.py",
        "reasoning/test_old_ids.py",
    ),
    "lookahead": (
        "reasoning/test_lookahead.py",
        "reasoning/test_why.py",
        "published/test_order_and_plan.py",
    ),
    "decisions": ("reasoning/test_decisions.py",),
    "fitting": ("reasoning/test_fitting.py", "published/test_surprise_and_conflict.py"),
    "intervals": ("reasoning/test_intervals.py", "reasoning/test_scores.py"),
    "scores": ("reasoning/test_scores.py",),
    "costing": ("reasoning/test_preferring.py", "reasoning/test_cost_of_plans.py"),
}
"""Module of diagnose/reasoning -> the tests that are run for each of its changes, under tests/."""
OTHERS = ("reasoning",)
"""For a module that is not named above: all tests of the room, which is thorough and slow."""


def files_for(module: str) -> list[str]:
    """The test files, from the project's root; raises ValueError where a pattern finds none."""
    found = []
    for pattern in TESTS.get(module, OTHERS):
        paths = sorted(Path("tests").glob(pattern))
        if not paths:
            raise ValueError(f"no tests at tests/{pattern}")
        found += [path.as_posix() for path in paths]
    return found


def copied(module: str) -> Path:
    """The project's copy in which a module is measured, made where it is not there."""
    home = COPIES / module
    if not home.exists():
        for name in COPIED:
            made = home / name
            made.parent.mkdir(parents=True, exist_ok=True)
            if Path(name).is_dir():
                shutil.copytree(name, made, ignore=shutil.ignore_patterns("__pycache__"))
            else:
                shutil.copy2(name, made)
        settings = home / "pyproject.toml"
        settings.write_text(_for_one(module, settings.read_text()))
    return home


def _for_one(module: str, settings: str) -> str:
    """pyproject.toml with what to change and what to run (a list in JSON is one in TOML, too)."""
    lines = (
        "[tool.mutmut]",
        f"only_mutate = {json.dumps([f'diagnose/reasoning/{module}.py'])}",
        f"pytest_add_cli_args_test_selection = {json.dumps(files_for(module))}",
    )
    made, times = re.subn(r"(?m)^\[tool\.mutmut\]$", "\n".join(lines), settings)
    if times != 1:
        raise ValueError("pyproject.toml should have one table [tool.mutmut]")
    return made


def measure(module: str) -> int:
    """Runs every change of a module that has not been run, one at a time; mutmut's exit code."""
    if not Path("diagnose/reasoning", f"{module}.py").exists():
        raise ValueError(f"no module {module} in diagnose/reasoning")
    command = [sys.executable, "-m", "mutmut", "run", "--max-children", "1"]
    return subprocess.run(command, cwd=copied(module), check=False).returncode


def main(asked: list[str]) -> int:
    """Measures what was asked for, or says what can be."""
    every = sorted(path.stem for path in Path("diagnose/reasoning").glob("[a-z]*.py"))
    if not asked:
        print("\n".join(f"{module}: {' '.join(TESTS.get(module, OTHERS))}" for module in every))
        return 0
    return max(measure(module) for module in (every if asked == ["every"] else asked))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
