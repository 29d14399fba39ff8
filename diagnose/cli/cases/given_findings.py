"""Findings on the command line: `--finding CHECK=ANSWER`, read as strictly as a file of answers."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING

from diagnose.terms import FlawedKnowledge, WrongUsage

if TYPE_CHECKING:
    from diagnose.terms import Finding, Tree


def checks_named(given: Sequence[str]) -> tuple[str, ...]:
    """The checks before the equals signs; raises WrongUsage for what has none."""
    for each in given:
        if not all(part.strip() for part in each.partition("=")[::2]):
            raise WrongUsage(f'--finding {each}: write it like --finding "rest-volts=12.1 V"')
    return tuple(each.partition("=")[0].strip() for each in given)


def findings_given(given: Sequence[str], tree: Tree) -> tuple[Finding, ...]:
    """The findings, in the tree's own order; raises WrongUsage with everything that is wrong, a line each."""
    from diagnose.walking.answers import read_answers

    if not given:
        return ()
    pairs = zip(checks_named(given), (each.partition("=")[2].strip() for each in given), strict=True)
    # Quoted as JSON: what was typed is text, and no sign in it means anything in YAML.
    text = "".join(f"{json.dumps(check)}: {json.dumps(answer)}\n" for check, answer in pairs)
    try:
        answers = read_answers(text, "--finding", tree)
    except FlawedKnowledge as wrong:
        told = [f"--finding {given[flaw.line - 1]}: {flaw.message}" for flaw in wrong.flaws]
        raise WrongUsage("\n".join(told)) from wrong
    if answers.tried:
        raise WrongUsage(f"--finding {next(iter(answers.tried))} is a cause; what was found is of a check")
    return answers.findings
