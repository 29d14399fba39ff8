"""What a new cause's share may be, and where it is taken from, so that a file's shares stay near 100."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from diagnose.reasoning.hypotheses import cut_set_in_100
from diagnose.revising.splicing import Change, Path, Put, Replace
from diagnose.terms import DiagnoseError, Tree

Others = Literal["not-listed", "scaled", "as-they-are"]
OTHERS: tuple[Others, ...] = ("not-listed", "scaled", "as-they-are")
LEAST_NOT_LISTED = 1.0
"""So much is left for what is still not known."""
_MOST_SUGGESTED = 25.0


class ShareTooLarge(DiagnoseError):
    """There is not as much to be taken."""


@dataclass(frozen=True, slots=True)
class Counted:
    """The confirmed cases of a symptom, and how many of them the tree had no cause for."""

    confirmed: int
    not_listed: int


def suggested_share(tree: Tree, counted: Counted) -> float:
    """In 100, to the half: the cases that were not listed, over all of them and what the file is worth.

    The shares of the file count as `strength` cases (those of a Dirichlet prior), so one case alone does not
    make a cause a common one.
    """
    share = 100 * max(counted.not_listed, 1) / (counted.confirmed + tree.strength)
    return min(max(round(share * 2) / 2, 0.5), _MOST_SUGGESTED)


def total_share(tree: Tree) -> float:
    """What the shares of the file and `not_listed` add up to."""
    return sum(cut_set_in_100(tree).values()) + tree.not_listed


def usual_others(tree: Tree, in_100: float) -> Others:
    """From where the share is best taken: from what was not listed, as long as some of that is left."""
    if total_share(tree) + in_100 <= 101:
        return "as-they-are"
    return "not-listed" if tree.not_listed - in_100 >= LEAST_NOT_LISTED else "scaled"


def new_shares(tree: Tree, in_100: float) -> dict[str, float]:
    """Cause or event -> its share once all are made smaller by the same factor, to the tenth.

    Shares that only say how often one of several causes at once is there stay. Raises ShareTooLarge.
    """
    shares = {
        id: event.in_100
        for id, event in tree.events.items()
        if event.in_100 is not None and not any(tree.events[above].gate == "all_of" for above in event.above)
    }
    total = sum(shares.values())
    if in_100 >= total:
        raise ShareTooLarge(
            f"the other shares add up to {total:g}; a share of {in_100:g} leaves none of them"
        )
    factor = (total - in_100) / total
    scaled = {id: max(round(share * factor, 1), 0.1) for id, share in shares.items()}
    largest = max(scaled, key=lambda id: scaled[id])
    rest = round(total - in_100 - sum(scaled.values()), 1)
    return scaled | {largest: max(round(scaled[largest] + rest, 1), 0.1)}


def moved_shares(
    tree: Tree, in_100: float, others: Others, place: Callable[[str], Path], *, said: bool
) -> Iterator[Change]:
    """The other shares of the file as they become.

    `place` gives where a cause or event is defined; `said` tells whether the file has `not_listed`.
    """
    if others == "scaled":
        for id, share in new_shares(tree, in_100).items():
            if share != tree.events[id].in_100:
                yield Replace((*place(id), "in_100"), share)
    elif others == "not-listed":
        left = round(tree.not_listed - in_100, 2)
        if left <= 0:
            raise ShareTooLarge(
                f"not_listed is {tree.not_listed:g}; a share of {in_100:g} cannot be taken from it"
            )
        if said:
            yield Replace(("not_listed",), left)
        else:
            yield Put((), "not_listed", left, before="cured_when")
