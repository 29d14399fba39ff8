"""Very many made-up cases, filled into a store straight by SQL.

The database itself makes them from a few thousand patterns (symptom, cause, ending, answers), which are drawn
from the shipped trees with a seed; which pattern, vehicle and day a case has follows from its number by the
multiplicative generator of Park & Miller (1988, from memory). So a million cases take a minute, and any two
stores of one number hold the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from sqlalchemy import Connection, text

from diagnose.cases.store import CaseStore
from diagnose.knowledge.collection import Library
from diagnose.reasoning.model import build_model

SEED = 2147483647
PATTERNS = 4_000
ANSWERS = 6
YEARS = 8
FIRST = datetime(2018, 7, 1, tzinfo=UTC)
NOW = FIRST + timedelta(days=int(365.25 * YEARS))
CASES_OF_A_VEHICLE = 8
ENDINGS = ("cured", "referred", "stopped")
TOLD = (0.9, 0.5, 0.3)
"""How often the outcome of each ending is known."""


@dataclass(frozen=True)
class Pattern:
    """What some of the cases have in common."""

    symptom: str
    cause: str
    ending: str
    confirmed: bool
    answers: tuple[tuple[str, str], ...]


def patterns(symptoms: tuple[str, ...] = (), number: int = PATTERNS, seed: int = SEED) -> list[Pattern]:
    """Patterns of all shipped trees, or of some: causes by their shares, answers as the file expects them."""
    rng = np.random.default_rng(seed)
    library = Library()
    others = frozenset(library.ids())
    models = [build_model(library.tree(id), other_trees=others) for id in symptoms or library.ids()]
    return [_pattern(models[at % len(models)], rng) for at in range(number)]


def _pattern(model, rng) -> Pattern:
    truth = int(rng.choice(len(model.ids), p=model.prior))
    ending = int(rng.choice(3, p=[0.55, 0.4, 0.05]))
    checks = [id for id in model.tree.checks if id in model.rows]
    asked = rng.choice(checks, min(ANSWERS - 1, len(checks)), replace=False)
    answers = [
        (id, str(rng.choice(model.tree.checks[id].answer_ids(), p=model.rows[id][truth]))) for id in asked
    ]
    laid_up = ("months-laid-up", str(rng.choice(["short", "season", "long"])))
    confirmed = bool(rng.random() < TOLD[ending])
    return Pattern(model.tree.id, model.ids[truth], ENDINGS[ending], confirmed, (laid_up, *answers))


# Filling --------------------------------------------------------------------------------------------------


def fill(store: CaseStore, number: int, of: list[Pattern]) -> None:
    """Puts cases 1 to `number` into an empty store, with their journals and sums, in one transaction."""
    with store.writing() as connection:
        server = connection.dialect.name == "postgresql"
        _lay_out(connection, of)
        for statement in _STATEMENTS:
            connection.execute(
                text(statement.format(**(_ON_SERVER if server else _IN_FILE))),
                {
                    "number": number,
                    "patterns": len(of),
                    "vehicles": max(1, number // CASES_OF_A_VEHICLE),
                    "start": int(FIRST.timestamp()),
                    "seconds": int((NOW - FIRST).total_seconds()),
                }
                if ":" in statement
                else {},
            )
        if server:
            connection.execute(text("SELECT setval('cases_id_seq', (SELECT max(id) FROM cases))"))
    with store.writing() as connection:
        connection.execute(text("ANALYZE"))


def _lay_out(connection: Connection, of: list[Pattern]) -> None:
    connection.execute(
        text(
            "CREATE TEMP TABLE pattern (n INTEGER PRIMARY KEY, symptom TEXT, cause TEXT, ending TEXT,"
            " confirmed BOOLEAN, lines INTEGER)"
        )
    )
    connection.execute(text("CREATE TEMP TABLE line (n INTEGER, number INTEGER, subject TEXT, answer TEXT)"))
    connection.execute(
        text("INSERT INTO pattern VALUES (:n, :symptom, :cause, :ending, :confirmed, :lines)"),
        [
            {
                "n": n,
                "symptom": each.symptom,
                "cause": each.cause if each.confirmed else "",
                "ending": each.ending,
                "confirmed": each.confirmed,
                "lines": len(each.answers),
            }
            for n, each in enumerate(of)
        ],
    )
    connection.execute(
        text("INSERT INTO line VALUES (:n, :number, :subject, :answer)"),
        [
            {"n": n, "number": number, "subject": subject, "answer": answer}
            for n, each in enumerate(of)
            for number, (subject, answer) in enumerate(each.answers, 1)
        ],
    )
    connection.execute(text("CREATE INDEX line_n ON line (n)"))


_IN_FILE = {
    "series": "WITH RECURSIVE series(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM series WHERE i < :number)",
    "moment": "strftime('%Y-%m-%dT%H:%M:%S.000000Z', {seconds}, 'unixepoch')",
}
_ON_SERVER = {
    "series": "WITH series AS (SELECT CAST(i AS BIGINT) AS i FROM generate_series(1, :number) AS i)",
    "moment": "to_char(to_timestamp({seconds}) AT TIME ZONE 'UTC', 'YYYY-MM-DD\"T\"HH24:MI:SS\".000000Z\"')",
}
for _kind in (_IN_FILE, _ON_SERVER):
    _kind["opened"] = _kind["moment"].format(seconds=":start + day % :seconds")
    _kind["changed"] = _kind["moment"].format(seconds=":start + day % :seconds + 3600")

_STATEMENTS = (
    "CREATE TEMP TABLE drawn (i INTEGER PRIMARY KEY, van BIGINT, day BIGINT, n INTEGER)",
    # Each a step further in the sequence, so that days and vehicles do not go with the patterns.
    "INSERT INTO drawn {series} SELECT i, (i * 48271) % 2147483647,"
    " ((i * 48271) % 2147483647 * 16807) % 2147483647,"
    " ((i * 48271) % 2147483647 * 69621) % 2147483647 % :patterns FROM series",
    "INSERT INTO cases (id, symptom, tree_digest, role, state, opened, changed, vehicle, referral, points_to,"
    " confirmed, cause, confirmed_on, confirmed_lines, asked_outcome, lines, vehicle_key)"
    " SELECT i, symptom, 'made up', 'technician', ending, {opened}, {changed}, 'van ' || (van % :vehicles),"
    " CASE WHEN ending = 'cured' THEN '' ELSE 'workshop' END,"
    " CASE WHEN ending = 'cured' THEN cause ELSE '' END,"
    " confirmed, cause, CASE WHEN confirmed THEN {changed} END, CASE WHEN confirmed THEN lines ELSE 0 END,"
    " NOT confirmed, lines, 'van ' || (van % :vehicles)"
    " FROM drawn JOIN pattern USING (n) ORDER BY i",
    "INSERT INTO entries (case_id, number, time, kind, subject, answer, ahead)"
    " SELECT id, line.number, opened, 'finding', subject, answer, false"
    " FROM cases JOIN drawn ON drawn.i = cases.id JOIN line USING (n) ORDER BY id, line.number",
    "INSERT INTO cause_sums SELECT symptom, cause, CAST(substr(opened, 1, 4) AS INTEGER), state, '', count(*)"
    " FROM cases WHERE confirmed GROUP BY 1, 2, 3, 4",
    "INSERT INTO answer_sums"
    " SELECT symptom, cause, subject, answer, CAST(substr(opened, 1, 4) AS INTEGER), state, '', count(*)"
    " FROM cases JOIN entries ON case_id = id WHERE confirmed GROUP BY 1, 2, 3, 4, 5, 6",
    "INSERT INTO unconfirmed_sums"
    " SELECT symptom, CAST(substr(opened, 1, 4) AS INTEGER), state, '', count(*)"
    " FROM cases WHERE NOT confirmed GROUP BY 1, 2, 3",
    "DROP TABLE drawn",
    "DROP TABLE pattern",
    "DROP TABLE line",
)
