"""`diagnose trees extend`: from a case that no tree explained to the tree that knows it."""

from __future__ import annotations

from pathlib import Path

import click

from diagnose.cli.cases.agreeing import yes_option
from diagnose.cli.options import cases_option, json_option, trees_option
from diagnose.terms import WrongUsage

HELP = """Put a newly met cause into the tree of a case that it did not explain.

CASE is the number of a confirmed case, as a rule one confirmed as not-listed. Short questions ask what was
wrong, where it belongs, how often, what is done about it, and which checks show it; each answer is judged at
once. Then the whole change is shown with what follows from it. Nothing is written before you type accept. A
shipped tree is changed as a copy in your own folder (--trees).

With --answers the same steps come from a small YAML file (docs/extending.md); --yes then writes without
asking. With --json besides, the change and what follows from it are one document; without --yes nothing is
written then.

\b
Examples:
  diagnose trees extend 3 --trees my-trees
  diagnose trees extend 3 --trees my-trees --answers new-cause.yaml --yes
"""


@click.command(help=HELP)
@click.argument("case", type=int)
@click.option(
    "--answers",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="A YAML file with the steps, instead of the questions.",
)
@yes_option
@cases_option
@trees_option
@json_option
def command(
    case: int,
    answers: Path | None,
    yes: bool,
    store: str | None,
    folders: tuple[Path, ...],
    as_json: bool,
) -> None:
    """Extend a tree by one cause."""
    from diagnose.cases.refusals import NoSuchCase
    from diagnose.cli.cases.at_hand import kept_store
    from diagnose.cli.repeating import options_to_repeat
    from diagnose.cli.trees.extension import Extension

    if yes and answers is None:
        raise WrongUsage("--yes stands with --answers; at the prompt the change is accepted when it is shown")
    if as_json and answers is None:
        raise WrongUsage("--json stands with --answers; it asks nothing")
    with kept_store(store) as kept:
        if kept is None:
            raise NoSuchCase(case)
        record = kept.case(case)
        extension = Extension(record, kept, folders, options_to_repeat(store, folders))
        if as_json and answers is not None:
            extension.as_document(answers, yes=yes)
        else:
            extension.run(answers, yes=yes)
