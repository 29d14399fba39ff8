"""What `diagnose trees check` says of the rounds: every flaw of their files, or what each round holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagnose.terms import Flaw, FlawedKnowledge

if TYPE_CHECKING:
    from diagnose.knowledge.collection import Library
    from diagnose.terms.rounds import Round


@dataclass(slots=True)
class RoundVerdict:
    """What was found out about one round, in the order of the JSON document; with flaws it has no figures."""

    id: str
    tasks: int | None = None
    safety: int | None = None
    """How many of the tasks belong to even the shortest round."""
    minutes: float | None = None
    wait: float | None = None
    shipped: bool | None = None
    errors: list[dict[str, Any]] = field(default_factory=list)

    def as_json(self) -> dict[str, Any]:
        """The document's part."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class Named:
    """What the words of the command name: trees, and folders whose rounds are checked (None: no rounds)."""

    trees: tuple[str, ...]
    rounds: tuple[Path, ...] | None


def without_rounds(words: Sequence[str]) -> Named:
    """Words that name a round, a folder of rounds or a file of one are told apart from those of trees.

    A folder of trees that has a folder of rounds stands for both.
    """
    from diagnose.knowledge.collection import ROUNDS_FOLDER
    from diagnose.terms.rounds import ROUNDS

    trees, folders = [], []
    for word in words:
        if word in ROUNDS:
            continue
        path = Path(word)
        holder = path if path.is_dir() else path.parent
        if holder.name == ROUNDS_FOLDER and path.exists():
            folders.append(holder.parent)
            continue
        own = path / ROUNDS_FOLDER
        if own.is_dir():
            folders.append(path)
        if not own.is_dir() or any(path.glob("*.yaml")):
            trees.append(word)
    named = not words or bool(folders) or any(word in ROUNDS for word in words)
    rounds = tuple(dict.fromkeys(folders)) if named else None
    return Named(tuple(trees), rounds)


def judge_rounds(library: Library) -> list[RoundVerdict]:
    """One for each round, or one for each of their files that has flaws."""
    try:
        return [_held(round) for round in library.rounds(thorough=True).values()]
    except FlawedKnowledge as error:
        files = dict.fromkeys(flaw.file for flaw in error.flaws)
        return [
            RoundVerdict(Path(file).stem, errors=[_placed(flaw) for flaw in error.flaws if flaw.file == file])
            for file in files
        ]


def tell_round(verdict: RoundVerdict) -> None:
    """One line in plain words; flaws go to stderr, one a line."""
    for error in verdict.errors:
        click.echo("{file}:{line}:{column}: {message}".format(**error), err=True)
    if verdict.errors:
        many = len(verdict.errors)
        click.echo(f"rounds/{verdict.id}: {many} {'flaw' if many == 1 else 'flaws'}")
        return
    click.echo(
        f"rounds/{verdict.id}: no flaws (tasks: {verdict.tasks}, for safety: {verdict.safety}, "
        f"minutes of work: {verdict.minutes:g}, of waiting: {verdict.wait:g})"
    )


def _held(round: Round) -> RoundVerdict:
    tasks = round.tasks.values()
    return RoundVerdict(
        round.id,
        len(round.tasks),
        sum(task.safety for task in tasks),
        sum(task.minutes for task in tasks),
        sum(task.wait for task in tasks),
        round.shipped,
    )


def _placed(flaw: Flaw) -> dict[str, Any]:
    return {"file": flaw.file, "line": flaw.line, "column": flaw.column, "message": flaw.message}
