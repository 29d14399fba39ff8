"""A fault tree on sheets of paper that can be read at arm's length.

A tree too large for one sheet is split at its gates: a branch goes on on a page of its own, and a transfer
triangle with that page's number stands at both ends. The first page is the overview. A gate with more inputs
than a page has room for goes on on the next.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from diagnose.drawing.branches import Branch, branches
from diagnose.drawing.case_marks import NO_CASE, Marks
from diagnose.drawing.fault_tree import branch_dot
from diagnose.drawing.labels import POINT_SIZE
from diagnose.drawing.learned import BY_FILE, Learned
from diagnose.drawing.paper import Paper, scale_on
from diagnose.drawing.rendering import size_of
from diagnose.terms import Tree

SMALLEST = 9.0
"""Points; the least size of type that is read at arm's length, common practice for handouts, no source."""
_DEEPEST = 3
"""Gates behind each other for which a sheet is wide enough."""
_MOST_ROWS: dict[Paper, int] = {"a4": 40, "a3": 60}
"""More causes than this do not fit for certain, so they are not laid out to see."""


def fault_tree_pages(
    tree: Tree, paper: Paper, down_to: float = 0.0, case: Marks = NO_CASE, past: Learned = BY_FILE
) -> list[str]:
    """The DOT texts of the pages, each of which fits on `paper` with type of at least `SMALLEST`.

    What is rarer than `down_to` (a share of 1) is folded; a case is marked on it; shares are the
    file's, or as a store's cases make them (`past`). Raises what `rendering.size_of` raises.
    """
    whole = branches(tree, down_to, case, past)
    alone = branch_dot(whole, tree, case, past=past)
    if _fits(whole, paper, alone):
        return [alone]
    pages = paged(whole, lambda branch: _fits(branch, paper, branch_dot(branch, tree, case, 99, 99, past)))
    return [
        branch_dot(page, tree, case, number, len(pages), past)
        for number, page in enumerate(_with_homes(pages), start=1)
    ]


def paged(top: Branch, fits: Callable[[Branch], bool]) -> list[Branch]:
    """The branches of all pages, the first with the top; a transfer's mark is the number of its page."""
    pages = [top]
    for number, page in enumerate(pages):
        left = page
        while not fits(left):
            cut = _next_cut(left)
            if cut is None:
                break
            left, rest = cut(left, len(pages) + 1)
            pages.append(rest)
        pages[number] = left
    return pages


def _fits(branch: Branch, paper: Paper, dot_text: str) -> bool:
    if len(_rows(branch)) > _MOST_ROWS[paper] or _levels(branch) > _DEEPEST:
        return False
    return scale_on(paper, size_of(dot_text)) * POINT_SIZE >= SMALLEST


def _rows(branch: Branch) -> list[Branch]:
    return [one for one in branch.all() if one.gate is None]


def _levels(branch: Branch) -> int:
    """How many gates stand behind each other, at most; without recursion."""
    levels: dict[int, int] = {}
    for one in reversed(list(branch.all())):
        deepest = max((levels[id(below)] for below in one.below), default=0)
        levels[id(one)] = deepest + (one.gate is not None)
    return levels[id(branch)]


_Cut = Callable[[Branch, int], tuple[Branch, Branch]]


def _next_cut(branch: Branch) -> _Cut | None:
    """How to make a page smaller: a branch of it, or the later half of its gate's inputs, to another page."""
    depths = {id(branch): 0}
    for one in branch.all():
        depths |= {id(below): depths[id(one)] + 1 for below in one.below}
    gates = [one for one in branch.all() if one.gate is not None and one is not branch]
    if _levels(branch) > _DEEPEST:
        deep = [one for one in gates if depths[id(one)] == _DEEPEST - 1]
        return _moving(max(deep, key=_levels))
    if gates:
        half = len(_rows(branch)) / 2
        small = [one for one in gates if len(_rows(one)) <= half]
        size = {id(one): len(_rows(one)) for one in gates}
        chosen = (
            max(small, key=lambda one: size[id(one)]) if small else min(gates, key=lambda one: size[id(one)])
        )
        return _moving(chosen)
    return _halved if len(branch.below) > 2 else None


def _moving(moved: Branch) -> _Cut:
    return lambda branch, number: (_exchanged(branch, moved, transfer_to(moved, number)), moved)


def transfer_to(moved: Branch, number: int) -> Branch:
    """What stands in a branch's place where it goes on on page `number`; names every hazard that is in it."""
    hazards = frozenset[str]().union(*(one.hazards for one in moved.all()))
    return replace(moved, kind="transfer", gate=None, below=(), mark=str(number), hazards=hazards)


def _halved(branch: Branch, number: int) -> tuple[Branch, Branch]:
    """The first half of a gate's inputs with a transfer to the others."""
    half = len(branch.below) // 2
    later = branch.below[half:]
    nows = [one.now for one in later if one.now is not None]
    share = branch.share if branch.gate == "all_of" else min(branch.share, sum(one.share for one in later))
    now = branch.now if branch.gate == "all_of" or branch.now is None else min(branch.now, sum(nows))
    says = branch.says.removesuffix(_CONTINUED) + _CONTINUED
    rest = replace(branch, says=says, share=share, now=now, below=later, mark="")
    return replace(branch, below=(*branch.below[:half], transfer_to(rest, number))), rest


_CONTINUED = " (continued)"


def _exchanged(branch: Branch, old: Branch, new: Branch) -> Branch:
    """The branch with `new` in the place of `old`; without recursion."""
    done: dict[int, Branch] = {}
    for one in reversed(list(branch.all())):
        below = tuple(done[id(each)] for each in one.below)
        same = all(each is other for each, other in zip(below, one.below, strict=True))
        done[id(one)] = new if one is old else one if same else replace(one, below=below)
    return done[id(branch)]


def _with_homes(pages: list[Branch]) -> list[Branch]:
    """The pages with transfers to a letter told on which page that letter stands."""
    homes = {
        one.mark: number
        for number, page in enumerate(pages, start=1)
        for one in page.all()
        if one.mark and one.kind != "transfer"
    }
    told = []
    for number, page in enumerate(pages, start=1):
        for one in list(page.all()):
            home = homes.get(one.mark, number)
            if one.kind == "transfer" and home != number:
                page = _exchanged(page, one, replace(one, page=home))
        told.append(page)
    return told
