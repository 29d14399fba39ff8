"""`diagnose cases merge`: other stores' sums beside one's own."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from diagnose.cli.cases.at_hand import folders_at_hand, kept_store, utc
from diagnose.cli.options import cases_option, json_option, trees_option
from diagnose.terms import Flaw, FlawedKnowledge

if TYPE_CHECKING:
    from diagnose.cases.exchange import Export
    from diagnose.cases.merging import Merged, Standing

HELP = """Let what others' cases have taught count beside your own.

FILE is what `diagnose cases export` has written in another store. All files come in, or none. A later
export of a store takes the place of its earlier one, so nothing counts twice, however often and in whatever
order you merge; your own export adds nothing. A file that is damaged, or not an export, is refused with the
line where it is not right. Merge files of people whom you trust: a count can be checked for its form, not
for its truth.

Without FILE it lists what stands merged. To take one out again: diagnose cases forget --merged ORIGIN

\b
Examples:
  diagnose cases merge north.json south.json
  diagnose cases merge --dry-run north.json
  diagnose cases merge
"""


@click.command(help=HELP)
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE ...]")
@click.option("--dry-run", "dry", is_flag=True, help="Say what would be done, and write nothing.")
@cases_option
@trees_option
@json_option
def command(
    files: tuple[Path, ...], dry: bool, store: str | None, folders: tuple[Path, ...], as_json: bool
) -> None:
    """Merge exports, or list what stands merged."""
    from diagnose.cases.merging import merge, standing
    from diagnose.terminal.case_exchange import merged_told, standing_told

    width = shutil.get_terminal_size().columns
    if not files:
        with kept_store(store) as kept:
            found = standing(kept) if kept is not None else ()
        _say({"standing": [standing_as_json(each) for each in found]}, standing_told(found, width), as_json)
        return
    now = datetime.now(UTC)
    exports = _read(files, now.year)
    # Merging into a store that is not there yet makes one; a trial does not.
    with kept_store(store) as kept:
        if kept is not None:
            done = merge(kept, exports, now, dry=dry)
        elif dry:
            done = _into_nothing(exports)
        else:
            done = _into_a_new_store(store, exports, now)
    unknown = _unknown(done, folders)
    document = {"merged": [_as_json(each) for each in done], "unknown_symptoms": unknown, "dry_run": dry}
    _say(document, merged_told(done, unknown, width, dry=dry), as_json)


def standing_as_json(each: Standing) -> dict[str, Any]:
    """What stands merged from one store."""
    return {
        "origin": each.origin,
        "number": each.number,
        "received": utc(each.received),
        "confirmed": each.confirmed,
        "unconfirmed": each.unconfirmed,
    }


def _say(document: dict[str, Any], text: str, as_json: bool) -> None:
    click.echo(json.dumps(document, ensure_ascii=False, indent=2) if as_json else text)


def _read(files: tuple[Path, ...], year: int) -> list[tuple[str, Export]]:
    """The exports; raises FlawedKnowledge with the flaws of all files."""
    from diagnose.cases.exchange_reading import load_export
    from diagnose.terminal.wrapping import clean

    exports: list[tuple[str, Export]] = []
    flaws: list[Flaw] = []
    for path in files:
        try:
            exports.append((clean(str(path)), load_export(path, year)))
        except FlawedKnowledge as error:
            flaws += error.flaws
    if flaws:
        raise FlawedKnowledge(tuple(flaws))
    return exports


def _into_nothing(exports: list[tuple[str, Export]]) -> tuple[Merged, ...]:
    from diagnose.cases.merging import planned

    return planned(exports, {}, "", 0)


def _into_a_new_store(
    store: str | None, exports: list[tuple[str, Export]], now: datetime
) -> tuple[Merged, ...]:
    from diagnose.cases.merging import merge
    from diagnose.cases.store import open_store
    from diagnose.walking.places import store_url

    with open_store(store_url(store)) as made:
        return merge(made, exports, now)


def _unknown(done: tuple[Merged, ...], folders: tuple[Path, ...]) -> list[str]:
    """The symptoms of what counts now that no tree at hand has, in alphabetical order."""
    from diagnose.knowledge.collection import Library

    known = set(Library(folders_at_hand(folders)).ids())
    counting = [each.export for each in done if each.outcome in ("added", "replaces", "stands")]
    return sorted({symptom for export in counting for symptom in export.symptoms} - known)


def _as_json(each: Merged) -> dict[str, Any]:
    return {
        "file": each.file,
        "origin": each.export.origin,
        "number": each.export.number,
        "outcome": each.outcome,
        "stood": each.stood,
        "confirmed": each.export.confirmed,
        "unconfirmed": each.export.untold,
        "at_least": each.export.at_least,
    }
