"""The steps that bring an older store up to date, one for each version; once released, never changed.

Written in plain SQL against the tables as they were then, not against those that the program has now.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping

from sqlalchemy import Connection, column, select, table, update

from diagnose.cases.tables import key_of_vehicle

Migration = Callable[[Connection], None]


def _to_2(connection: Connection) -> None:
    """Cases that were brought in, sums by where they came from, and the sums of cases nobody confirmed."""
    on_server = connection.dialect.name == "postgresql"
    for statement in (_SUMS_BY_ORIGIN_ON_SERVER if on_server else _SUMS_BY_ORIGIN_IN_FILE) + _NEW_IN_2:
        connection.exec_driver_sql(statement)
    _keys_of_vehicles(connection)
    identity = table("store_identity", column("origin"), column("exports"))
    connection.execute(identity.insert(), {"origin": secrets.token_hex(8), "exports": 0})


def _keys_of_vehicles(connection: Connection) -> None:
    """Fills the column by label: SQLite by itself knows the capitals of English alone."""
    cases = table("cases", column("vehicle"), column("vehicle_key"))
    for (label,) in connection.execute(select(cases.c.vehicle).distinct()).all():
        values = {"vehicle_key": key_of_vehicle(label)}
        connection.execute(update(cases).where(cases.c.vehicle == label).values(values))


_SUMS_BY_ORIGIN_ON_SERVER = (
    "ALTER TABLE cause_sums ADD COLUMN origin TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE cause_sums ALTER COLUMN origin DROP DEFAULT",
    "ALTER TABLE cause_sums DROP CONSTRAINT cause_sums_pkey",
    "ALTER TABLE cause_sums ADD PRIMARY KEY (symptom, cause, year, ending, origin)",
    "ALTER TABLE answer_sums ADD COLUMN origin TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE answer_sums ALTER COLUMN origin DROP DEFAULT",
    "ALTER TABLE answer_sums DROP CONSTRAINT answer_sums_pkey",
    "ALTER TABLE answer_sums ADD PRIMARY KEY (symptom, cause, check_id, answer, year, ending, origin)",
    "ALTER TABLE cases ADD COLUMN vehicle_key TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE cases ALTER COLUMN vehicle_key DROP DEFAULT",
)

_SUMS_BY_ORIGIN_IN_FILE = (
    "CREATE TABLE cause_sums_2 (symptom TEXT NOT NULL, cause TEXT NOT NULL, year INTEGER NOT NULL,"
    " ending TEXT NOT NULL, origin TEXT NOT NULL, total INTEGER NOT NULL,"
    " PRIMARY KEY (symptom, cause, year, ending, origin))",
    "INSERT INTO cause_sums_2 SELECT symptom, cause, year, ending, '', total FROM cause_sums",
    "DROP TABLE cause_sums",
    "ALTER TABLE cause_sums_2 RENAME TO cause_sums",
    "CREATE TABLE answer_sums_2 (symptom TEXT NOT NULL, cause TEXT NOT NULL, check_id TEXT NOT NULL,"
    " answer TEXT NOT NULL, year INTEGER NOT NULL, ending TEXT NOT NULL, origin TEXT NOT NULL,"
    " total INTEGER NOT NULL, PRIMARY KEY (symptom, cause, check_id, answer, year, ending, origin))",
    "INSERT INTO answer_sums_2"
    " SELECT symptom, cause, check_id, answer, year, ending, '', total FROM answer_sums",
    "DROP TABLE answer_sums",
    "ALTER TABLE answer_sums_2 RENAME TO answer_sums",
    "ALTER TABLE cases ADD COLUMN vehicle_key TEXT NOT NULL DEFAULT ''",
)

_NEW_IN_2 = (
    "ALTER TABLE cases ADD COLUMN source TEXT",
    "ALTER TABLE cases ADD COLUMN source_case TEXT",
    "CREATE INDEX cases_by_opened ON cases (opened, id)",
    "CREATE INDEX cases_by_changed ON cases (changed)",
    "CREATE INDEX cases_by_symptom ON cases (symptom, opened, id)",
    "CREATE INDEX cases_by_vehicle ON cases (vehicle_key, source, opened, id)",
    "CREATE UNIQUE INDEX cases_by_source ON cases (source, source_case)",
    "CREATE TABLE unconfirmed_sums (symptom TEXT NOT NULL, year INTEGER NOT NULL, ending TEXT NOT NULL,"
    " origin TEXT NOT NULL, total INTEGER NOT NULL, PRIMARY KEY (symptom, year, ending, origin))",
    "INSERT INTO unconfirmed_sums SELECT symptom, CAST(substr(opened, 1, 4) AS INTEGER), state, '', count(*)"
    " FROM cases WHERE NOT confirmed AND state IN ('cured', 'referred', 'stopped')"
    " GROUP BY symptom, CAST(substr(opened, 1, 4) AS INTEGER), state",
    "CREATE TABLE store_identity (origin VARCHAR(16) NOT NULL PRIMARY KEY, exports INTEGER NOT NULL)",
    "CREATE TABLE merged (origin VARCHAR(16) NOT NULL PRIMARY KEY, number INTEGER NOT NULL,"
    " digest TEXT NOT NULL, received VARCHAR(27) NOT NULL)",
)


def _to_3(connection: Connection) -> None:
    """Rounds, and what was noted on them."""
    on_server = connection.dialect.name == "postgresql"
    counted = "SERIAL NOT NULL PRIMARY KEY" if on_server else "INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT"
    connection.exec_driver_sql(
        f"CREATE TABLE rounds (id {counted}, round TEXT NOT NULL, digest TEXT NOT NULL,"
        " vehicle TEXT NOT NULL, vehicle_key TEXT NOT NULL, stage TEXT NOT NULL, begun VARCHAR(27) NOT NULL,"
        " changed VARCHAR(27) NOT NULL, who TEXT NOT NULL, lines INTEGER NOT NULL)"
    )
    for statement in _NEW_IN_3:
        connection.exec_driver_sql(statement)


_NEW_IN_3 = (
    "CREATE TABLE round_lines (round_id INTEGER NOT NULL, number INTEGER NOT NULL, time VARCHAR(27) NOT NULL,"
    " noted TEXT NOT NULL, subject TEXT NOT NULL, answer TEXT, who TEXT NOT NULL, note TEXT NOT NULL,"
    " case_id INTEGER, PRIMARY KEY (round_id, number), FOREIGN KEY (round_id) REFERENCES rounds (id),"
    " FOREIGN KEY (case_id) REFERENCES cases (id))",
    "CREATE INDEX rounds_by_stage ON rounds (stage, changed, id)",
    "CREATE INDEX rounds_by_vehicle ON rounds (vehicle_key, begun, id)",
    "CREATE INDEX round_lines_by_case ON round_lines (case_id)",
)

STEPS: Mapping[int, Migration] = {1: _to_2, 2: _to_3}
"""Version -> what turns a store of that version into one of the next."""
