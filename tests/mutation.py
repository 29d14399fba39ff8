"""Mutation testing of one module after the other, each with the tests that concern it.

    python -m tests.mutation                                  # which modules there are, and their tests
    python -m tests.mutation reasoning/evidence rounds/due    # measures these two
    python -m tests.mutation every

Each module is measured in a copy of the project of its own, mutants/<room>/<module>/, so that what is edited
meanwhile does not come into it and the results of several modules stand side by side. A run that was
stopped goes on where it was; delete mutants/<room>/<module>/ to begin anew, which a change of the code or of
the tests asks for. `mutation_figures` tells what came of it. Needs the extra `mutation`.
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
ORDERS = ("rounds/test_bounds.py", "rounds/test_ordering.py", "rounds/test_shortest.py")
TESTS: dict[str, tuple[str, ...]] = {
    "reasoning/allowing": PROOF,
    "reasoning/proof": PROOF,
    "reasoning/proof_of_referring": PROOF,
    "reasoning/evidence": (
        "reasoning/test_evidence.py",
        "reasoning/test_readings_at_borders.py",
        "published/test_findings_and_readings.py",
        "published/test_prior_and_tables.py",
    ),
    "reasoning/readings": (
        "reasoning/test_evidence.py",
        "reasoning/test_readings_at_borders.py",
        "published/test_findings_and_readings.py",
    ),
    "reasoning/hypotheses": ("reasoning/test_hypotheses.py", "published/test_prior_and_tables.py"),
    "reasoning/expectations": (
        "reasoning/test_hypotheses.py",
        "reasoning/test_learning.py",
        "published/test_prior_and_tables.py",
    ),
    "reasoning/states": ("reasoning/test_states.py",),
    "reasoning/closing": (
        "reasoning/test_closing_and_bounds.py",
        "reasoning/test_order_of_remedies.py",
        "published/test_order_and_plan.py",
    ),
    "reasoning/learning": (
        "reasoning/test_learning.py",
        "reasoning/test_learning_returns.py",
        "reasoning/test_old_ids.py",
    ),
    "reasoning/lookahead": (
        "reasoning/test_lookahead.py",
        "reasoning/test_why.py",
        "published/test_order_and_plan.py",
    ),
    "reasoning/decisions": ("reasoning/test_decisions.py",),
    "reasoning/fitting": ("reasoning/test_fitting.py", "published/test_surprise_and_conflict.py"),
    "reasoning/intervals": ("reasoning/test_intervals.py", "reasoning/test_scores.py"),
    "reasoning/scores": ("reasoning/test_scores.py",),
    "reasoning/costing": ("reasoning/test_preferring.py", "reasoning/test_cost_of_plans.py"),
    "reasoning/importance": ("reasoning/test_importance.py",),
    "reasoning/coverage": ("reasoning/test_coverage.py",),
    "rounds/ordering": ("rounds/test_ordering.py", "rounds/test_shortest.py"),
    "rounds/jobs": ("rounds/test_jobs.py", *ORDERS),
    "rounds/bounds": ("rounds/test_bounds.py", "rounds/test_layers.py", "rounds/test_shortest.py"),
    "rounds/layers": ("rounds/test_layers.py", "rounds/test_shortest.py", "rounds/test_ordering.py"),
    "rounds/polishing": ("rounds/test_polishing.py", "rounds/test_ordering.py"),
    "rounds/shortest": ("rounds/test_shortest.py",),
    "rounds/due": ("rounds/test_due.py", "rounds/test_calendar.py"),
    "rounds/verdict": ("rounds/test_verdict*.py",),
    "rounds/fleet_chance": ("rounds/test_fleet_chance.py",),
    "walking/sheet_making": ("walking/test_sheet*.py",),
    "walking/sheet_parts": ("walking/test_sheet*.py",),
    **dict.fromkeys(
        ("practising/choosing", "practising/scoring", "practising/valuing"),
        ("practising", "published/test_practice_on_the_worked_tree.py"),
    ),
    "practising/paper": ("drawing/test_exercise_sheet.py",),
    "practising/words": ("drawing/test_exercise_sheet.py", "terminal/test_practise_screens.py"),
}
"""Room and module -> the tests run for each of its changes, under tests/; for others the whole room's."""


def files_for(module: str) -> list[str]:
    """The test files, from the project's root; raises ValueError where a pattern finds none."""
    found = []
    for pattern in TESTS.get(module, (module.split("/")[0],)):
        paths = sorted(Path("tests").glob(pattern))
        if not paths:
            raise ValueError(f"no tests at tests/{pattern}")
        found += [path.as_posix() for path in paths]
    return found


def modules() -> list[str]:
    """Every module of a room that has tests of its own, as room/module."""
    paths = sorted(Path("diagnose").glob("*/[a-z]*.py"))
    return [f"{path.parent.name}/{path.stem}" for path in paths if Path("tests", path.parent.name).exists()]


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
        f"only_mutate = {json.dumps([f'diagnose/{module}.py'])}",
        f"pytest_add_cli_args_test_selection = {json.dumps(files_for(module))}",
    )
    made, times = re.subn(r"(?m)^\[tool\.mutmut\]$", "\n".join(lines), settings)
    if times != 1:
        raise ValueError("pyproject.toml should have one table [tool.mutmut]")
    return made


def measure(module: str) -> int:
    """Runs every change of a module that has not been run, one at a time; mutmut's exit code."""
    if module not in modules():
        raise ValueError(f"no module {module} in diagnose/")
    command = [sys.executable, "-m", "mutmut", "run", "--max-children", "1"]
    return subprocess.run(command, cwd=copied(module), check=False).returncode


def main(asked: list[str]) -> int:
    """Measures what was asked for, or says what can be."""
    if not asked:
        print("\n".join(f"{module}: {' '.join(files_for(module))}" for module in modules()))
        return 0
    return max(measure(module) for module in (modules() if asked == ["every"] else asked))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
