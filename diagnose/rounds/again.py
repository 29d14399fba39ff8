"""What is to be looked at once more: its walk ended well, its date is new on the card, or it was long ago.

A task whose date on the card is over is never fine, yet it is looked at: what somebody called fine is kept as
*wrong*, with a note that tells which date it was and that nothing else was wrong. So it stays wrong where the
card is not at hand, and where the card has a new date it comes again.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import date

from diagnose.terms.rounds import RoundId, Task, TaskEnd, TaskMark
from diagnose.walking.carded import in_words

NOTHING_ELSE = "Nothing else was wrong."
"""How the note of a mark ends that is wrong only because a date was over."""
COUNTS_FOR: Mapping[RoundId, int] = {"wake-up": 183, "lay-up": 183, "journey": 1, "hand-over": 7}
"""Days for which a round counts after it was begun, and each look after it was taken (judgement)."""
PUT_RIGHT = frozenset({"cured", "put-right"})
"""How a case stands that came to a good end: cured, or handed over and confirmed since."""

CURED = "It was wrong, and its walk ended in a cure: look at it once more."
MENDED = "It was wrong, and it has been put right: look at it once more."
NEW_DATE = "It was wrong by its date alone, which is new on the card: look at it once more."


def as_noted(end: TaskEnd, note: str, over: Sequence[str]) -> tuple[TaskEnd, str]:
    """End and note of a mark as they are kept; `over` are sentences about the task's dates that are over."""
    return (
        ("wrong", " ".join([*filter(None, (note,)), *over, NOTHING_ELSE]))
        if end == "fine" and over
        else (end, note)
    )


def only_its_date(end: TaskEnd, note: str) -> bool:
    """Whether a mark that is kept was wrong only because a date was over."""
    return end == "wrong" and note.endswith(NOTHING_ELSE)


def is_renewed(task: Task, mark: TaskMark, over: Collection[str], holding: Collection[str]) -> bool:
    """Whether a task was wrong only for its date, and the card has one by now that holds.

    `over` and `holding` are the dates of the card by how they stand; what is on no card renews nothing.
    """
    return mark.of_date and not set(over) & set(task.dates) and bool(set(holding) & set(task.dates))


def too_long_ago(mark: TaskMark, round: RoundId, today: date) -> bool:
    """Whether something was called fine, or not fitted, so long ago that nobody can go by it."""
    looked = mark.time.astimezone().date()
    return mark.end in ("fine", "not-fitted") and (today - looked).days > COUNTS_FOR[round]


def to_look_at_again(
    tasks: Mapping[str, Task],
    marks: Mapping[str, TaskMark],
    state_of: Callable[[int], str],
    over: Collection[str] = (),
    holding: Collection[str] = (),
) -> frozenset[str]:
    """Tasks that were wrong and are looked at once more; `state_of` tells how a case stands."""
    return frozenset(
        id
        for id, mark in marks.items()
        if mark.end == "wrong"
        and (
            (mark.case is not None and state_of(mark.case) in PUT_RIGHT)
            or is_renewed(tasks[id], mark, over, holding)
        )
    )


def why_again(mark: TaskMark | None, state_of: Callable[[int], str]) -> tuple[str, ...]:
    """Why a task with this mark is looked at once more, in words; nothing where nobody has looked at it."""
    if mark is None or mark.end == "not-done":
        return ()
    if mark.end != "wrong":
        return (f"It was looked at on {in_words(mark.time.astimezone().date())}, too long ago to go by.",)
    state = state_of(mark.case) if mark.case is not None else ""
    return (NEW_DATE if mark.of_date else CURED if state == "cured" else MENDED,)
