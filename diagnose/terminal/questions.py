"""The screens that ask something, from the views that a walk hands out.

The order is the same on each of them, so that an eye finds its way in the cold: what could hurt, what has to
be known, the question, how to look, what it takes, the answers, how things stand, and the words that always
work.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diagnose.terminal.figures import NO_CASES, basis_in_words, effort_sentences, share_in_words
from diagnose.terminal.layout import Manner, Page
from diagnose.terminal.sentences import inside, sentence
from diagnose.terminal.understanding import word_to_type
from diagnose.terms import NOT_LISTED, Caution, Ranked, Reading
from diagnose.walking.readings import example
from diagnose.walking.views import (
    NOT_CHECKED,
    Choice,
    ClearedQuestion,
    CuredQuestion,
    Effort,
    Question,
    RemedyOffered,
    Unsure,
    View,
    Where,
)

LEADING = 3
"""How many of the leading causes a screen names."""

WORTH_NAMING = 0.05
"""Below this share only the first is named: a list of dwarfs would be no help."""

NEEDS = {
    "kneel": "kneel",
    "climb": "climb",
    "lift": "lift something heavy",
    "reach": "reach far",
    "hear": "hear well",
    "smell": "smell well",
}


def heading(page: Page, view: View, *, shipped: bool, first: bool = False) -> Page:
    """The top of every screen: what it is about, whether the tree is checked, cautions and notices."""
    if first:
        page.say(view.symptom, "strong").gap()
    if not shipped and NOT_CHECKED not in view.notices:
        page.say(NOT_CHECKED, "strong").gap()
    for caution in view.cautions:
        show_caution(page, caution)
    for notice in view.notices:
        page.say(notice).gap()
    return page


def show_caution(page: Page, caution: Caution) -> None:
    """A safety text behind its signal word, never shortened."""
    manner: Manner = "danger" if caution.word == "DANGER" else "strong"
    page.say(caution.word, manner).say(caution.say, indent=2).gap()


def question_page(
    view: Question,
    width: int,
    *,
    shipped: bool = True,
    first: bool = False,
    been: Collection[str] = (),
    missing: str = "",
) -> Page:
    """A check or a fact to be asked; `been` holds the places where somebody has been in this walk.

    `missing` says of how many past cases the outcome is not known; it stands under the ranking.
    """
    page = heading(Page(width), view, shipped=shipped, first=first)
    if view.again and not view.notices:
        page.say("Asked again, since things may have changed:", "quiet")
    page.say(view.ask, "strong")
    page.say(view.how, indent=2)
    page.say(_what_it_takes(view.effort, (view.where,), been, view.needs), "quiet", indent=2)
    if view.starts:
        page.say(_tries(view.tries_left), indent=2)
    page.gap()
    _answers(page, view.choices, view.measures, whole=view.ask_first, also=view.also_read_in)
    _standing(page, view.ranking, missing)
    return _words(page, view, could_not=False, why=not (view.ask_first or view.fact))


def unsure_page(view: Unsure, width: int, *, shipped: bool = True) -> Page:
    """*Not sure* at a danger question: help first, then the same question once more."""
    page = heading(Page(width), view, shipped=shipped)
    page.say(view.advice).gap().say(view.ask, "strong").say(view.how, indent=2).gap()
    _answers(page, view.choices, view.measures, whole=True)
    page.say("Still not sure? Type: not sure. It then counts as danger.").gap()
    return _words(page, view, could_not=False, why=False)


def remedy_page(
    view: RemedyOffered,
    width: int,
    *,
    shipped: bool = True,
    first: bool = False,
    been: Collection[str] = (),
    missing: str = "",
) -> Page:
    """Something to do about the likeliest cause, and what became of it; `been` and `missing` as above."""
    page = heading(Page(width), view, shipped=shipped, first=first)
    page.say(f"It may be this: {inside(view.says)}.").gap()
    if len(view.do) == 1:
        page.say(sentence(view.do[0]), "strong")
    else:
        for number, text in enumerate(view.do, 1):
            page.hang(f"{number}. ", sentence(text), "strong")
    for text in view.how:
        page.say(text, indent=2)
    page.say(_what_it_takes(view.effort, view.where, been, view.needs), "quiet", indent=2)
    if view.tries_left is not None and view.tries_left <= 1:
        page.say(_tries(view.tries_left), indent=2)
    page.gap()
    _answers(page, view.choices, None, whole=False)
    _standing(page, view.ranking, missing)
    return _words(page, view, could_not=True, why=True)


def cured_page(view: CuredQuestion, width: int, *, shipped: bool = True) -> Page:
    """The question that decides whether it counts as cured."""
    page = heading(Page(width), view, shipped=shipped)
    page.say("Good. Make sure of it before you rely on it.").gap().say(view.ask, "strong")
    page.say(" ".join(effort_sentences(Effort(minutes=view.minutes))), "quiet", indent=2).gap()
    _answers(page, view.choices, None, whole=False)
    return _words(page, view, could_not=False, why=False)


def cleared_page(view: ClearedQuestion, width: int, *, shipped: bool = True) -> Page:
    """The vehicle's last walk ended in a stop: nothing is asked before somebody qualified has cleared it."""
    page = heading(Page(width), view, shipped=shipped, first=True)
    page.say(view.ask, "strong").gap()
    _answers(page, view.choices, None, whole=True)
    return _words(page, view, could_not=False, why=False)


def reminder_page(view: View, width: int) -> Page:
    """The question and its answers once more, without all that stands around them."""
    page = Page(width)
    if NOT_CHECKED in view.notices:
        page.say(NOT_CHECKED, "strong").gap()
    match view:
        case Question(ask=ask, choices=choices, measures=measures, ask_first=whole, also_read_in=also):
            page.say(ask, "strong").gap()
            _answers(page, choices, measures, whole=whole, also=also)
        case Unsure(ask=ask, choices=choices, measures=measures):
            page.say(ask, "strong").gap()
            _answers(page, choices, measures, whole=True)
        case ClearedQuestion(ask=ask, choices=choices):
            page.say(ask, "strong").gap()
            _answers(page, choices, None, whole=True)
        case CuredQuestion(ask=ask, choices=choices):
            page.say(ask, "strong").gap()
            _answers(page, choices, None, whole=False)
        case RemedyOffered(do=do, choices=choices):
            page.say(" ".join(sentence(text) for text in do), "strong").gap()
            _answers(page, choices, None, whole=False)
    return page


def _answers(
    page: Page,
    choices: Sequence[Choice],
    measures: Reading | None,
    *,
    whole: bool,
    also: Sequence[str] = (),
) -> None:
    if measures is not None:
        other = "".join(f" or {example(measures, unit)}" for unit in also)
        page.say(
            f"Type what you read, such as {example(measures)}{other}. "
            f"It lies between {measures.low:g} and {measures.high:g} {measures.unit}."
        )
        if choices:
            page.say("No figure, but you can tell? Then type the word:")
            page.listing([(choice.id.replace("-", " "), _unless_same(choice)) for choice in choices])
    elif whole:
        page.say("Type the whole word:", "quiet")
        page.listing([(word_to_type(choice, choices), _unless_same(choice)) for choice in choices])
    else:
        page.listing([(str(number), choice.says) for number, choice in enumerate(choices, 1)])
    page.gap()


def _unless_same(choice: Choice) -> str:
    same = choice.says.strip(". ").casefold() == choice.id.replace("-", " ")
    return "" if same else choice.says


def _standing(page: Page, ranking: Sequence[Ranked], missing: str) -> None:
    """The leading causes, quietly, in words and figures, and how much of the past is not known."""
    if not ranking:
        return
    page.say("So far the likeliest:", "quiet")
    leading = [ranking[0], *(ranked for ranked in ranking[1:LEADING] if ranked.share >= WORTH_NAMING)]
    judged = all(ranked.cases <= 0 for ranked in ranking)
    for ranked in leading:
        basis = "" if judged else f" ({basis_in_words(ranked, ranking)})"
        page.hang("- ", f"{cause_in_words(ranked)}: {share_in_words(ranked.share)}{basis}", "quiet")
    page.say(sentence(NO_CASES) if judged else missing, "quiet", indent=2).gap()


def cause_in_words(ranked: Ranked) -> str:
    """A hypothesis as a line of a ranking names it."""
    return "Something that is not listed here" if ranked.cause == NOT_LISTED else ranked.says


def _words(page: Page, view: View, *, could_not: bool, why: bool) -> Page:
    """The words that always work, for somebody who has never used this."""
    words = ["not sure"]
    if could_not:
        words = ["could not"]
    if view.can_go_back:
        words.append("back")
    if why:
        words.append("why")
    words += ["help", "leave off", "danger"]
    return page.say("Or type: " + ", ".join(words) + ".", "quiet")


def _what_it_takes(
    effort: Effort, where: Sequence[Where], been: Collection[str], needs: Sequence[str]
) -> str:
    sentences = list(effort_sentences(effort))
    places = list(dict.fromkeys(spot.place for spot in where if spot.place))
    if places and all(place in been for place in places):
        sentences.append(f"While you are there, {', then '.join(places)}.")
    elif places:
        sentences.append(sentence(", then ".join(places)))
    sentences += [_whereabouts(spot) for spot in where if spot.whereabouts]
    if needs:
        wants = [NEEDS.get(need, need) for need in needs]
        sentences.append(f"You have to {' and '.join(wants)}; if you cannot, ask somebody who can.")
    return " ".join(sentences)


def _whereabouts(spot: Where) -> str:
    """Where a part is in this vehicle: `Battery isolator: under the driver's seat, red key.`"""
    return sentence(f"{spot.part.replace('-', ' ')}: {spot.whereabouts}")


def _tries(left: int | None) -> str:
    if left is None:
        return ""
    if left <= 1:
        return "This is the last try for now: it is not started again after that."
    return f"It may be started {left} more times, this one included."
