"""What the commands over cases share: the store, a case's tree, and the JSON of a case."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.terms import DiagnoseError

if TYPE_CHECKING:
    from diagnose.cases.records import CaseRecord, Entry
    from diagnose.cases.store import CaseStore
    from diagnose.knowledge.collection import Library
    from diagnose.terms import Tree


@contextmanager
def kept_store(given: str | None) -> Iterator[CaseStore | None]:
    """The case store, or None where its file is not there yet: looking into one makes none.

    What goes wrong over what was read from a store that turns out to be damaged is told as that.
    """
    from diagnose.cases.addresses import address_of
    from diagnose.cases.engines import told_plainly
    from diagnose.cases.store import open_store
    from diagnose.walking.places import store_url

    url = store_url(given)
    path = address_of(url).path
    if path is not None and not path.exists():
        yield None
        return
    with open_store(url) as store, told_plainly(store.address.shown, path):
        yield store


def shown_place(given: str | None) -> str:
    """Where the store is, as it may be shown."""
    from diagnose.cases.addresses import address_of
    from diagnose.walking.places import store_url

    return address_of(store_url(given)).shown


def folders_at_hand(given: tuple[Path, ...]) -> tuple[Path, ...]:
    """The folders of one's own trees."""
    from diagnose.walking.places import tree_folders

    return tree_folders(given)


def library_at_hand(given: tuple[Path, ...]) -> Library:
    """The trees at hand; raises WrongUsage for a folder that is not there."""
    from diagnose.knowledge.collection import Library

    return Library(folders_at_hand(given))


def tree_at_hand(library: Library, symptom: str) -> Tree | None:
    """A case's tree, or None where it is not at hand or broken: a past case can be read all the same."""
    try:
        return library.tree(symptom)
    except DiagnoseError:
        return None


def label_at_hand(word: str, library: Library) -> str:
    """A vehicle's label: a name as it was typed, or that of a card (a word with / or ending in .yaml)."""
    from diagnose.knowledge.collection import is_path

    if is_path(word.strip()):
        from diagnose.cli.vehicle import card_at_hand

        return card_at_hand(word.strip(), library).name
    return " ".join(word.split())


def as_json(record: CaseRecord, findings: int | None = None) -> dict[str, Any]:
    """A case with the count of its findings (from its journal unless it is told); not known is null.

    One that was brought in tells its source and its number there besides.
    """
    if findings is None:
        from diagnose.cases.journal import findings as standing

        findings = len(standing(record.entries))
    document: dict[str, Any] = {
        "case": record.case,
        "symptom": record.symptom,
        "state": record.state,
        "confirmed": record.confirmed,
        "cause": record.cause or None,
        "opened": utc(record.opened),
        "vehicle": record.vehicle or None,
        "findings": findings,
    }
    if record.source:
        document |= {"source": record.source, "source_case": record.source_case}
    return document


def in_full_as_json(record: CaseRecord) -> dict[str, Any]:
    """A case with its findings (the latest of each check that stands) and every line of its journal."""
    from diagnose.cases.journal import findings

    back = {line.subject for line in record.entries if line.kind == "back"}
    return as_json(record) | {
        "findings": [
            {"check": line.subject, **_answer(line), "time": utc(line.time)}
            for line in findings(record.entries)
        ],
        "steps": [_step(line, str(line.number) in back) for line in record.entries],
    }


def utc(moment: datetime) -> str:
    """ISO 8601 in UTC.

    >>> utc(datetime(2026, 3, 1, 12, tzinfo=UTC))
    '2026-03-01T12:00:00Z'
    """
    return moment.astimezone(UTC).isoformat().replace("+00:00", "Z")


def _answer(line: Entry) -> dict[str, Any]:
    return {"answer": line.answer} if line.value is None else {"reading": line.value}


def _step(line: Entry, taken_back: bool) -> dict[str, Any]:
    return {
        "number": line.number,
        "time": utc(line.time),
        "kind": line.kind,
        "subject": line.subject,
        "answer": line.answer,
        "reading": line.value,
        "uncertainty": line.uncertainty,
        "ahead": line.ahead,
        "taken_back": taken_back,
    }
