"""What an import has to tell: the page, the JSON, or the refusal with the mapping to write."""

from __future__ import annotations

import json
import shlex
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagnose.cli.repeating import options_to_repeat
from diagnose.terms import Flaw, FlawedKnowledge

if TYPE_CHECKING:
    from diagnose.cases.bulk import Written
    from diagnose.cases.import_cases import Report
    from diagnose.cases.import_mapping import ImportMapping
    from diagnose.cases.import_run import History
    from diagnose.terminal.mapping_report import Told


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


def told_of(asked: Asked, history: History, source: str, report: Report, *, refused: bool) -> Told:
    """What the page says beside the counts."""
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
        hint_file=shown(mapping_place(asked, history.mapping, source)),
    )


def with_hint(asked: Asked, no: Any, source: str) -> FlawedKnowledge:
    """What is missing, with the mapping to write."""
    from diagnose.cases.import_mapping import ImportMapping
    from diagnose.cases.import_suggesting import columns_hint
    from diagnose.knowledge.collection import shown

    place = asked.mapping_file or mapping_place(asked, ImportMapping(), source)
    lines = [
        *(str(flaw) for flaw in no.flaws),
        f"Say what each column is in {shown(place)}, or bring the file in at a terminal, which asks. "
        "Change what is not right:",
        *(f"  {line}" for line in columns_hint(no.header)),
    ]
    return RowsRefused(no.flaws, "\n".join(lines))


def refusal(report: Report, told: Told) -> FlawedKnowledge:
    """The refusal of an import that kept nothing: the page, and its flaws."""
    from diagnose.terminal.layout import Page
    from diagnose.terminal.mapping_report import not_brought_in

    page = not_brought_in(Page(shutil.get_terminal_size().columns), report, told)
    return RowsRefused(tuple(flaw for flaw, _ in report.flaws), page.text())


def tell(asked: Asked, source: str, report: Report, written: Written, told: Told) -> None:
    """Prints the page or the JSON; ends with 1 where a trial found rows that would stay out."""
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


def mapping_place(asked: Asked, mapping: ImportMapping, source: str) -> Path:
    """Where the mapping of a source is kept, or would be."""
    from diagnose.cases.import_mapping import beside

    if asked.output is not None:
        return asked.output
    return Path(mapping.file) if mapping.file else beside(asked.file, source)
