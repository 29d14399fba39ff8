"""Which options of `diagnose practise` go together: what would have no effect is refused."""

from __future__ import annotations

from collections.abc import Mapping

import click
from click.core import ParameterSource

from diagnose.terms import WrongUsage

NAMES: Mapping[str, str] = {
    "code": "--exercise",
    "seed": "--seed",
    "by": "--by",
    "level": "--level",
    "earlier": "--earlier",
    "fault": "--fault",
    "role": "--as",
    "trainer": "--trainer",
    "learner": "--learner",
    "script": "--choices",
    "sheet": "--sheet",
    "form": "--format",
    "of_class": "--class",
    "target": "-o",
    "as_json": "--json",
}
_AN_EXERCISE = ("code", "seed", "by", "level", "earlier", "fault", "role")
NEVER_WITH: tuple[tuple[str, tuple[str, ...], str], ...] = (
    (
        "of_class",
        (*_AN_EXERCISE, "trainer", "learner", "script", "sheet", "form"),
        "reads what has been done",
    ),
    ("code", _AN_EXERCISE[1:], "names fault, seed and role already"),
    ("fault", ("by",), "says which fault is hidden"),
    ("trainer", ("as_json",), "asks the trainer"),
    ("sheet", ("trainer", "as_json", "script"), "is done on paper"),
)
"""(option, what it rules out, why)."""


def refuse_what_does_not_go_together(words: tuple[str, ...]) -> None:
    """Raises WrongUsage for the command line at hand if it asks for two things at once, or for none."""
    given = _given()
    for name, others, why in NEVER_WITH:
        against = [NAMES[each] for each in others if each in given]
        if name in given and against:
            raise WrongUsage(f"{NAMES[name]} {why}, so leave out {' and '.join(against)}")
    _refuse_what_is_missing(given, words)


def _given() -> frozenset[str]:
    """The names of all parameters that stand on the command line."""
    context = click.get_current_context()
    written = (ParameterSource.COMMANDLINE, ParameterSource.ENVIRONMENT)
    return frozenset(name for name in NAMES if context.get_parameter_source(name) in written)


def _refuse_what_is_missing(given: frozenset[str], words: tuple[str, ...]) -> None:
    if "of_class" in given:
        return
    if "code" not in given and not words:
        raise WrongUsage("which symptom? Write: diagnose practise ID (they are listed by: diagnose symptoms)")
    if len(words) > 1:
        raise WrongUsage(f'one ID is wanted, not "{" ".join(words)}"; results go behind --class')
    if "level" in given and click.get_current_context().params["by"] != "difficulty":
        raise WrongUsage("--level goes with --by difficulty")
    if ("earlier" in given) != (click.get_current_context().params["by"] == "misses"):
        raise WrongUsage("--by misses and --earlier FILE go together")
    if "form" in given and "sheet" not in given:
        raise WrongUsage("--format is for --sheet; an exercise itself is shown on the screen")
    if "target" in given and "sheet" not in given:
        raise WrongUsage("-o is for --sheet and --class; an exercise itself is shown on the screen")
