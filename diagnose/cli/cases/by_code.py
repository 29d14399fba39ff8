"""A case by its code: the one that is here is closed, one of another machine opened, confirmed or not yet."""

from __future__ import annotations

import shlex
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from diagnose.cli.cases.at_hand import as_json, folders_at_hand, kept_store
from diagnose.terms import WrongUsage

if TYPE_CHECKING:
    from diagnose.terminal.layout import Page
    from diagnose.walking.exact_readings import ExactReading


@dataclass(frozen=True, slots=True)
class Typed:
    """A code as it was typed or read by a camera, with the exact readings behind it."""

    code: str
    readings: tuple[ExactReading, ...] = ()


def typed_code(words: Sequence[str]) -> tuple[Typed | None, tuple[str, ...]]:
    """The code that the words begin with and the words behind it; no code and all words if they do not.

    Raises WrongUsage for what looks like an exact reading and is not written as one.
    """
    from diagnose.cases.codes import split_code
    from diagnose.walking.exact_readings import split_readings

    others, readings = split_readings(words)
    code, behind = split_code(others or words)
    return (Typed(code, readings) if code else None), behind


def open_by_code(
    text: str, store: str | None, folders: tuple[Path, ...], options: tuple[str, ...]
) -> tuple[dict[str, Any], str]:
    """Opens somebody else's case before it is known what it was; the JSON document and what is said."""
    from diagnose.cases.store import open_store
    from diagnose.knowledge.collection import Library
    from diagnose.knowledge.ids import quoted
    from diagnose.terminal.by_code import what_was_opened
    from diagnose.walking.places import store_url
    from diagnose.walking.returned import look_up, open_here

    typed, behind = typed_code((text,))
    if typed is None or behind:
        given = " ".join(behind).strip()[:60]
        raise WrongUsage(f"{quoted(given)} is no code" if given else "there is no code here")
    with kept_store(store) as kept:
        returned = look_up(typed.code, kept, Library(folders_at_hand(folders)), typed.readings)
    with open_store(store_url(store)) as kept:
        after = open_here(returned, kept, datetime.now(UTC))
    command = shlex.join(["diagnose", "cases", "confirm", str(after.case), "CAUSE", *options])
    return {"cases": [as_json(after)]}, what_was_opened(returned, after, command)


def confirm_by_code(
    typed: Typed, given: str | None, store: str | None, folders: tuple[Path, ...], options: tuple[str, ...]
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
        returned = look_up(typed.code, kept, Library(folders_at_hand(folders)), typed.readings)
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
            code_page(returned, typed.code, now, width, options),
        )
    cause = returned.cause(given)
    with open_store(store_url(store)) as kept:
        after = close(returned, kept, cause, now)
    return {"cases": [as_json(after)]}, what_became_of_it(returned, after, says_of(returned.tree, cause))
