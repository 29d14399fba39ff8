"""Figures as people say them: shares, minutes, waiting and money, each on its own.

Nothing here adds waiting or money to minutes: somebody who plans an afternoon needs to know what they have to
do themselves, what merely takes its time, and what it costs.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.terms import Ranked
from diagnose.walking.views import Effort

NO_CASES = "our judgement, no cases yet"


def share_in_words(share: float) -> str:
    """A share between 0 and 1 as somebody would say it.

    >>> share_in_words(0.38), share_in_words(0.04), share_in_words(0.97), share_in_words(0.002)
    ('about 4 in 10', 'about 4 in 100', 'more than 9 in 10', 'less than 1 in 100')
    """
    if share >= 0.95:
        return "more than 9 in 10"
    if share >= 0.075:
        return f"about {max(1, round(share * 10))} in 10"
    if share >= 0.01:
        return f"about {round(share * 100)} in 100"
    return "less than 1 in 100"


def interval_in_words(low: float, high: float) -> str:
    """The two ends of an interval of shares.

    >>> interval_in_words(0.21, 0.58)
    'between 21 and 58 in 100'
    """
    lowest, highest = round(low * 100), round(high * 100)
    return f"{lowest} in 100" if lowest == highest else f"between {lowest} and {highest} in 100"


def basis_in_words(ranked: Ranked, ranking: Sequence[Ranked]) -> str:
    """What a share rests on: how many of the confirmed cases, or our judgement alone.

    Counts that are weighted by age or by rate of return are no whole numbers; they are said as "about".
    """
    total = sum(entry.cases for entry in ranking)
    if total <= 0:
        return NO_CASES
    exact = all(float(entry.cases).is_integer() for entry in ranking)
    noun = "case" if round(total) == 1 else "cases"
    return f"{'' if exact else 'about '}{round(ranked.cases)} of {round(total)} {noun}"


def duration_in_words(minutes: float) -> str:
    """A stretch of time in the words that one plans with.

    >>> duration_in_words(3), duration_in_words(1), duration_in_words(150), duration_in_words(600)
    ('3 minutes', '1 minute', '2 and a half hours', 'a night')
    """
    if minutes < 1:
        return "less than a minute"
    if minutes < 90:
        whole = round(minutes)
        return "1 minute" if whole == 1 else f"{whole} minutes"
    if 480 <= minutes <= 900:
        return "a night"
    if 900 < minutes <= 1800:
        return "a day"
    if minutes > 1800:
        return f"{round(minutes / 1440)} days"
    halves = round(minutes / 30)
    if halves == 3:
        return "an hour and a half"
    return f"{halves // 2} and a half hours" if halves % 2 else f"{halves // 2} hours"


def effort_sentences(effort: Effort) -> tuple[str, ...]:
    """What a step asks of somebody: work, waiting and money, a sentence each, where there is any."""
    sentences = []
    if effort.minutes > 0:
        length = duration_in_words(effort.minutes)
        sentences.append(f"{'About ' if effort.minutes >= 1 else ''}{length}.".capitalize())
    if effort.wait > 0:
        sentences.append(
            f"Then it takes {duration_in_words(effort.wait)}, but not you: nobody need be there."
        )
    if effort.price > 0:
        sentences.append(f"Costs about {money_in_words(effort.price)}.")
    return tuple(sentences)


def money_in_words(price: float) -> str:
    """A rough price; the trees are used in more than one country and their prices are rough.

    >>> money_in_words(35.0)
    '35 pounds or euros'
    """
    whole = round(price)
    if whole == 1:
        return "1 pound or euro"
    return f"{whole if whole else round(price, 2)} pounds or euros"
