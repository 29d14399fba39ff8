"""The screens at the end of a round, and kept rounds as a list."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.cases.rounds_records import RoundRecord, Stage
from diagnose.rounds.outcome import Outcome
from diagnose.rounds.past import RoundPast
from diagnose.rounds.verdict import Judged
from diagnose.rounds.verdict_statements import told
from diagnose.terminal.figures import duration_in_words
from diagnose.terminal.layout import Page
from diagnose.terminal.round_pages import NOT_OURS, TITLES, counted, title_of
from diagnose.terminal.sentences import ended, inside
from diagnose.terms.rounds import Round, TaskEnd

ENDS: dict[TaskEnd, str] = {
    "fine": "fine",
    "wrong": "wrong",
    "not-done": "not done",
    "not-fitted": "not fitted",
}
STAGES: dict[Stage, str] = {
    "open": "open",
    "left-off": "left off",
    "ended": "ended",
    "stopped": "stopped for danger",
}


def outcome_page(
    round: Round,
    outcome: Outcome,
    judged: Judged,
    width: int,
    vehicle: str = "",
    again: str = "",
    walks: Sequence[str] = (),
) -> Page:
    """Where the round stands; `again` is the command by which it is taken up, `walks` those of its walks."""
    record = told(judged)
    page = Page(width).say(title_of(round.id, vehicle), "quiet").say(record.headline, "strong").gap()
    if not round.shipped:
        page.say(NOT_OURS, "strong").gap()
    _listed(page, "Must not be used:", record.must_not_use)
    _listed(page, "Why:", record.reasons)
    _listed(page, "Unchecked:", record.unchecked)
    _left(page, round, outcome)
    _listed(page, "Dates:", record.due)
    _listed(page, "Perhaps to be bought:", list(dict.fromkeys(part for part, _ in outcome.parts)))
    for referral, tasks in outcome.referrals:
        page.say(f"To be called: {ended(referral.to)}", "strong")
        page.say(f"For: {', '.join(inside(round.tasks[id].what) for id in tasks)}.", indent=2)
        page.say(f"Tell them: {referral.say}", indent=2).gap()
    if walks:
        page.say("To go on with what is wrong, type:")
        for command in walks:
            page.say(command, indent=2)
        page.gap()
    if again:
        page.say("To go on, type:").say(again, indent=2).gap()
    for line in record.closing:
        page.say(line)
    return page


def kept_list(records: Sequence[RoundRecord], width: int) -> Page:
    """Rounds that are kept, the latest first."""
    page = Page(width)
    for record in records:
        marked = len({line.subject for line in record.lines if line.noted == "mark"})
        parts = [TITLES[record.round], record.vehicle, f"{record.begun:%Y-%m-%d}", STAGES[record.stage]]
        page.hang(
            f"{record.number}  ", ", ".join([*filter(None, parts), f"{counted(marked, 'task')} marked"])
        )
    if not records:
        page.say("No round is kept here.")
    return page


def record_page(round: Round, record: RoundRecord, past: RoundPast, width: int) -> Page:
    """One kept round: every task with its end, by whom and when."""
    page = Page(width).say(f"Round {record.number}. {title_of(record.round, record.vehicle)}", "strong")
    by = f" by {record.who}" if record.who else ""
    page.say(f"Begun{by} on {record.begun:%Y-%m-%d %H:%M} UTC; {STAGES[record.stage]}.").gap()
    if record.digest != round.digest:
        page.say("The round's file has changed since.")
    if past.dropped:
        page.say(f"It has these no more: {', '.join(past.dropped)}.").gap()
    for id, mark in past.marks.items():
        who = f", {mark.by}" if mark.by else ""
        case = f"; case {mark.case}" if mark.case is not None else ""
        page.say(f"{ENDS[mark.end].upper()}  {ended(round.tasks[id].what)}", indent=2)
        page.say(f"{id}, {mark.time:%Y-%m-%d %H:%M}{who}{case}", "quiet", indent=4)
        page.say(ended(mark.note), indent=4)
    return page.gap()


def _left(page: Page, round: Round, outcome: Outcome) -> None:
    if not outcome.left:
        return
    page.say(
        f"Left: {counted(len(outcome.left), 'task')}, about {duration_in_words(outcome.minutes)}:", "strong"
    )
    for id, why in outcome.left.items():
        if not why and id not in outcome.for_a_date:
            page.hang("- ", ended(round.tasks[id].what))
    if outcome.for_a_date:
        page.say("Once the new date is on the card, look once more:", indent=2)
        for id in outcome.for_a_date:
            page.hang("- ", ended(round.tasks[id].what), indent=4)
    held = {id: why for id, why in outcome.left.items() if why and id not in outcome.for_a_date}
    for cause in dict.fromkeys(why[-1] for why in held.values()):
        page.say(f"Not before this is settled: {inside(round.tasks[cause].what)}:", indent=2)
        for id, why in held.items():
            if why[-1] == cause:
                page.hang("- ", ended(round.tasks[id].what), indent=4)
    page.gap()


def _listed(page: Page, title: str, texts: Sequence[str]) -> None:
    if texts:
        page.say(title, "strong")
        for text in texts:
            page.hang("- ", ended(text))
        page.gap()
