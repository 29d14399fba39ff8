"""The steps of that talk about existing checks: what the case showed, and would it again."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from diagnose.cases.records import Entry
from diagnose.knowledge.checks import PROBABILITY_WORDS
from diagnose.revising.extending_offers import Shown, checks_like, expected_of, shown_in_case
from diagnose.revising.rendering import Value
from diagnose.terminal.extend_dialogue_asking import Asker
from diagnose.terms import Check, Tree
from diagnose.walking.views import Choice

Rows = Mapping[str, Mapping[str, Value]]
"""Check -> answer -> how often this cause shows it."""
AS_IT_IS = "as-it-is"


def ask_for_rows(
    asker: Asker, tree: Tree, entries: Sequence[Entry], under: str, judge: Callable[[Rows], Sequence[str]]
) -> Rows:
    """What existing checks show if it is the cause: those of the case, then any other that is named."""
    rows: dict[str, Mapping[str, Value]] = {}
    for shown in shown_in_case(tree, entries, under):
        rows |= _row(asker, shown, "This case showed: ")
    while True:
        words = asker.line(
            "Which other question of this tree would have shown it?",
            "A word or two of the question, or Enter for none.",
        )
        if not words:
            break
        check = _found(asker, tree, words)
        if check is not None:
            answers = [
                Choice(answer.id, answer.says or answer.id.replace("-", " ")) for answer in check.answers
            ]
            answer = asker.choose(f"{check.ask} What would it show?", answers)
            rows |= _row(asker, Shown(check, answer, expected_of(check, answer, tree, under)), "")
    wrong = judge(rows)
    for sentence in wrong:
        asker.say(sentence)
    return ask_for_rows(asker, tree, entries, under, judge) if wrong else rows


def _found(asker: Asker, tree: Tree, words: str) -> Check | None:
    found = checks_like(tree, words)
    if not found:
        asker.say("No question here is like that.")
        return None
    choices = [Choice(each.id, each.ask) for each in found]
    picked = asker.choose("Which of these?", choices, how="Enter for none of them.", usual="")
    return next((each for each in found if each.id == picked), None)


def _row(asker: Asker, shown: Shown, before: str) -> dict[str, Mapping[str, Value]]:
    asker.say(f"{before}{shown.check.ask}", "strong")
    asker.say(shown.says, indent=2)
    word = how_likely(
        asker,
        "If this were the fault again, how likely is that?",
        f"So far the tree expects it of {100 * shown.expected:.0f} in 100; Enter leaves it at that.",
        usual=AS_IT_IS,
    )
    return {} if word == AS_IT_IS else {shown.check.id: {shown.answer: word}}


def how_likely(asker: Asker, ask: str, how: str, *, usual: str) -> Value:
    """A word of probability or a number from 0 to 1; `usual` for Enter."""
    choices = [Choice(word, f"{word} ({chance:g})") for word, chance in PROBABILITY_WORDS.items()]
    picked = asker.choose(ask, choices, how=how, usual=usual, other=_chance)
    return picked if picked in PROBABILITY_WORDS or picked == usual else float(picked)


def _chance(text: str) -> str | None:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        return None
    return repr(number) if 0 <= number <= 1 else None
