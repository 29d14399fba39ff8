"""What each of several people does at one store, again and again: run in threads, or as a process each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime

from diagnose.cases.checking import differences, mend
from diagnose.cases.exchange import Export
from diagnose.cases.exchange_making import make_export
from diagnose.cases.forgetting import forget
from diagnose.cases.merging import merge
from diagnose.cases.records import Entry
from diagnose.cases.store import CaseStore, open_store

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def confirmed(store: CaseStore, causes: str, vehicle: str = "") -> list[int]:
    """A confirmed case of each cause, with two answers."""
    cases = []
    for cause in causes:
        case = store.open_case("hob", "d", "owner", vehicle, NOON)
        for check in ("flame", "volts"):
            store.append(case, Entry(NOON, "finding", check, "yes"))
        store.confirm(case, cause, NOON)
        cases.append(case)
    return cases


def confirms(store: CaseStore, _: int) -> None:
    """Leaves one case more, of x, whose sums have moved three times."""
    (case,) = confirmed(store, "x", "kept")
    store.end_case(case, "referred", NOON)
    store.confirm(case, "y", NOON)
    store.confirm(case, "x", NOON)


def forgets(store: CaseStore, _: int) -> None:
    """Leaves nothing."""
    cases = confirmed(store, "yx")
    unconfirmed = store.open_case("hob", "d", "owner", "", NOON)
    store.end_case(unconfirmed, "cured", NOON)
    forget(store, [*cases, unconfirmed])


def exports(store: CaseStore, _: int) -> tuple[int, str]:
    """The number and digest of one more export, in which every case has its two answers."""
    made = make_export(store, 2026)[0]
    assert sum(row[-1] for row in made.answers) == 2 * made.confirmed, made
    return made.number, made.digest


def merges(store: CaseStore, round_: int) -> None:
    """Two stores' exports of the next number, which count as many cases as it says."""
    rows = (("hob", "x", 2026, "cured", round_ + 1),)
    merge(store, [("f", Export(f"{origin:016x}", round_ + 1, rows)) for origin in (1, 2)], NOON)


def checks(store: CaseStore, _: int) -> None:
    """Finds nothing to say, though everybody is at it."""
    with store.reading() as connection:
        found = differences(connection)
    assert found == ()
    assert mend(store) == ()


DEEDS: Mapping[str, Callable[[CaseStore, int], object]] = {
    "confirms": confirms,
    "forgets": forgets,
    "exports": exports,
    "merges": merges,
    "checks": checks,
}


def work(url: str, who: str, rounds: int) -> list[object]:
    """What each round came to."""
    with open_store(url) as store:
        return [DEEDS[who](store, round_) for round_ in range(rounds)]
