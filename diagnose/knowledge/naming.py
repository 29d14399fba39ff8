"""The cause that somebody names, as the tree has it."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.knowledge.ids import nearest, quoted
from diagnose.terms import NOT_LISTED, DiagnoseError, Tree

ELSE = "Something else, not in this list"
"""What the last of the outcomes is called."""


class NoSuchCause(DiagnoseError):
    """What was named is not a cause by which this symptom comes about."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """One of what a case of a symptom can turn out to be."""

    number: int
    """Its place in the list, from 1; the same wherever this version of the tree is asked about."""
    cause: str
    says: str


def outcomes(tree: Tree) -> tuple[Outcome, ...]:
    """What a case of this tree can turn out to be, in file order, *not listed* last."""
    known = ["+".join(causes) for causes in tree.cut_sets]
    listed = [Outcome(number, cause, says_of(tree, cause)) for number, cause in enumerate(known, 1)]
    return (*listed, Outcome(len(known) + 1, NOT_LISTED, ELSE))


def cause_numbered(tree: Tree, number: int) -> str:
    """The cause of that number, 0 being *not listed* too; raises NoSuchCause for a number beyond the list."""
    listed = outcomes(tree)
    if number == 0:
        return NOT_LISTED
    if number > len(listed):
        raise NoSuchCause(f"there is no outcome {number}; they are:\n{causes_listed(tree)}")
    return listed[number - 1].cause


def cause_named(tree: Tree, words: str) -> str:
    """The id of the cut set: its causes in file order, joined with `+`; old ids are led to the present ones.

    Raises NoSuchCause with the nearest right id for one that the tree does not have, and with what to write
    instead for an event that is no cause, or for causes that do not make the symptom just so.
    """
    named = [word.strip().lower() for word in words.split("+")]
    if named == [NOT_LISTED]:
        return NOT_LISTED
    order = {event.id: at for at, event in enumerate(tree.causes())}
    causes = sorted({_cause(tree, word, order) for word in named}, key=order.__getitem__)
    if tuple(causes) not in tree.cut_sets:
        raise NoSuchCause(_not_just_so(tree, causes))
    return "+".join(causes)


def says_of(tree: Tree, cause: str) -> str:
    """A cut set in the tree's own words; nothing for one that it does not have."""
    events = [tree.events.get(id) for id in cause.split("+")]
    return " and ".join(event.says for event in events if event is not None)


def causes_listed(tree: Tree) -> str:
    """Every cause that a case of this tree can turn out to be, a line each, with its number."""
    listed = outcomes(tree)
    wide = len(str(len(listed)))
    return "\n".join(f"  {each.number:{wide}} {each.cause}: {each.says}" for each in listed)


def _cause(tree: Tree, word: str, known: dict[str, int]) -> str:
    if word in known:
        return word
    now = {old: event.id for event in tree.causes() for old in event.was}
    if word in now:
        return now[word]
    if word and word in tree.events:
        within = {event.id for event in tree.causes() if word in event.above}
        fits = ["+".join(causes) for causes in tree.cut_sets if within & set(causes)]
        raise NoSuchCause(
            f"{quoted(word)} is what causes lead to, and none itself; write {' or '.join(fits)}"
        )
    meant = nearest(word, (*known, NOT_LISTED))
    raise NoSuchCause(
        f"{quoted(word)} is no cause of {tree.id}"
        + (f' (did you mean "{meant}"?)' if meant else f"; its causes are:\n{causes_listed(tree)}")
    )


def _not_just_so(tree: Tree, causes: list[str]) -> str:
    """What to write instead of causes that do not make the symptom, or not all of them at once."""
    within = [each for each in tree.cut_sets if set(each) <= set(causes)]
    if within:
        fits = " or ".join("+".join(each) for each in within)
        return f"{'+'.join(causes)} is more than one cause; one case counts for one, so write {fits}"
    wider = ["+".join(each) for each in tree.cut_sets if set(causes) & set(each)]
    return f"{'+'.join(causes)} makes this symptom only together with others; write {' or '.join(wider)}"
