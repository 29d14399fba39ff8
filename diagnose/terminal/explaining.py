"""Answers to `why` and `help`, and what is said to a line that fits no answer."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diagnose.reasoning.learning import Return
from diagnose.terminal.figures import (
    basis_in_words,
    duration_in_words,
    interval_in_words,
    share_in_words,
)
from diagnose.terminal.layout import Page
from diagnose.terminal.questions import cause_in_words
from diagnose.terminal.returning import ranked_from
from diagnose.terminal.sentences import inside
from diagnose.terminal.understanding import Unclear, word_to_type
from diagnose.terms import Ranked
from diagnose.walking.leading import Leads, Reason
from diagnose.walking.readings import example
from diagnose.walking.views import (
    NO_CERTIFICATE,
    ClearedQuestion,
    CuredQuestion,
    Question,
    RemedyOffered,
    Unsure,
    View,
)

MOST_NAMED = 3
LONG = 480
"""From so many minutes on a saving is said in hours: "a night" would be no time that one saves."""


def why_page(
    reason: Reason,
    view: Question | RemedyOffered,
    width: int,
    been: Collection[str] = (),
    returned: Sequence[Return] = (),
) -> Page:
    """Two sentences: what the step tells apart and saves, and how sure it is so far; then what comes next.

    `been` holds the places where somebody has been in this walk, `returned` how past outcomes came back. Of
    those nothing is said while there are no cases.
    """
    there = " ".join(_what_it_brings(reason, view, been).split())
    page = Page(width).gap().say(f"{there} {_how_sure(reason, view.ranking)}".strip()).gap()
    together: dict[str, list[str]] = {}
    for leads in reason.leads:
        together.setdefault(_next_in_words(leads), []).extend(leads.answers)
    if len(together) == 1 and len(reason.leads[0].answers) + len(reason.leads) > 2:
        page.say("What comes next, whatever the answer:", "quiet").say(next(iter(together)), indent=4)
        together.clear()
    if together:
        page.say("What comes after each answer:", "quiet")
    for following, answers in together.items():
        page.say(f"{'; '.join(answers)}:", indent=2).say(following, indent=4)
    total = sum(ranked.cases for ranked in view.ranking)
    return page.gap().say(ranked_from(total, returned), "quiet") if total > 0 else page


def help_page(view: View, width: int) -> Page:
    """What can be typed, for somebody who has never used this."""
    page = Page(width).gap()
    if wants_the_word(view):
        page.say("One thing at a time. Here an answer is typed as a whole word, so that no slip answers it.")
    else:
        page.say("One thing at a time. Type the number of an answer, its first letters or its words.")
    if isinstance(view, Question | Unsure) and view.measures is not None:
        page.say(f"A reading is typed as a number, with or without its unit: {example(view.measures)}.")
    unsure = "you cannot tell: then you are helped to find out" if wants_the_word(view) else "you cannot tell"
    words = {
        "not sure": unsure,
        "could not": "you were not able to do it",
        "back": "take the last answer back; back 2 takes back two",
        "why": "why this is asked now",
        "leave off": "stop for now; all that you found is kept",
        "danger": "something is dangerous: it stops at once and says whom to call",
    }
    of_no_use = {"could not", "why"} if wants_the_word(view) else set()
    page.gap().listing([(word, says) for word, says in words.items() if word not in of_no_use])
    return page.gap().say(NO_CERTIFICATE)


def wants_the_word(view: View) -> bool:
    """Whether only the whole word answers: at a danger question, and when asked whether it was cleared."""
    return isinstance(view, Unsure | ClearedQuestion) or (isinstance(view, Question) and view.ask_first)


def what_would_be_right(view: View, meant: Unclear, width: int) -> Page:
    """What to type instead of a line that fits no answer, or more than one."""
    page = Page(width)
    choices = (
        view.choices
        if isinstance(view, Question | Unsure | RemedyOffered | CuredQuestion | ClearedQuestion)
        else ()
    )
    measures = view.measures if isinstance(view, Question | Unsure) else None
    if meant.between and wants_the_word(view):
        words = [word_to_type(choice, choices) for choice in meant.between]
        return page.say(f"More than one answer begins so. Type the whole word: {_or(words)}.")
    if meant.between:
        names = " or ".join(f'"{choice.says}"' for choice in meant.between)
        more = "more letters" if measures is not None else "more letters, or the number"
        return page.say(f"That fits {names}. Type {more}.")
    if measures is not None:
        return page.say(
            f"That is no reading. Type a number between {measures.low:g} and {measures.high:g} "
            f"{measures.unit}, such as {example(measures)}, or: not sure."
        )
    if wants_the_word(view):
        words = [word_to_type(choice, choices) for choice in choices]
        return page.say(f"Here it has to be the whole word: {_or([*words, 'not sure'])}.")
    most = f"a number from 1 to {len(choices)}" if len(choices) > 1 else "1"
    return page.say(f"That is none of the answers. Type {most}, the first letters of an answer, or: help.")


def _what_it_brings(reason: Reason, view: Question | RemedyOffered, been: Collection[str]) -> str:
    """The first sentence; getting there is said to be paid, and waiting to be nobody's work."""
    wheres = (view.where,) if isinstance(view, Question) else view.where
    places = [where.place for where in wheres if where.place]
    this = "While you are there, this" if places and all(place in been for place in places) else "This"
    parts = [*_apart(reason), *_saving(reason)]
    wait = f"; it takes {duration_in_words(view.effort.wait)}, but not you" if view.effort.wait > 0 else ""
    return f"{this} {' and '.join(parts) or 'is the next best step'}{wait}."


def _apart(reason: Reason) -> list[str]:
    causes = [f'"{says}"' for says in reason.separates[:MOST_NAMED]]
    if not causes:
        return []
    if len(causes) == 1:
        return [f"shows whether it is {causes[0]}"]
    return [f"tells {', '.join(causes[:-1])} and {causes[-1]} apart"]


def _saving(reason: Reason) -> list[str]:
    """Money and waiting are in it as well, so it is what minutes are worth."""
    if reason.saves < 1:
        return []
    hours = round(reason.saves / 60)
    worth = f"{hours} hours" if reason.saves >= LONG else duration_in_words(reason.saves)
    return [f"saves the worth of about {worth} on average"]


def _next_in_words(leads: Leads) -> str:
    match leads.step.kind:
        case "check":
            return leads.says or "Another check; what to mind is said with it."
        case "remedy":
            return f"What to do if it is this: {inside(leads.says)}."
        case "stop":
            return f"It stops for danger. To be called: {inside(leads.says)}."
        case "referral":
            return f"It goes to others: {inside(leads.says)}."
        case "handover":
            return f"Other questions, those of {leads.says}."


def _how_sure(reason: Reason, ranking: Sequence[Ranked]) -> str:
    if reason.sure is None:
        return ""
    leader = reason.sure
    return (
        f'So far the likeliest is "{cause_in_words(leader)}", {share_in_words(leader.share)} '
        f"({interval_in_words(leader.low, leader.high)}; {basis_in_words(leader, ranking)})."
    )


def _or(words: Sequence[str]) -> str:
    return ", ".join(words[:-1]) + f" or {words[-1]}" if len(words) > 1 else "".join(words)
