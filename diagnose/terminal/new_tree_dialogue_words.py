"""Ids that are proposed for what was just told."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.knowledge.common import Common
from diagnose.knowledge.ids import LONGEST_ID, as_id
from diagnose.revising.drafting import Draft
from diagnose.revising.extending_offers import telling_words


def from_words(words: str, is_free: Callable[[str], bool]) -> str:
    """An id from the first words that tell something, one that is free; "" where none can be made.

    >>> from_words("There is a nest in the flue", lambda id: True)
    'nest-flue'
    """
    telling = telling_words(words)
    for many in (3, 2, 4, 5):
        id = as_id(" ".join(telling[:many])[:LONGEST_ID])
        if id and is_free(id):
            return id
    base = as_id(" ".join(telling[:3])[: LONGEST_ID - 4])
    return next((id for number in range(2, 100) if base and is_free(id := f"{base}-{number}")), "")


def free_id(words: str, draft: Draft, common: Common) -> str:
    """An id for a cause or check of the draft."""
    taken = {part.id for part in (*draft.events, *draft.checks)} | {*common.checks, *common.facts}
    return from_words(words, lambda id: id not in taken)
