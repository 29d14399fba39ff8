"""The list of cases as one JSON document, written as the cases are read."""

from __future__ import annotations

import json
from collections.abc import Iterator
from textwrap import indent
from typing import TYPE_CHECKING, Any

import click

from diagnose.cli.cases.at_hand import as_json

if TYPE_CHECKING:
    from diagnose.cases.selecting import Wanted
    from diagnose.cases.store import CaseStore
    from diagnose.knowledge.collection import Library


def print_json(kept: CaseStore | None, wanted: Wanted, library: Library | None) -> None:
    """Print the document; with a library each case has its `code`, null where there is none."""
    begun = False
    for document in _documents(kept, wanted, library) if kept is not None else ():
        click.echo(",\n" if begun else '{\n  "cases": [\n', nl=False)
        click.echo(indent(json.dumps(document, ensure_ascii=False, indent=2), "    "), nl=False)
        begun = True
    click.echo("\n  ]\n}" if begun else '{\n  "cases": []\n}')


def _documents(kept: CaseStore, wanted: Wanted, library: Library | None) -> Iterator[dict[str, Any]]:
    from diagnose.cases.browsing import listed

    if library is None:
        for each in listed(kept, wanted, with_findings=True):
            yield as_json(each.record, len(each.findings))
        return
    from diagnose.cli.cases.waiting import with_codes

    records, codes = with_codes(kept, wanted, library)
    for record in records:
        yield as_json(record) | {"code": codes.get(record.case) or None}
