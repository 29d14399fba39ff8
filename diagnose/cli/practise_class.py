"""Results as a class hands them in, on the command line or in files: each is done again and scored."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from diagnose.cli.output import write_out
from diagnose.cli.practise_at_hand import AtHand, read_text
from diagnose.terms import DiagnoseError, WrongUsage

if TYPE_CHECKING:
    from diagnose.practising.scoring import Score


def print_class(at_hand: AtHand, words: tuple[str, ...], target: Path | None, as_json: bool) -> int:
    """The class table, or the exercises as JSON; the exit code. What cannot be read is told, line by line."""
    from diagnose.practising.class_table import as_csv, row_of
    from diagnose.practising.document import as_document

    if not words:
        raise WrongUsage('--class wants results, such as "robin 0000-..." or files with one on each line')
    found, faults = results(at_hand, words)
    if as_json:
        told = [as_document(score, learner) for learner, score in found]
        document = {"results": told, "errors": [_error(fault) for fault in faults]}
        write_out(json.dumps(document, ensure_ascii=False, indent=2) + "\n", target)
        return 1 if faults else 0
    write_out(as_csv(row_of(learner, score) for learner, score in found), target)
    for fault in faults:
        click.echo(fault, err=True)
    return 1 if faults else 0


def results(at_hand: AtHand, words: tuple[str, ...] | list[str]) -> tuple[list[tuple[str, Score]], list[str]]:
    """Learner's label and score of each line, a line handed in twice once; and a text for each bad line."""
    from diagnose.practising.class_table import handed_in
    from diagnose.practising.result_code import read_result
    from diagnose.practising.scoring import scored

    found: dict[tuple[str, str], tuple[str, Score]] = {}
    faults = []
    for place, line in _lines(words):
        if _is_meant_as_a_file(line):
            faults.append(f"{place}: there is no file {line}")
            continue
        try:
            handed = handed_in(line)
            practice = read_result(handed.code, at_hand.by_tag)
        except DiagnoseError as error:
            faults.append(f"{place}: {error}")
            continue
        found.setdefault((handed.learner, handed.code), (handed.learner, scored(practice)))
    return list(found.values()), faults


def _lines(words: tuple[str, ...] | list[str]) -> list[tuple[str, str]]:
    """Every line with its place: a word that is a file's name stands for the lines of that file."""
    lines = []
    for number, word in enumerate(words, 1):
        if Path(word).is_file():
            text = read_text(Path(word))
            told = [(f"{word}:{at}", line.strip()) for at, line in enumerate(text.splitlines(), 1)]
            lines += [(place, line) for place, line in told if line and not line.startswith("#")]
        else:
            lines.append((f"result {number}", word))
    return lines


def _is_meant_as_a_file(line: str) -> bool:
    """Whether a line is one word that no result is, but the name of a file may be."""
    return " " not in line.strip() and bool(Path(line).suffix) and not Path(line).is_file()


def _error(fault: str) -> dict[str, str | None]:
    return {"file": None, "line": None, "column": None, "message": fault}
