"""`diagnose trees check`: every flaw of tree files, the proof of their routes, and what a route costs."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagnose.cli.counted import counted_as_json, counted_in_words, tally_from
from diagnose.cli.options import json_option, trees_option
from diagnose.terms import (
    Advice,
    DiagnoseError,
    Flaw,
    FlawedKnowledge,
    Role,
    Settings,
    Tree,
    WrongUsage,
)

if TYPE_CHECKING:
    from diagnose.knowledge.collection import Library
    from diagnose.reasoning.figures import Figures

HELP = """Find every flaw of tree files at once, and prove that their routes keep the safety rules.

Name files, folders or ids; nothing named means every shipped tree and the rounds, the name of a round just
the rounds. Both the owner's and the technician's route are compiled and proved; the figures are the owner's.
Nothing is changed. Exit code 1: there is a flaw.

\b
Examples:
  diagnose trees check
  diagnose trees check my-trees/heater.yaml
  diagnose trees check my-trees --json
  diagnose trees check wake-up
"""

ROLES: tuple[Role, ...] = ("owner", "technician")


@dataclass(slots=True)
class Verdict:
    """What was found out about one tree, in the shape and order of the JSON document."""

    id: str
    causes: int | None = None
    checks: int | None = None
    route_nodes: int | None = None
    expected_minutes: float | None = None
    expected_hands_on: float | None = None
    expected_wait: float | None = None
    expected_price: float | None = None
    least_minutes: float | None = None
    proved: list[int] = field(default_factory=list)
    errors: list[dict[str, Any]] = field(default_factory=list)
    advice: list[dict[str, Any]] = field(default_factory=list)
    cases: dict[str, Any] | None = None
    """What the figures learn from, where a store is named."""

    def as_json(self) -> dict[str, Any]:
        """The document's part; without a store there is nothing to say of cases."""
        return {key: value for key, value in asdict(self).items() if key != "cases" or value is not None}


@click.command(help=HELP)
@click.argument("words", nargs=-1, metavar="[PATH or ID ...]")
@click.option(
    "--cases", "store", metavar="URL", help="Let the cases kept there count in the figures; else none do."
)
@trees_option
@json_option
def command(words: tuple[str, ...], store: str | None, folders: tuple[Path, ...], as_json: bool) -> None:
    """Check tree files."""
    from diagnose.cli.settings import read_settings
    from diagnose.cli.trees.check_rounds import judge_rounds, tell_round, without_rounds
    from diagnose.knowledge.collection import Library

    library = Library(folders)
    settings = read_settings()
    named = without_rounds(words)
    ids = _named(named.trees, library) if named.trees or not words else []
    verdicts = _verdicts(ids, library, settings, store)
    rounds = None if named.rounds is None else judge_rounds(Library((*folders, *named.rounds)))
    if as_json:
        document = {"trees": [verdict.as_json() for verdict in verdicts]}
        if rounds is not None:
            document["rounds"] = [verdict.as_json() for verdict in rounds]
        click.echo(json.dumps(document, ensure_ascii=False, indent=2))
    else:
        for verdict in verdicts:
            _tell(verdict)
        for round in rounds or ():
            tell_round(round)
    if any(verdict.errors for verdict in (*verdicts, *(rounds or ()))):
        raise click.exceptions.Exit(1)


def _named(words: Sequence[str], library: Library) -> list[str]:
    """Ids and paths of files, the files of a folder instead of the folder; each once."""
    if not words:
        return list(library.ids())
    named: list[str] = []
    for word in words:
        folder = Path(word)
        if not folder.is_dir():
            named.append(word)
            continue
        files = sorted(folder.glob("*.yaml"))
        if not files:
            raise WrongUsage(f"{word} holds no tree file (*.yaml)")
        named += [str(file) if "/" in str(file) else f"./{file}" for file in files]
    return list(dict.fromkeys(named))


def _verdicts(words: list[str], library: Library, settings: Settings, store: str | None) -> list[Verdict]:
    """One for each word, in their order; several trees keep all processors busy."""
    import os
    from concurrent.futures import ProcessPoolExecutor
    from functools import partial
    from importlib import import_module

    judge = partial(_verdict, library=library, settings=settings, store=store)
    workers = min(len(words), os.cpu_count() or 1)
    if workers < 2:
        return [judge(word) for word in words]
    # Where processes are forked, what is loaded here is not loaded anew by each.
    import_module("diagnose.walking.shelf")
    import_module("diagnose.reasoning.compiling")
    import_module("networkx")
    with ProcessPoolExecutor(workers) as pool:
        return list(pool.map(judge, words))


def _verdict(word: str, library: Library, settings: Settings, store: str | None) -> Verdict:
    """Everything about one tree; what is wrong with it stands among its errors."""
    from diagnose.knowledge.catalogue_checks import check_catalogues

    try:
        tree = library.tree(word)
    except FlawedKnowledge as error:
        return Verdict(_id_of(word), errors=[_placed(flaw) for flaw in error.flaws])
    verdict = Verdict(tree.id, advice=_named_advice(tree.advice))
    flaws, translated = check_catalogues(tree, library.common())
    try:
        _prove_and_reckon(verdict, tree, library, settings, store)
    except DiagnoseError as error:
        return Verdict(tree.id, errors=[_placed(Flaw(tree.file, 1, 1, str(error)))], advice=verdict.advice)
    verdict.errors = [_placed(flaw) for flaw in flaws]
    verdict.advice += _named_advice(translated)
    return verdict


def _prove_and_reckon(
    verdict: Verdict, tree: Tree, library: Library, settings: Settings, store: str | None
) -> None:
    """Fill in the figures and the rules proved; raises UnsafeRoute and the like."""
    from diagnose.reasoning.bounds import least_minutes
    from diagnose.reasoning.figures import figures
    from diagnose.reasoning.learning import tally_of
    from diagnose.reasoning.model import build_model
    from diagnose.revising.advising import advice_on
    from diagnose.walking.places import cache_folder
    from diagnose.walking.shelf import route_for

    tally = tally_from(tree, store, settings.half_life)
    verdict.cases = counted_as_json(tally_of(tree, tally)) if store is not None else None
    others, kept = frozenset(library.ids()), cache_folder()
    models = {role: build_model(tree, role, settings, tally, others) for role in ROLES}
    routes = {role: route_for(models[role], kept) for role in ROLES}
    _fill(verdict, tree, figures(routes["owner"], models["owner"]))
    verdict.route_nodes = len(routes["owner"].nodes)
    verdict.least_minutes = least_minutes(models["owner"])
    if tally.total > 0:
        # Advice is about the file: what it says of routes must not change with the cases.
        models = {role: build_model(tree, role, settings, other_trees=others) for role in ROLES}
        routes = {role: route_for(models[role], kept) for role in ROLES}
    counted = tally if store is not None else None
    verdict.advice = _named_advice(advice_on(tree, models, routes, counted))
    # `route_for` proves each route that it hands out, and raises where a rule is broken.
    from diagnose.reasoning.proof import RULES

    verdict.proved = list(RULES)


def _fill(verdict: Verdict, tree: Tree, owner: Figures) -> None:
    verdict.causes = len(tree.causes())
    verdict.checks = len(tree.checks)
    verdict.expected_minutes = owner.expected.cost
    verdict.expected_hands_on = owner.expected.hands_on
    verdict.expected_wait = owner.expected.wait
    verdict.expected_price = owner.expected.price


def _named_advice(found: Sequence[Advice]) -> list[dict[str, Any]]:
    return [_placed(advice) | {"name": advice.name} for advice in found]


def _id_of(word: str) -> str:
    return Path(word).stem if "/" in word or word.endswith(".yaml") else word


def _placed(found: Any) -> dict[str, Any]:
    return {"file": found.file, "line": found.line, "column": found.column, "message": found.message}


def _tell(verdict: Verdict) -> None:
    """The verdict in plain words; errors go to stderr, one a line."""
    for error in verdict.errors:
        click.echo("{file}:{line}:{column}: {message}".format(**error), err=True)
    if verdict.errors:
        many = len(verdict.errors)
        click.echo(f"{verdict.id}: {many} {'flaw' if many == 1 else 'flaws'}")
    else:
        click.echo(
            f"{verdict.id}: no flaws (causes: {verdict.causes}, checks: {verdict.checks}, "
            f"steps of the route: {verdict.route_nodes})"
        )
        click.echo(
            f"  expected minutes {verdict.expected_minutes:.1f} (no route can be under "
            f"{verdict.least_minutes:.1f}): hands-on {verdict.expected_hands_on:.1f}, "
            f"waiting {verdict.expected_wait:.1f}, money {verdict.expected_price:.1f}"
        )
        click.echo(f"  safety rules proved: {', '.join(map(str, verdict.proved))} (owner and technician)")
    if verdict.cases is not None and (told := counted_in_words(verdict.cases)):
        click.echo(f"  {told}")
    for advice in verdict.advice:
        click.echo("  advice {name}: {file}:{line}:{column}: {message}".format(**advice))
