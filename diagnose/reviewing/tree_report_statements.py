"""How good a tree is, in sentences; the screen and the page say the same."""

from __future__ import annotations

from diagnose.reasoning.figures import Parts
from diagnose.reviewing.tree_report import CauseLine, CheckLine, GateLine, Side, TreeReport, is_listed
from diagnose.terms import Role

WHOSE: dict[Role, str] = {"owner": "an owner", "technician": "a technician"}
COVERAGE = "What it reaches"
MINUTES = "What a walk costs"
SHARES = "If the shares are wrong"
CAUSES = "The causes"
CHECKS = "What each check is worth"
GATES = "Causes that count only together"
CASES = "What the cases say"

WHAT_MINUTES_ARE = (
    "Expected minutes count everything: work, getting there, waiting at its rate, money at its rate, and the "
    "minutes of every referral. Hands-on minutes, waiting and money stand apart behind them."
)
WHAT_SAVES = (
    "Saved: what the best route that is found without the check costs more, on average over all walks. What "
    "is asked first is asked for safety, so nothing is reckoned for it. Bits: how much its answer tells of "
    "the cause before anything else is known."
)
WHAT_ENDS = (
    "Right: put right, or with whom the cause belongs. Passed on: referred to somebody who has to send it "
    "on. Stopped: a danger question was answered so, rightly or by mistake."
)
WHAT_GATES = (
    "Fussell-Vesely: the part of the symptom in which a cut set that holds the cause is there. Birnbaum: by "
    "how much the symptom is likelier with the cause than without it. The last two take the causes to come "
    "independently, each with its own chance."
)


def heading(report: TreeReport) -> str:
    """What the report is about."""
    return f"{report.tree.symptom} ({report.tree.id})"


def coverage(report: TreeReport) -> list[str]:
    """How many causes it knows, and how walks end."""
    listed = [each for each in report.causes if is_listed(each)]
    hidden = next(each for each in report.causes if not is_listed(each))
    told = [
        f"It knows {_number(len(listed), 'cause')}; of 100 vehicles, {_of_100(hidden.share)} have something "
        "that is not listed."
    ]
    for role, side in report.sides.items():
        told.append(_ends(role, side))
    missed = [each for each in listed if each.cured + each.served < SELDOM]
    if missed:
        named = "; ".join(f"{each.says} ({_of_100(each.cured + each.served)} of 100)" for each in missed)
        told.append(f"Seldom put right, and seldom with whom it belongs, is: {named}.")
    return told


SELDOM = 0.5
"""Below so much it is said of a cause by name that walks seldom end right for it."""


def _ends(role: Role, side: Side) -> str:
    ends = side.figures
    handed = f", {_of_100(ends.handed_over)} go on in another tree" if ends.handed_over > 0 else ""
    return (
        f"Of 100 walks of {WHOSE[role]}, {_of_100(ends.cured)} end cured, {_of_100(ends.referred)} in a "
        f"referral, {_of_100(ends.stopped)} in a stop for danger{handed}; {_of_100(side.right)} end right."
    )


def minutes(report: TreeReport) -> list[str]:
    """Expected minutes with their parts, and how far from the best they can be."""
    return [_cost(role, side) for role, side in report.sides.items()]


def _cost(role: Role, side: Side) -> str:
    parts: Parts = side.figures.expected
    gap = gap_of(side)
    if gap < 0.0005:
        best = "no route costs less"
    else:
        best = f"no route can be under {side.least:.1f}, so the best one is at most {100 * gap:.1f} % cheaper"
    return (
        f"For {WHOSE[role]} {parts.cost:.1f} expected minutes ({best}): hands-on {parts.hands_on:.1f} "
        f"minutes, waiting {parts.wait:.1f} minutes, money {parts.price:.1f}."
    )


def gap_of(side: Side) -> float:
    """How much cheaper the best route can be at most, as a part of this one's cost."""
    cost = side.figures.expected.cost
    return max(0.0, cost - side.least) / cost if cost > 0 else 0.0


def shares(report: TreeReport) -> list[str]:
    """What the route costs, and loses, where the file's shares are wrong."""
    told = [
        f"The file takes its shares to be as sure as {report.tree.strength:g} cases would make them. If the "
        f"truth lies as far off as that lets expect, the same route costs {_between(report.spread)} minutes "
        f"in nine of ten truths; if they are half as sure, {_between(report.spread_half)}."
    ]
    if report.loses is not None:
        told.append(
            f"Had one known the truth and planned for it, {report.loses.mean:.1f} minutes would have been "
            f"saved on average and {report.loses.worst:.1f} at most ({_number(report.truths, 'truth')} "
            "drawn, a route planned for each)."
        )
    return told


def cases(report: TreeReport) -> list[str]:
    """What the figures have learned from."""
    counted = sum(each.cases for each in report.causes)
    if counted <= 0:
        return ["No case counts in these figures: they are those of the file."]
    seen = [each for each in report.causes if each.cases > 0]
    never = [each.says for each in report.causes if each.cases <= 0 and is_listed(each)]
    told = [
        f"{_number(round(counted), 'confirmed case')} had {len(seen)} different causes; weighed by how often "
        f"outcomes come back they count as {report.cases:.4g}, and the file's own shares as "
        f"{report.tree.strength:g}."
    ]
    if never:
        told.append(f"Never confirmed so far: {'; '.join(never)}.")
    return told


def cause_row(each: CauseLine) -> tuple[str, ...]:
    """Share with its interval, minutes, how walks end, each in 100, and confirmed cases."""
    return (
        f"{_of_100(each.share)} ({_of_100(each.low)} to {_of_100(each.high)})",
        f"{each.minutes:.0f}",
        _of_100(each.cured + each.served),
        _of_100(each.passed_on),
        _of_100(each.stopped),
        f"{each.cases:.4g}",
    )


def check_row(each: CheckLine) -> tuple[str, ...]:
    """What a check costs, how often it is asked, what it saves, and its bits."""
    saves = "-" if each.saves is None else f"{each.saves:.1f}"
    return f"{each.minutes:.4g}", _of_100(each.asked), saves, f"{each.bits:.2f}"


def gate_row(each: GateLine) -> tuple[str, ...]:
    """Share of the cut sets that hold it; and the two measures for independent causes."""
    if each.alone is None:
        return _of_100(each.share_of_sets), "-", "-"
    return (
        _of_100(each.share_of_sets),
        f"{each.alone.fussell_vesely:.3f}",
        f"{each.alone.birnbaum:.3f}",
    )


def _between(spread: tuple[float, float]) -> str:
    return f"{spread[0]:.0f} to {spread[1]:.0f}"


def _of_100(share: float) -> str:
    """A share in a hundred, with two figures.

    >>> _of_100(0.123), _of_100(0.05), _of_100(0.012), _of_100(0.0), _of_100(0.0004), _of_100(1.0)
    ('12', '5', '1.2', '0', 'under 0.1', '100')
    """
    if 0 < share < 0.001:
        return "under 0.1"
    return f"{100 * share:.0f}" if share >= 0.0995 else f"{100 * share:.2g}"


def _number(count: int, noun: str) -> str:
    return f"{count:,} {noun}{'' if count == 1 else 's'}"
