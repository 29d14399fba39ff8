"""Answers to `why` and `help`, and what is said to a line that fits no answer."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.terminal.figures import (
    basis_in_words,
    duration_in_words,
    interval_in_words,
    share_in_words,
)
from diagnose.terminal.layout import Page
from diagnose.terminal.questions import cause_in_words
from diagnose.terminal.understanding import Unclear, word_to_type
from diagnose.terms import Ranked
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
from diagnose.walking.walk import Reason

MOST_NAMED = 3


def why_page(reason: Reason, ranking: Sequence[Ranked], width: int) -> Page:
    """Two sentences: what the question tells apart and saves, and how sure it is so far."""
    return Page(width).gap().say(f"{_what_it_brings(reason)} {_how_sure(reason, ranking)}".strip()).gap()


def help_page(view: View, width: int) -> Page:
    """What can be typed, for somebody who has never used this."""
    page = Page(width).gap()
    page.say("One thing at a time. Type the number of an answer, its first letters or its words.")
    if isinstance(view, Question | Unsure) and view.measures is not None:
        page.say(f"A reading is typed as a number, with or without its unit: {example(view.measures)}.")
    page.gap().listing(
        [
            ("not sure", "you cannot tell; that is a fair answer, except at a danger question"),
            ("could not", "you were not able to do it"),
            ("back", "take the last answer back; back 2 takes back two"),
            ("why", "why this is asked now"),
            ("leave off", "stop for now; all that you found is kept"),
            ("danger", "something is dangerous: it stops at once and says whom to call"),
        ]
    )
    return page.gap().say(NO_CERTIFICATE).gap()


def what_would_be_right(view: View, meant: Unclear, width: int) -> Page:
    """What to type instead of a line that fits no answer, or more than one."""
    page = Page(width)
    choices = (
        view.choices
        if isinstance(view, Question | Unsure | RemedyOffered | CuredQuestion | ClearedQuestion)
        else ()
    )
    measures = view.measures if isinstance(view, Question | Unsure) else None
    if meant.between:
        names = " or ".join(f'"{choice.says}"' for choice in meant.between)
        more = "more letters" if measures is not None else "more letters, or the number"
        return page.say(f"That fits {names}. Type {more}.")
    if measures is not None:
        return page.say(
            f"That is no reading. Type a number between {measures.low:g} and {measures.high:g} "
            f"{measures.unit}, such as {example(measures)}, or: not sure."
        )
    whole = isinstance(view, Unsure | ClearedQuestion) or (isinstance(view, Question) and view.ask_first)
    if whole:
        words = [word_to_type(choice, choices) for choice in choices]
        return page.say(f"Here it has to be the whole word: {_or([*words, 'not sure'])}.")
    most = f"a number from 1 to {len(choices)}" if len(choices) > 1 else "1"
    return page.say(f"That is none of the answers. Type {most}, the first letters of an answer, or: help.")


def _what_it_brings(reason: Reason) -> str:
    saves = f"saves about {duration_in_words(reason.saves)} on average" if reason.saves >= 1 else ""
    if not reason.separates:
        return f"This step {saves}." if saves else "This is the next best step."
    causes = [f'"{says}"' for says in reason.separates[:MOST_NAMED]]
    if len(causes) == 1:
        apart = f"This shows whether it is {causes[0]}"
    else:
        apart = f"This tells {', '.join(causes[:-1])} and {causes[-1]} apart"
    return f"{apart} and {saves}." if saves else f"{apart}."


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
