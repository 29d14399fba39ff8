"""The tables of the page about the vehicle's card, made from the program's own.

`python -m tests.docs.vehicle_card` prints them, to be put into docs/vehicle-card.md.
"""

from __future__ import annotations

from pathlib import Path

from diagnose.knowledge.card_fields import DATES, INSTRUMENTS, DateKind

DOCS = Path(__file__).resolve().parent.parent.parent / "docs"


def dates_table() -> str:
    """One line for each date that a card may hold."""
    lines = ["| date | of | says when it | due | then |", "|---|---|---|---|---|"]
    lines += [
        f"| `{id}` | {kind.says} | {_means(kind)} | {_due(kind)} | {kind.due or 'nothing'} |"
        for id, kind in DATES.items()
    ]
    return "\n".join(lines) + "\n"


def instruments_table() -> str:
    """One line for each kind of instrument."""
    lines = ["| kind | shows | may be out by |", "|---|---|---|"]
    lines += [
        f"| `{id}` | {kind.unit} | {kind.uncertainty:g} {kind.unit} |" for id, kind in INSTRUMENTS.items()
    ]
    return "\n".join(lines) + "\n"


def _means(kind: DateKind) -> str:
    return {"made": "was made or fitted", "done": "was last done", "ends": "ends"}[kind.means]


def _due(kind: DateKind) -> str:
    if not kind.due:
        return "never"
    if kind.means == "ends":
        return f"the day after ({kind.source})"
    return f"after {kind.years} {'year' if kind.years == 1 else 'years'} ({kind.source})"


if __name__ == "__main__":
    print(dates_table())
    print(instruments_table())
