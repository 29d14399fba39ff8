"""What is done at every step of a walk finds its rows by an index, however many cases there are.

Asked of the databases' own planners rather than of a clock: EXPLAIN QUERY PLAN (sqlite.org/eqp.html) says
SCAN where a table is gone through from end to end.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import event

from diagnose.cases.records import Entry
from diagnose.cases.store import CaseStore, open_store

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


def statements_of(store: CaseStore, deed: Callable[[], object]) -> list[tuple[str, Any]]:
    """What is sent to the database while the deed is done, with its values."""
    seen: list[tuple[str, Any]] = []

    def note(connection: Any, cursor: Any, statement: str, parameters: Any, context: Any, many: bool) -> None:
        if statement.startswith(("SELECT", "UPDATE", "INSERT", "DELETE")):
            seen.append((statement, parameters[0] if many else parameters))

    event.listen(store._engine, "before_cursor_execute", note)
    try:
        deed()
    finally:
        event.remove(store._engine, "before_cursor_execute", note)
    return seen


def test_no_step_goes_through_a_whole_table(sqlite_url: str, found: Callable[..., Entry]) -> None:
    with open_store(sqlite_url) as store:
        case = store.open_case("hob", "d", "owner", "", NOON)
        deeds: dict[str, Callable[[], object]] = {
            "open": lambda: store.open_case("hob", "d", "owner", "", NOON),
            "append": lambda: store.append(case, found("a", "yes")),
            "end": lambda: store.end_case(case, "referred", NOON),
            "await": store.awaiting_outcome,
            "confirm": lambda: store.confirm(case, "x", NOON),
            "move": lambda: store.confirm(case, "y", NOON),
            "end again": lambda: store.end_case(case, "cured", NOON),
            "read": lambda: store.case(case),
            "tally": lambda: store.tally("hob", NOON, 2.0),
            "asked": lambda: store.outcome_asked(case),
            "earlier walks": lambda: list(store.newest_first("van 7")),
            "started today": lambda: store.cases(symptom="hob", vehicle="van 7", changed_from=NOON),
            "waiting": lambda: store.cases(states=("open", "left-off"), vehicle="van 7"),
            "a page further": lambda: store.cases(beyond=(NOON, case), limit=20),
        }
        for name, deed in deeds.items():
            sent = statements_of(store, deed)
            assert sent, name
            with store._engine.begin() as connection:
                for statement, values in sent:
                    plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", values).all()
                    # The subquery that joins cases' lines has no more rows than are wanted, and `merged` has
                    # one for each other store.
                    short = ("anon", "merged")
                    scans = [row[-1] for row in plan if row[-1].startswith("SCAN")]
                    scans = [scan for scan in scans if not any(name in scan for name in short)]
                    assert scans == [], f"{name}: {statement}"


def test_a_step_sends_as_much_with_many_cases_as_with_few(url: str, found: Callable[..., Entry]) -> None:
    with open_store(url) as store:

        def one_more() -> list[int]:
            case = store.open_case("hob", "d", "owner", "", NOON)
            return [
                len(statements_of(store, lambda: store.append(case, found("a", "yes")))),
                len(statements_of(store, lambda: store.confirm(case, "x", NOON))),
                len(statements_of(store, lambda: store.tally("hob", NOON))),
            ]

        first = one_more()
        for _ in range(20):
            last = one_more()
        assert last == first
        assert all(first)
