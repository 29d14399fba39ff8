"""`diagnose cases`: past cases, each command loaded when it is named."""

from __future__ import annotations

import click

from diagnose.cli import LazyGroup

COMMANDS: dict[str, str] = {
    "add": "Log a case that nobody walked.",
    "list": "List the cases that are kept.",
    "show": "Show one case: the walk as it went, and how it ended.",
    "confirm": "Say what a case turned out to be.",
    "import": "Bring in past cases from a spreadsheet.",
    "score": "Show how good the ranking has been on past cases.",
    "trends": "Show what comes back, and what would have prevented most work.",
    "export": "Give out what your cases have taught, without any vehicle's data.",
    "merge": "Let what others' cases have taught count beside your own.",
    "check": "Look whether the store is sound and its sums are right.",
    "forget": "Take cases out for good.",
    "copy": "Copy the store, to keep.",
    "restore": "Put a copy back in the store's place.",
}

command: click.Group = LazyGroup(
    "cases",
    lazy=COMMANDS,
    package=__name__,
    help="""Look at past cases and say what they turned out to be.

Every walk is kept as a case on your own machine. A case whose cause is confirmed makes the next ranking
better.

\b
Examples:
  diagnose cases add spider in flue
  diagnose cases list
  diagnose cases show 3
  diagnose cases confirm 3 regulator-blocked
  diagnose cases import fleet.xlsx
""",
)
