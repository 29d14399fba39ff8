"""Confirming by a code: its case here is closed, or opened if it is of another machine."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.cli.cases.at_hand import as_json, folders_at_hand, kept_store

if TYPE_CHECKING:
    from diagnose.terminal.layout import Page


def confirm_by_code(
    code: str, given: str | None, store: str | None, folders: tuple[Path, ...], options: tuple[str, ...]
) -> tuple[dict[str, Any], Page | str]:
    """The JSON document and what is said; without a cause or number what the code is and its outcomes."""
    from diagnose.cases.store import open_store
    from diagnose.knowledge.collection import Library
    from diagnose.knowledge.naming import outcomes, says_of
    from diagnose.terminal.by_code import code_page, what_became_of_it
    from diagnose.walking.places import store_url
    from diagnose.walking.returned import close, look_up

    now = datetime.now(UTC)
    with kept_store(store) as kept:
        returned = look_up(code, kept, Library(folders_at_hand(folders)))
    if given is None:
        listed = outcomes(returned.made_with or returned.tree)
        width = shutil.get_terminal_size().columns
        return (
            {
                "cases": [as_json(returned.record)] if returned.record is not None else [],
                "outcomes": [
                    {"number": each.number, "cause": each.cause, "says": each.says} for each in listed
                ],
            },
            code_page(returned, code, now, width, options),
        )
    cause = returned.cause(given)
    with open_store(store_url(store)) as kept:
        after = close(returned, kept, cause, now)
    return {"cases": [as_json(after)]}, what_became_of_it(returned, after, says_of(returned.tree, cause))
