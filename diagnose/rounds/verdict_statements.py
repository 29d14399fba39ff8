"""What a round has come to, as plain sentences: the same on a screen, on a printed list and in a document."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.rounds.due_statements import capital, due_statement, then, when
from diagnose.rounds.verdict import Judged, Reason
from diagnose.terms.rounds import RoundId, Verdict
from diagnose.walking.views import NO_CERTIFICATE

READY_FOR: dict[RoundId, str] = {
    "wake-up": "to be used",
    "journey": "for the journey",
    "hand-over": "to be handed over",
    "lay-up": "to be left standing",
}
WHO_ANSWERS = (
    "Whoever drives it, hands it over or lets others sleep in it answers for it. For gas and mains answers "
    "whoever checked them last."
)
LAID_UP = (
    "Until it has been woken up again nothing in it is used: covers may be on, valves shut and water out. "
    "The wake-up round goes through it."
)
NO_ALARM = (
    "No alarm is fitted: nobody sleeps inside and nothing burns inside until there is one for carbon monoxide"
)
DRIVERS_PAPER = "A paper of the driver's is past its date; the card says which"
"""All that is told of such a paper: it is nobody else's business."""
DUE_SOON = 60
"""Days; a record names what is due within them, and what is unknown."""


@dataclass(frozen=True, slots=True)
class Told:
    """The parts of a record in the order in which they are read; an empty part is left out."""

    headline: str
    reasons: tuple[str, ...]
    must_not_use: tuple[str, ...]
    unchecked: tuple[str, ...]
    not_done: tuple[str, ...]
    due: tuple[str, ...]
    closing: tuple[str, ...]

    def parts(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """(heading, lines) of each part that has lines, between headline and closing."""
        every = (
            ("Why", self.reasons),
            ("Must not be used", self.must_not_use),
            ("Unchecked", self.unchecked),
            ("Not done", self.not_done),
            ("Dates", self.due),
        )
        return tuple((heading, lines) for heading, lines in every if lines)

    def lines(self) -> tuple[str, ...]:
        """All of it as plain lines."""
        told = [self.headline]
        for heading, lines in self.parts():
            told += [f"{heading}:", *(f"- {line}" for line in lines)]
        return (*told, *self.closing)


def told(judged: Judged) -> Told:
    """The record of a verdict in words."""
    return Told(
        headline=headline(judged.verdict, judged.round.id),
        reasons=tuple(reason_in_words(each, judged) for each in judged.reasons if _has_a_line(each)),
        must_not_use=tuple(f"{capital(unused.rstrip('.'))}." for unused in judged.must_not_use),
        unchecked=tuple(reason_in_words(each, judged) for each in judged.reasons if each.why == "unchecked"),
        not_done=tuple(f"{judged.round.tasks[task].what.rstrip('.')}." for task in judged.not_done),
        due=_due_lines(judged),
        closing=closing(judged.round.id),
    )


def closing(round: RoundId) -> tuple[str, ...]:
    """What stands under every verdict of a round, whatever it is; the last says that it certifies nothing."""
    return (*((LAID_UP,) if round == "lay-up" else ()), WHO_ANSWERS, NO_CERTIFICATE)


def _has_a_line(reason: Reason) -> bool:
    """Whether it stands under *why*: what is unchecked or not done has a part of its own.

    What was not done and leaves the vehicle not ready stands in both.
    """
    return reason.why not in ("unchecked", "not-done") or reason.counts == "not-ready"


def headline(verdict: Verdict, round: RoundId) -> str:
    """The verdict in a line."""
    what = READY_FOR[round]
    if verdict == "ready":
        return f"READY {what}: nothing that this round looks at was found wrong."
    if verdict == "limited":
        return f"LIMITED: not everything is ready {what}."
    return f"NOT READY {what}."


def reason_in_words(reason: Reason, judged: Judged) -> str:
    """One reason as a sentence or two."""
    what, case = capital(reason.what.rstrip(".")), f"case {reason.case}"
    sentences = {
        "danger": "Danger was told, and nobody qualified has cleared the vehicle since",
        "wrong": f"Wrong: {what}" + (f" ({case})" if reason.case is not None else ""),
        "case-open": f"{what}: called fine, yet {case} that it opened has come to no good end",
        "case-closed": f"{what}: {case} came to a good end; look at it once more and mark it",
        "renewed": f"{what}: it was wrong by its date alone, which is new on the card; look at it once more",
        "not-done": f"Not done: {what}",
        "long-ago": f"Looked at too long ago to go by: {what}",
        "no-alarm": NO_ALARM,
        "gone": f"{what} was found wrong, and this round has that task no more",
        "over": _over(reason, judged),
        "unchecked": _unchecked(reason, judged),
    }
    note = f" Noted: {reason.note.rstrip('.')}." if reason.note else ""
    return f"{sentences[reason.why].rstrip('.')}.{note}"


def _over(reason: Reason, judged: Judged) -> str:
    if reason.due is None or reason.driver:
        return DRIVERS_PAPER
    return f"{capital(reason.what)}: {when(reason.due, judged.today)}. {then(reason.due.kind)}"


def _unchecked(reason: Reason, judged: Judged) -> str:
    who = "a gas engineer's" if reason.about == "gas" else "an electrician's"
    about = capital(reason.about)
    if reason.due is None or reason.due.written is None:
        return f"{about}: the card has no day of {who} check"
    return f"{about}: {who} check is {when(reason.due, judged.today)}"


def _due_lines(judged: Judged) -> tuple[str, ...]:
    """What is over, due before long, or unknown; what stands among the reasons already is left out."""
    said = {each.due.of for each in judged.reasons if each.due is not None}
    wanted = [
        due
        for due in judged.due
        if due.of not in said
        and (due.state in ("overdue", "today", "unknown") or (due.days is not None and due.days <= DUE_SOON))
    ]
    return tuple(due_statement(due, judged.today) for due in wanted)
