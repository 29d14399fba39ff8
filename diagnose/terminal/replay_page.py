"""What replaying past cases over two versions of a tree came to, as a page for any width."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, isnan

from diagnose.reasoning.intervals import Score
from diagnose.revising.paired import Paired
from diagnose.revising.replaying_found import OneSide, Replay, Worse
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.wrapping import clean, display_width

MOST_SHOWN = 10
"""Of the cases that got worse; --json has all."""
MOST_IDS = 5
"""Of checks or causes named in one sentence."""
HEADINGS = ("CASE", "RANK", "SHARE", "MINUTES", "CAUSE")
WHAT_IT_IS = (
    "Each case is judged by both trees from its own findings and from all other cases; it has no part in the "
    "sums that judge it. Every confirmed case counts once."
)
WHAT_MINUTES_ARE = (
    "Minutes are what each file's route would have cost, with waiting and money at their rates. Answers that "
    "a case lacks are weighed by how likely each is with its true cause."
)
_VERDICTS = {
    "alike": "No difference that matters.",
    "better": "The new tree is better.",
    "worse": "The new tree is worse.",
    "not-shown": "Which is better cannot be told from these cases.",
    "too-few": "Too few cases differ to say which is better.",
}


def replay_page(found: Replay, width: int) -> Page:
    """The whole page."""
    page = Page(width)
    if not found.cases:
        page.say("No confirmed case is at hand, so there is nothing to compare.")
        return _left_out(page, found)
    same = f", {found.different:,} of them different" if found.different < found.cases else ""
    page.say(f"Past cases: {found.cases:,}{same}.").say(WHAT_IT_IS)
    comparison(page.gap(), found)
    page.gap().say(WHAT_MINUTES_ARE)
    _worse(page.gap(), found.worse)
    return _left_out(page, found)


def comparison(page: Page, found: Replay) -> Page:
    """The three comparisons: how many cases got better or worse, and the means with their intervals."""
    if found.loss is None or found.rank is None or found.minutes is None:
        return page
    named = (
        ("Share of the true cause", "log loss", found.loss, 3),
        ("Place in the ranking", "place", found.rank, 2),
        ("Minutes", "minutes", found.minutes, 1),
    )
    for name, _, each, _ in named:
        page.say(_counts(name, each), "strong" if each.verdict == "worse" else "plain")
    page.gap()
    _table(page, [(short, each, digits) for _, short, each, digits in named])
    for name, _, each, _ in named:
        if each.verdict != "alike":
            page.say(f"{name}: {_chance(each)}")
    return page.say("Less is better in every line; gained is before less now.")


def _counts(name: str, found: Paired) -> str:
    return (
        f"{name}: better on {found.better:,}, worse on {found.worse:,}, no clear difference on "
        f"{found.alike:,}. {_VERDICTS[found.verdict]}"
    )


def _table(page: Page, rows: Sequence[tuple[str, Paired, int]]) -> None:
    """Means before and now; the interval stands on a line of its own where there is no room."""
    lines = [("", "BEFORE", "NOW", "GAINED", "90 % INTERVAL")]
    for name, each, digits in rows:
        means = (f"{each.old.value:,.{digits}f}", f"{each.new.value:,.{digits}f}")
        lines.append((name, *means, _signed(each.gain.value, digits), _interval(each.gain, digits)))
    widths = [max(map(display_width, column)) for column in zip(*lines, strict=True)]
    wide = sum(widths) + 2 * len(widths) <= page.width
    for name, *cells, interval in lines:
        start = "  ".join([name.ljust(widths[0]), *map(str.rjust, cells, widths[1:-1])])
        page.lines.append(Line(f"{start}  {interval}" if wide else start))
        if not wide:
            page.lines.append(Line(f"  {interval}"))


def _interval(score: Score, digits: int) -> str:
    if isnan(score.low):
        return "one case alone"
    return f"{_signed(score.low, digits)} to {_signed(score.high, digits)}"


def _signed(value: float, digits: int) -> str:
    """With its sign, and none for what is rounded to nought."""
    text = f"{value:+,.{digits}f}"
    return text[1:] if not text.strip("+-0.") else text


def _chance(found: Paired) -> str:
    sign = f"sign test p {_p(found.sign)}"
    if found.signed_rank is None:
        return f"Only {found.differing} {_noun(found.differing, 'case')} differ at all; {sign}."
    return f"Wilcoxon signed rank p {_p(found.signed_rank)}; {sign}."


def _p(chance: float) -> str:
    return "under 0.001" if chance < 0.001 else f"{chance:.3f}"


def _worse(page: Page, worse: Sequence[Worse]) -> None:
    page.say("CASES THAT GOT WORSE")
    if not worse:
        page.say("None got clearly worse.")
        return
    shown = worse[:MOST_SHOWN]
    if len(worse) > len(shown):
        page.say(f"The {len(shown)} worst of {len(worse):,} (--json has all):")
    lines = [HEADINGS, *map(_row, shown)]
    widths = [max(map(display_width, column)) for column in zip(*lines, strict=True)][:-1]
    for *cells, cause in lines:
        start = "  ".join(cell.rjust(size) for cell, size in zip(cells, widths, strict=True)) + "  "
        if display_width(start) > page.width * 3 // 5:
            page.lines.append(Line(start.rstrip()))
            page.say(cause, indent=6)
        else:
            page.hang(start, cause, indent=0)


def _row(each: Worse) -> tuple[str, str, str, str, str]:
    return (
        str(each.case),
        f"{each.old_rank}>{each.new_rank}",
        f"{_share(each.old_loss)}>{_share(each.new_loss)}",
        f"{each.old_minutes:.0f}>{each.new_minutes:.0f}",
        clean(each.cause),
    )


def _share(loss: float) -> str:
    """Of 100, from a log loss."""
    return f"{100 * exp(-loss):.0f}"


def _left_out(page: Page, found: Replay) -> Page:
    """What had to be left out, or taken for something else."""
    notes = [*_of_side(found.old, "old"), *_of_side(found.new, "new")]
    if found.left_out:
        number = sum(cases for _, cases in found.left_out)
        notes.append(
            f"{number:,} {_noun(number, 'case')} left out: neither tree has the cause "
            f"({_named(found.left_out)})."
        )
    if found.new_causes and found.not_listed:
        notes.append(
            f"{found.not_listed:,} {_noun(found.not_listed, 'case')} confirmed as not-listed count as that "
            f"in both trees. What turned out to be {clean(_and(found.new_causes))} is confirmed again: "
            "diagnose cases confirm."
        )
    if found.merged > 0:
        notes.append(
            f"{found.merged:,} {_noun(found.merged, 'case')} from other workshops are learned from; their "
            "findings are not here, so they are not replayed."
        )
    if notes:
        page.gap().say("TO BE SAID BESIDE IT")
        for note in notes:
            page.say(note)
    return page


def _of_side(side: OneSide, which: str) -> list[str]:
    notes = []
    if side.unlisted:
        number = sum(cases for _, cases in side.unlisted)
        notes.append(
            f"The {which} tree does not know the cause of {number:,} {_noun(number, 'case')} "
            f"({_named(side.unlisted)}); there they count as not-listed."
        )
    if side.not_asked:
        notes.append(
            f"The {which} tree does not ask what was answered in {side.cases_not_asked:,} "
            f"{_noun(side.cases_not_asked, 'case')} ({_named(side.not_asked)}); those answers are left out "
            "there."
        )
    if side.weighed:
        notes.append(
            f"In {side.weighed:,} {_noun(side.weighed, 'case')} the {which} tree's route wants an answer "
            "that is not known."
        )
    return notes


def _named(counted: Sequence[tuple[str, int]]) -> str:
    shown = [f"{clean(id)} {cases:,}" for id, cases in counted[:MOST_IDS]]
    more = len(counted) - len(shown)
    return ", ".join(shown) + (f" and {more} more" if more else "")


def _and(ids: Sequence[str]) -> str:
    shown = list(ids[:MOST_IDS])
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} or {shown[-1]}"


def _noun(number: int, noun: str) -> str:
    return noun if number == 1 else f"{noun}s"
