"""`diagnose cases check`: is the store sound, and are its sums what its cases come to?"""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagnose.cli.cases.agreeing import agreed, yes_option
from diagnose.cli.cases.at_hand import folders_at_hand, kept_store, shown_place
from diagnose.cli.cases.merge import standing_as_json
from diagnose.cli.options import cases_option, json_option, trees_option
from diagnose.cli.repeating import options_to_repeat
from diagnose.terms import DiagnoseError, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.checking import Difference
    from diagnose.cases.store import CaseStore
    from diagnose.terminal.case_check import Checked

HELP = """Look whether the store is sound, and count all sums anew from the cases.

Every sum that differs is told. So are confirmed causes that their tree has no more, and symptoms without a
tree at hand: those cases count for nothing. With --mend the sums are set to what the cases come to. Exit
code 1: something differs, or the file is not sound.

\b
Examples:
  diagnose cases check
  diagnose cases check --mend
  diagnose cases check --json
"""


@click.command(help=HELP)
@click.option("--mend", "wanted", is_flag=True, help="Set the sums that differ to what the cases come to.")
@yes_option
@cases_option
@trees_option
@json_option
def command(wanted: bool, yes: bool, store: str | None, folders: tuple[Path, ...], as_json: bool) -> None:
    """Check the store."""
    from diagnose.terminal.case_check import check_told, mended_told
    from diagnose.terminal.layout import Page

    if yes and not wanted:
        raise WrongUsage("--yes goes with --mend; without that nothing is changed")
    if wanted and as_json and not yes:
        raise WrongUsage("--mend with --json asks nothing; write --yes with it")
    width = shutil.get_terminal_size().columns
    with kept_store(store) as kept:
        if kept is None:
            raise DiagnoseError(f"no case is kept yet in {shown_place(store)}; there is nothing to check")
        checked = _checked(kept, folders)
        page = check_told(checked, width, options_to_repeat(store, folders), to_mend=not wanted)
        mended: tuple[Difference, ...] | None = None
        if not as_json and not (wanted and checked.differences and not yes):
            click.echo(page.text())
        if wanted and checked.differences:
            if not agreed(page, "Set them right? Type the whole word: yes or no.", yes=yes):
                click.echo("Nothing was changed.")
                raise click.exceptions.Exit(1)
            mended = _mended(kept)
    if as_json:
        document = _as_json(checked) | {"mended": mended is not None}
        click.echo(json.dumps(document, ensure_ascii=False, indent=2))
    elif mended is not None:
        click.echo(Page(width).say(mended_told(mended)).text())
    if checked.unsound or (checked.differences and mended is None):
        raise click.exceptions.Exit(1)


def _mended(kept: CaseStore) -> tuple[Difference, ...]:
    from diagnose.cases.checking import mend

    return mend(kept)


def _checked(kept: CaseStore, folders: tuple[Path, ...]) -> Checked:
    from diagnose.cases.checking import differences, integrity, journals_of_wrong_length
    from diagnose.cases.checking_places import by_confirmed_cause, by_symptom, opened_after, with_numbers
    from diagnose.cases.checking_places import numbers as numbers_of
    from diagnose.cases.merging import merged_causes, standing
    from diagnose.cases.rounds_store import rounds_of_wrong_length
    from diagnose.knowledge.collection import Library
    from diagnose.terminal.case_check import Checked
    from diagnose.terminal.case_list import day

    places = _Places(Library(folders_at_hand(folders)))
    unsound = integrity(kept)
    with kept.reading() as connection:
        found = differences(connection)
        lengths = journals_of_wrong_length(connection)
        of_rounds = rounds_of_wrong_length(connection)
        total, confirmed, sums = numbers_of(connection)
        gone = [each for each in by_confirmed_cause(connection) if places.lacks(each.symptom, each.cause)]
        missing = [each for each in by_symptom(connection) if places.tree(each.symptom) is None]
        gone, missing = ([with_numbers(connection, each) for each in some] for some in (gone, missing))
        others = tuple(merged_causes(connection))
        ahead = opened_after(connection, datetime.now(UTC))
    unsound += tuple(f"case {case} should have {told} lines and has {n}" for case, told, n in lengths)
    unsound += tuple(f"round {id} should have {told} lines and has {n}" for id, told, n in of_rounds)
    unsound += tuple(
        f"case {case} was opened on {day(moment)}, which is yet to come" for case, moment in ahead
    )
    return Checked(
        total,
        confirmed,
        sums,
        found,
        unsound,
        gone=tuple(gone),
        without_tree=tuple(missing),
        merged_gone=tuple(each for each in others if places.lacks(each[0], each[1])),
        standing=standing(kept),
    )


class _Places:
    """Which causes the trees at hand have, `was` resolved; each tree is read once."""

    def __init__(self, library: Any) -> None:
        self._library = library
        self._trees: dict[str, Any] = {}

    def tree(self, symptom: str) -> Any:
        """The tree, or None where it is not at hand or broken."""
        if symptom not in self._trees:
            try:
                self._trees[symptom] = self._library.tree(symptom) if symptom in self._library.ids() else None
            except DiagnoseError:
                self._trees[symptom] = None
        return self._trees[symptom]

    def lacks(self, symptom: str, cause: str) -> bool:
        """Whether there is a tree, and it has no such cause."""
        from diagnose.reasoning.learning import without_place
        from diagnose.terms import Tally

        tree = self.tree(symptom)
        return tree is not None and bool(without_place(tree, Tally({cause: 1.0})))


def _as_json(checked: Checked) -> dict[str, Any]:
    return {
        "cases": checked.cases,
        "confirmed": checked.confirmed,
        "differences": [
            {"table": each.table, **each.named(), "kept": each.kept, "counted": each.counted}
            for each in checked.differences
        ],
        "unsound": list(checked.unsound),
        "cause_gone": [
            {"symptom": each.symptom, "cause": each.cause, "cases": each.cases, "numbers": list(each.numbers)}
            for each in checked.gone
        ],
        "tree_not_at_hand": [
            {"symptom": each.symptom, "cases": each.cases, "numbers": list(each.numbers)}
            for each in checked.without_tree
        ],
        "merged_cause_gone": [
            {"symptom": symptom, "cause": cause, "cases": cases}
            for symptom, cause, cases in checked.merged_gone
        ],
        "standing": [standing_as_json(each) for each in checked.standing],
    }
