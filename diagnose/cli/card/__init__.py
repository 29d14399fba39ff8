"""`diagnose card`: the card of a vehicle, each command loaded when it is named."""

from __future__ import annotations

import click

from diagnose.cli import LazyGroup

COMMANDS: dict[str, str] = {
    "new": "Make a card, one short question at a time.",
    "check": "Find every flaw of a card, and say what is due.",
    "dates": "What is due and when; also as a file for a calendar.",
    "print": "The locker card: one page in large type.",
}

command: click.Group = LazyGroup(
    "card",
    lazy=COMMANDS,
    package=__name__,
    help="""Make, check and print the card of a vehicle: what is true of it, where its parts are, what is due.

\b
Examples:
  diagnose card new                  that of your own vehicle
  diagnose card new blue-van.yaml    one for another vehicle
  diagnose walk no warm air --vehicle blue-van.yaml
  diagnose card dates blue-van.yaml
  diagnose card print blue-van.yaml -o locker-card.html
""",
)
