"""What a run of mutation testing came to: a row for each module, and on request each survivor's change.

    python -m tests.mutation_figures                 # the table of docs/mutation.md
    python -m tests.mutation_figures reasoning/proof # what survived in one module

Reads what `python -m tests.mutation` left in mutants/; needs the extra `mutation`.
"""

from __future__ import annotations

import contextlib
import json
import sys
from collections import Counter
from pathlib import Path

from tests.mutation import COPIES

LEFT = "mutants/diagnose"
"""Within the copy of the project in which one module was measured."""
NOTICED = {"killed", "timeout", "suspicious", "segfault", "caught by type check"}


def outcomes(meta: Path) -> dict[str, str]:
    """Mutant -> what became of it, in mutmut's words."""
    from mutmut.stats import status_by_exit_code

    return {
        key: status_by_exit_code[code]
        for key, code in json.loads(meta.read_text())["exit_code_by_key"].items()
    }


def table() -> str:
    """Markdown: mutants made, killed by a test, survived, and those that no test chosen or no run came to."""
    rows = ["| module | mutants | killed | survived | no test | not run |", "|---|--:|--:|--:|--:|--:|"]
    total: Counter[str] = Counter()
    for meta in sorted(COPIES.glob(f"*/*/{LEFT}/*/*.py.meta")):
        count = Counter(outcomes(meta).values())
        if count:
            rows.append(_row(f"`{meta.parent.name}/{meta.name.removesuffix('.meta')}`", count))
            total += count
    return "\n".join([*rows, _row("all", total)])


def _row(name: str, count: Counter[str]) -> str:
    killed = sum(count[status] for status in NOTICED)
    columns = [count.total(), killed, count["survived"], count["no tests"]]
    return f"| {name} | {' | '.join(map(str, [*columns, count.total() - sum(columns[1:])]))} |"


def survivors(module: str) -> str:
    """The lines that each survivor of a module takes away and puts in."""
    from mutmut.configuration import reset_config
    from mutmut.mutation.diff_apply import get_diff_for_mutant

    told = []
    with contextlib.chdir(COPIES / module):
        reset_config()
        for key, status in outcomes(Path(LEFT, f"{module}.py.meta")).items():
            if status == "survived":
                diff = get_diff_for_mutant(key).splitlines()[2:]
                told += [key, *(f"  {line[0]} {line[1:].strip()}" for line in diff if line[:1] in ("-", "+"))]
    return "\n".join(told)


if __name__ == "__main__":
    print("\n".join(map(survivors, sys.argv[1:])) if sys.argv[1:] else table())
