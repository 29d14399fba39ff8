"""`diagnose cases import`: a job history brought in."""

from __future__ import annotations

from contextlib import ExitStack
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagnose.cli.cases.at_hand import folders_at_hand, kept_store
from diagnose.cli.cases.import_told import Asked, mapping_place, refusal, tell, told_of, with_hint
from diagnose.cli.options import cases_option, json_option, trees_option
from diagnose.terms import WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.bulk import Written
    from diagnose.cases.import_cases import Report
    from diagnose.cases.import_mapping import ImportMapping
    from diagnose.cases.import_refused import RefusedRows
    from diagnose.cases.import_run import History, Spool
    from diagnose.terminal.console import Console

HELP = """Bring in past cases from a spreadsheet (CSV or XLSX) or from JSON Lines.

FILE has a row of names: case, date, symptom, cause, vehicle, perhaps state, and any column that is a check's
id. Ids and the trees' own words are understood by themselves. For other words there is a mapping: at a
terminal it is asked for, shown and kept beside FILE, and found again the next time. What is only nearly a
known word is never guessed.

All rows come in or none, unless you say --take-good. The same number from the same source counts once, so the
same file may come in again with new rows below. Keep names and number plates out.

\b
Examples:
  diagnose cases import fleet.xlsx --dry-run
  diagnose cases import fleet.xlsx
  diagnose cases import fleet-2027.xlsx --source fleet
  diagnose cases import fleet.csv --take-good --refused to-mend.csv
"""


@click.command(help=HELP)
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@click.option("--source", default="", metavar="NAME", help="Whose numbers these are; else FILE's name.")
@click.option("--dry-run", is_flag=True, help="Show what would come in and what not; keep nothing.")
@click.option("--take-good", is_flag=True, help="Bring in the good rows though others are refused.")
@click.option(
    "--mapping", "mapping_file", type=click.Path(path_type=Path), metavar="FILE",
    help="How words are read; else the one kept beside FILE.",
)  # fmt: skip
@click.option(
    "--refused", type=click.Path(path_type=Path), metavar="FILE",
    help="Write the rows that stay out to a new file of the same kind, with the reason.",
)  # fmt: skip
@click.option("--plates", is_flag=True, help="Take labels that look like number plates.")
@click.option("--guided", is_flag=True, help="Ask for the mapping also where no terminal is.")
@click.option(
    "-o", "--output", type=click.Path(path_type=Path), metavar="FILE", help="Where a new mapping is kept."
)
@cases_option
@trees_option
@json_option
def command(**words: Any) -> None:
    """Bring in past cases."""
    from diagnose.knowledge.collection import Library
    from diagnose.terminal.dangers import DangerTold, stop_before_a_walk

    asked = Asked(**words)
    library = Library(folders_at_hand(asked.folders))
    try:
        _bring_in(asked, _history(asked, library))
    except DangerTold as told:
        from diagnose.terminal.endings import stopped_end

        end = stop_before_a_walk(told.heard, library.common().referrals, ("112",))
        console = _console()
        console.show(stopped_end(end, console.width()).lines)
    except EOFError:
        click.echo("Nothing was kept.")


def _history(asked: Asked, library: Any) -> History:
    from diagnose.cases.import_known import KnownIds
    from diagnose.cases.import_mapping import ImportMapping
    from diagnose.cases.import_run import History, mapping_for
    from diagnose.knowledge.collection import shown

    mapping = mapping_for(asked.file, asked.mapping_file, asked.source) or ImportMapping()
    return History(asked.file, shown(asked.file), KnownIds(library), datetime.now(UTC), mapping, asked.plates)


def _bring_in(asked: Asked, history: History) -> None:
    from diagnose.cases.import_run import NotUnderstood, source_of

    source = source_of(asked.file, asked.source, history.mapping)
    try:
        history.check()
    except NotUnderstood as no:
        if not _can_ask(asked):
            raise with_hint(asked, no, source) from None
        guided = _guided(asked, history, source)
    else:
        guided = history
    if guided is not None and not _came_in(asked, guided, source, asking=guided is history):
        guided = _guided(asked, guided, source)
        if guided is not None:
            _came_in(asked, guided, source, asking=False)
    if guided is None:
        click.echo("Nothing was kept.")


def _came_in(asked: Asked, history: History, source: str, *, asking: bool) -> bool:
    """Reads the file and keeps its cases; False where the words without a meaning had better be asked for."""
    from diagnose.terminal.mapping_progress import progress_shown

    refused = _refused_rows(asked, history)
    with ExitStack() as stack:
        if refused is not None:
            stack.callback(refused.drop)
        with progress_shown() as show:
            report, spool = history.read(refused.add if refused is not None else lambda *_: None, show)
            stack.callback(spool.close)
            if asking and (report.words or asked.guided) and not asked.dry_run and _can_ask(asked):
                return False
            is_there = refused is not None and refused.finish()
            told = told_of(asked, history, source, report, refused=is_there)
            if report.kept_out and not (asked.take_good or asked.dry_run):
                raise refusal(report, told)
            written = _written(asked, history, source, report, spool, show)
    tell(asked, source, report, written, told)
    return True


def _written(asked: Asked, history: History, source: str, report: Report, spool: Spool, show: Any) -> Written:
    from diagnose.cases.bulk import Written, compare_cases, write_cases
    from diagnose.cases.store import open_store
    from diagnose.walking.places import store_url

    if asked.dry_run:
        with kept_store(asked.store) as kept:
            if kept is None:
                return Written(report.good, report.confirmed)
            return compare_cases(kept, source, spool)
    if not report.good:
        return Written()
    done = 0

    def heard(number: int) -> None:
        nonlocal done
        done += number
        show("Keeping", done / report.good)

    with open_store(store_url(asked.store)) as store:
        return write_cases(store, source, spool, history.now, heard)


def _can_ask(asked: Asked) -> bool:
    return not asked.as_json and (asked.guided or _console().is_read())


def _console() -> Console:
    """The one console of this run: a stream that was read from cannot be set up once more."""
    from diagnose.terminal.console import open_console

    kept = click.get_current_context().meta
    console: Console = kept.get(__name__) or open_console()
    kept[__name__] = console
    return console


def _guided(asked: Asked, history: History, source: str) -> History | None:
    """The history with a mapping that somebody said yes to, and that is kept; None after a no."""
    from diagnose.terminal.mapping_dialogue import MappingDialogue

    place = mapping_place(asked, history.mapping, source)
    mapping = MappingDialogue(_console(), history).run(source, str(place))
    if mapping is None:
        return None
    _keep(mapping, place, asked.file)
    return history.with_mapping(mapping)


def _keep(mapping: ImportMapping, place: Path, file: Path) -> None:
    from diagnose.cases.import_mapping import mapping_text

    if not place.absolute().parent.is_dir():
        raise WrongUsage(f"there is no folder {place.absolute().parent}")
    part = place.with_name(f".{place.name}.part")
    part.write_text(mapping_text(mapping, file.name), encoding="utf-8")
    part.replace(place)
    mapping.file = str(place)


def _refused_rows(asked: Asked, history: History) -> RefusedRows | None:
    """Where the rows that stay out go, if anywhere."""
    from contextlib import closing

    from diagnose.cases.import_refused import RefusedRows

    if asked.refused is None:
        return None
    with closing(history.rows()) as rows:
        return RefusedRows(asked.refused, rows.header, asked.file, getattr(rows, "delimiter", ","))
