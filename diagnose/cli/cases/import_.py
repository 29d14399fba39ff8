"""`diagnose cases import`: a job history brought in."""

from __future__ import annotations

import json
import shlex
import shutil
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagnose.cli.cases.at_hand import folders_at_hand, kept_store
from diagnose.cli.options import cases_option, json_option, trees_option
from diagnose.cli.repeating import options_to_repeat
from diagnose.terms import Flaw, FlawedKnowledge, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.bulk import Written
    from diagnose.cases.import_cases import Report
    from diagnose.cases.import_mapping import ImportMapping
    from diagnose.cases.import_refused import RefusedRows
    from diagnose.cases.import_run import History, Spool
    from diagnose.terminal.console import Console
    from diagnose.terminal.mapping_report import Told

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


class RowsRefused(FlawedKnowledge):
    """Rows that cannot come in; the text is the whole report, for a screen."""

    def __init__(self, flaws: tuple[Flaw, ...], text: str) -> None:
        super().__init__(flaws)
        self.args = (text,)


@dataclass(frozen=True)
class Asked:
    """What was asked for."""

    file: Path
    source: str
    dry_run: bool
    take_good: bool
    mapping_file: Path | None
    refused: Path | None
    plates: bool
    guided: bool
    output: Path | None
    store: str | None
    folders: tuple[Path, ...]
    as_json: bool


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
            raise _with_hint(asked, no, source) from None
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
            told = _told(asked, history, source, report, refused=is_there)
            if report.kept_out and not (asked.take_good or asked.dry_run):
                raise _refusal(report, told)
            written = _written(asked, history, source, report, spool, show)
    _tell(asked, source, report, written, told)
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

    place = _mapping_place(asked, history.mapping, source)
    mapping = MappingDialogue(_console(), history).run(source, str(place))
    if mapping is None:
        return None
    _keep(mapping, place, asked.file)
    return history.with_mapping(mapping)


def _mapping_place(asked: Asked, mapping: ImportMapping, source: str) -> Path:
    from diagnose.cases.import_mapping import beside

    if asked.output is not None:
        return asked.output
    return Path(mapping.file) if mapping.file else beside(asked.file, source)


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


def _told(asked: Asked, history: History, source: str, report: Report, *, refused: bool) -> Told:
    from diagnose.cases.import_suggesting import words_hint
    from diagnose.knowledge.collection import shown
    from diagnose.terminal.mapping_report import Told

    options = options_to_repeat(asked.store, asked.folders)
    mapping = ["--mapping", str(asked.mapping_file)] if asked.mapping_file is not None else []
    import_ = ["diagnose", "cases", "import"]
    refused_file = str(asked.refused) if refused else ""
    kept = [*(["--source", asked.source] if asked.source else []), *mapping]
    return Told(
        file=history.shown,
        source=f'source "{source}"',
        mapping=shown(Path(history.mapping.file)) if history.mapping.file else "",
        order=history.order,
        refused_file=refused_file,
        mend_command=shlex.join([*import_, refused_file, "--source", source, *mapping, *options]),
        again=shlex.join([*import_, str(asked.file), *kept, "--take-good", *options]),
        confirm=shlex.join(["diagnose", "cases", "confirm", "CASE", "CAUSE", *options]),
        hint=words_hint(history, report),
        hint_file=shown(_mapping_place(asked, history.mapping, source)),
    )


def _with_hint(asked: Asked, no: Any, source: str) -> FlawedKnowledge:
    """What is missing, with the mapping to write."""
    from diagnose.cases.import_mapping import ImportMapping
    from diagnose.cases.import_suggesting import columns_hint
    from diagnose.knowledge.collection import shown

    place = asked.mapping_file or _mapping_place(asked, ImportMapping(), source)
    lines = [
        *(str(flaw) for flaw in no.flaws),
        f"Say what each column is in {shown(place)}, or bring the file in at a terminal, which asks. "
        "Change what is not right:",
        *(f"  {line}" for line in columns_hint(no.header)),
    ]
    return RowsRefused(no.flaws, "\n".join(lines))


def _refusal(report: Report, told: Told) -> FlawedKnowledge:
    from diagnose.terminal.layout import Page
    from diagnose.terminal.mapping_report import not_brought_in

    page = not_brought_in(Page(shutil.get_terminal_size().columns), report, told)
    return RowsRefused(tuple(flaw for flaw, _ in report.flaws), page.text())


def _tell(asked: Asked, source: str, report: Report, written: Written, told: Told) -> None:
    if asked.as_json:
        click.echo(json.dumps(_as_json(asked, source, report, written, told), ensure_ascii=False, indent=2))
    else:
        from diagnose.terminal.layout import Page
        from diagnose.terminal.mapping_report import came_in

        page = Page(shutil.get_terminal_size().columns)
        click.echo(came_in(page, report, written, told, dry_run=asked.dry_run).text())
    if asked.dry_run and report.kept_out and not asked.take_good:
        click.get_current_context().exit(1)


def _as_json(asked: Asked, source: str, report: Report, written: Written, told: Told) -> dict[str, Any]:
    flaws = [
        {
            "file": flaw.file,
            "line": flaw.line,
            "column": flaw.column,
            "message": flaw.message,
            "doubtful": only,
        }
        for flaw, only in report.flaws
    ]
    return {
        "import": {
            "source": source,
            "dry_run": asked.dry_run,
            "rows": report.rows,
            "added": written.added,
            "confirmed": written.confirmed,
            "already": written.already,
            "differing": written.differ,
            "differ": [
                {
                    "number": each.number,
                    "case": each.case,
                    "what": list(each.what),
                    "cause": each.cause or None,
                }
                for each in written.differing
            ],
            "left_out": report.left_out,
            "repeated": report.repeated,
            "doubtful": report.doubtful,
            "refused": report.refused,
            "refused_file": told.refused_file or None,
            "not_read": list(report.unread),
        },
        "errors": flaws,
    }
