"""`diagnose cases`: past cases, each command loaded when it is named."""

from __future__ import annotations

import click

from diagnose.cli import LazyGroup

COMMANDS: dict[str, str] = {
    "list": "List the cases that are kept.",
    "show": "Show one case: the walk as it went, and how it ended.",
    "confirm": "Say what a case turned out to be.",
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
  diagnose cases list
  diagnose cases show 3
  diagnose cases confirm 3 regulator-blocked
""",
)
