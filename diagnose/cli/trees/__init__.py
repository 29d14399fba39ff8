"""`diagnose trees`: the technician's commands over tree files, each loaded when it is named."""

from __future__ import annotations

import click

from diagnose.cli import LazyGroup

COMMANDS: dict[str, str] = {
    "check": "Find every flaw of tree files, and prove their routes safe.",
    "extend": "Put a newly met cause into the tree of a case that it did not explain.",
    "fit": "Write into a file what its past cases clearly say otherwise.",
    "new": "Begin the tree of a symptom that no tree has yet.",
    "rename": "Give a cause, check or event another id; past cases still count.",
    "replay": "Hold two versions of a tree against all past cases.",
    "report": "Show how good a tree is: what it reaches, costs and loses.",
    "schema": "Write the JSON Schema of a tree file, for your editor.",
    "translate": "Write a tree's texts for a translator, or bring a translation up to date.",
}

command: click.Group = LazyGroup(
    "trees",
    lazy=COMMANDS,
    package=__name__,
    help="""Look after the files that hold the knowledge.

\b
Example:
  diagnose trees check my-trees/heater.yaml
""",
)
