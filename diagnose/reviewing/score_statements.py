"""What scores say, as plain sentences for a technician: the same on a screen and on a page."""

from __future__ import annotations

from math import exp, isnan

from diagnose.reasoning.intervals import Score
from diagnose.reasoning.scores import FEWEST_FOR_CALIBRATION, Bin
from diagnose.reviewing.figures import FEWEST_DIFFERING, Figures, Learning
from diagnose.reviewing.scoring import LeftOut, Review, TreeScores

FEW_CASES = 10
"""Below so many cases the figures are given with the warning that chance could make them much else."""
UNEQUAL = 0.95
"""Cases worth less than this part of their number are said to count unequally."""

HOW = (
    "Each case was ranked from its own answers and from the cases that were known before it, and scored "
    "before it was learned from."
)
INTERVALS = (
    "Intervals hold 90 in 100: with other cases of the same kind a figure would lie between those ends nine "
    "times in ten. Rates by Wilson 1927, means by the bootstrap over cases (Efron 1987)."
)
WHAT_MINUTES_ARE = (
    "Minutes are those that the trees give to each step, with waiting, money and referrals counted in; no "
    "clock was read. A walk counts with the steps it really took, against what its route let expect before "
    "the first question."
)
VERDICT_IN_A_WORD = {"helped": "helped", "harmed": "harmed", "not-shown": "not shown", "too-few": "too few"}


def basis(review: Review) -> list[str]:
    """What was scored."""
    since = f" since {review.since.astimezone():%Y-%m-%d}" if review.since is not None else ""
    if review.overall is None:
        if since and not review.left_out:
            return [f"No case was confirmed{since}: there is nothing to score."]
        if review.left_out:
            return ["None of the confirmed cases can be scored."]
        return [
            "No case is confirmed yet, so there is nothing to score. Once you know what a case was: "
            "diagnose cases confirm CASE CAUSE"
        ]
    told = review.overall
    trees = "one symptom" if len(review.trees) == 1 else f"{len(review.trees):,} symptoms"
    sentences = [f"Scored: {_cases(told.cases, 'confirmed ')} of {trees}{since}. {HOW}"]
    if told.cases < FEW_CASES:
        sentences.append(
            f"{_cases(told.cases)} {'is' if told.cases == 1 else 'are'} too few to judge a ranking "
            "by: chance could make the figures much else."
        )
    if told.effective < UNEQUAL * told.cases:
        sentences.append(
            "As in the ranking, a case counts for those of its ending of which nobody has told; together "
            f"they are worth {told.effective:,.0f} that count alike."
        )
    earlier = sum(each.earlier_file for each in review.trees)
    if earlier:
        verb = "was" if earlier == 1 else "were"
        sentences.append(
            f"{_cases(earlier)} {verb} walked with an earlier version of the file; all are ranked "
            "here with the files of today."
        )
    return sentences


def rates(figures: Figures) -> list[str]:
    """How often the true cause was in front, with past cases and by the files alone."""
    learned, by_file = figures.learned, figures.by_file
    return [
        f"The true cause was in front in {rate(learned.top_1)}, and among the first three in "
        f"{rate(learned.top_3)}.",
        f"By the files alone it would have been in front in {rate(by_file.top_1)}, and among the first "
        f"three in {rate(by_file.top_3)}.",
    ]


def learning(found: Learning) -> str:
    """Whether learning from past cases helped, in one plain verdict with its figures."""
    counts = f"better in {_cases(found.better)}, worse in {found.worse:,}, the same in {found.same:,}"
    if found.verdict == "too-few":
        number = found.better + found.worse
        of = "no case" if number == 0 else f"only {_cases(number)}"
        return (
            f"Too little to say whether learning helped: past cases changed the ranking of {of}, and it "
            f"takes {FEWEST_DIFFERING}."
        )
    gain = found.difference
    share = (
        f"on the mean the true cause had {exp(gain.value):.2f} times the share that the files alone give it "
        f"(between {exp(gain.low):.2f} and {exp(gain.high):.2f}); {counts}"
    )
    if found.verdict == "helped":
        return f"Learning helped: {share}."
    if found.verdict == "harmed":
        return f"Learning made the ranking worse: {share}."
    return f"Whether learning helped cannot be told from these cases: {share}."


def calibration(figures: Figures) -> list[str]:
    """Whether the shares can be believed as they stand."""
    bins = figures.calibration
    if not bins:
        return [
            "Too few cases to say whether a share can be taken at its word: it takes "
            f"{FEWEST_FOR_CALIBRATION}."
        ]
    fitting = sum(each.low <= each.said <= each.high for each in bins)
    sentence = (
        f"Cases in {len(bins)} groups of equal size, by the share of the leading cause: in {fitting} of them "
        "what was said lies within what chance allows."
    )
    off = [each for each in bins if not each.low <= each.said <= each.high]
    if len(off) <= 1:
        return [sentence, "One in ten may lie outside by chance: the shares can be taken at their word."]
    too_bold = sum(each.said > each.high for each in off)
    if too_bold == len(off):
        return [sentence, "Outside, it was too sure of itself: right less often than it said."]
    if too_bold == 0:
        return [sentence, "Outside, it was too modest: right more often than it said."]
    return [sentence, "Outside, it was now too sure of itself, now too modest."]


def minutes(figures: Figures) -> list[str]:
    """What walks cost against what was expected of them."""
    found = figures.minutes
    if found is None:
        return ["No scored case was walked to its end here, so there are no minutes to compare."]
    sentences = [
        f"Over {_number(found.walked.cases, 'walk')}: expected {amount(found.expected)}, walked "
        f"{amount(found.walked)}."
    ]
    difference = found.difference
    if isnan(difference.low):
        sentences.append("One walk says nothing about the mean.")
    elif difference.low > 0 or difference.high < 0:
        how = "more" if difference.value > 0 else "fewer"
        low, high = sorted((abs(difference.low), abs(difference.high)))
        sentences.append(
            f"Walks took {abs(difference.value):,.0f} minutes {how} than expected (between {low:,.0f} and "
            f"{high:,.0f})."
        )
    else:
        sentences.append(
            f"The difference of {_signed(difference.value)} (between {_signed(difference.low)} and "
            f"{_signed(difference.high)}) may be chance."
        )
    sentences.append(f"The files' own shares let expect {amount(found.expected_by_file)}.")
    return sentences


def left_out(each: LeftOut) -> str:
    """Why some confirmed cases were not scored."""
    verb = "is" if each.cases == 1 else "are"
    those = f"{_cases(each.cases)} of {each.symptom} {verb} left out"
    if each.reason == "no-tree":
        return f"{those}: {each.told}"
    return f'{those}: its file has no cause "{each.cause}" any more'


def tree_note(each: TreeScores) -> str:
    """What a line of the table of symptoms cannot say by itself; nothing where there is nothing."""
    return "too few cases to judge" if each.figures.cases < FEW_CASES else ""


def bin_row(each: Bin) -> tuple[str, str, str, str]:
    """Said, right, between, cases: each in 100 but the last."""
    return (
        f"{100 * each.said:.0f}",
        f"{100 * each.hit:.0f}",
        f"{100 * each.low:.0f}-{100 * each.high:.0f}",
        f"{each.cases:,}",
    )


def rate(score: Score) -> str:
    """A rate as somebody says it.

    >>> rate(Score(0.62, 0.581, 0.659, 100))
    '62 of 100 (between 58 and 66)'
    """
    return f"{100 * score.value:.0f} of 100 (between {100 * score.low:.0f} and {100 * score.high:.0f})"


def in_100(score: Score) -> str:
    """A rate in a table.

    >>> in_100(Score(0.62, 0.581, 0.659, 100))
    '62 (58 to 66)'
    """
    return f"{100 * score.value:.0f} ({100 * score.low:.0f} to {100 * score.high:.0f})"


def figure(score: Score, digits: int = 3) -> str:
    """A figure with its interval.

    >>> figure(Score(0.9215, 0.8, 1.04, 30))
    '0.921 (0.800 to 1.040)'
    """
    if isnan(score.low) or score.low == score.high:
        return f"{score.value:.{digits}f}"
    return f"{score.value:.{digits}f} ({score.low:.{digits}f} to {score.high:.{digits}f})"


def amount(score: Score) -> str:
    """Minutes with their interval.

    >>> amount(Score(54.4, 51.6, 57.0, 30))
    '54 minutes (between 52 and 57)'
    """
    sure = isnan(score.low) or score.low == score.high
    between = "" if sure else f" (between {score.low:,.0f} and {score.high:,.0f})"
    return f"{score.value:,.0f} minutes{between}"


def _cases(number: int, kind: str = "") -> str:
    return f"{number:,} {kind}{'case' if number == 1 else 'cases'}"


def _signed(value: float) -> str:
    """A difference of minutes.

    >>> _signed(3.4), _signed(-0.2), _signed(-1200.0)
    ('+3', '0', '-1,200')
    """
    return f"{round(value):+,}" if round(value) else "0"


def _number(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'' if number == 1 else 's'}"
