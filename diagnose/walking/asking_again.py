"""After a remedy that did not cure: which check is asked once more, since the remedy may have changed it.

Two things can be wrong at once. A finding that something really put right has explained is then not to be
held against the rest; the new finding takes its place, and *not sure* takes the old one away. It is offered
right after the remedy, before anything else is asked or done, and each check once.
"""

from __future__ import annotations

from diagnose.cases.records import Entry
from diagnose.terms import NOT_CURED, Situation
from diagnose.walking.past import Past, as_finding, check_of
from diagnose.walking.reasoner import Reasoner


def to_ask_again(past: Past, reasoner: Reasoner, starts: int) -> str | None:
    """The check to ask again now, or None. `starts` is how many tries are used up, taken-back ones too."""
    remedy = _just_done(past)
    if remedy is None:
        return None
    earlier = {line.subject: as_finding(line) for line in _findings(past) if line.number < remedy.number}
    since = {line.subject for line in _findings(past) if line.number > remedy.number and not line.ahead}
    known = Situation({id: earlier[id] for id in past.tree.checks if id in earlier})
    named = reasoner.asked_again_after(known, remedy.subject)
    if since - set(named) - set(past.tree.ask_first):
        # The walk has gone on; who wants to go back to it can say so.
        return None
    due = (id for id in named if id not in since)
    return next((id for id in due if reasoner.worth_asking_again(past.situation, id, starts)), None)


def why_again(past: Past, check: str) -> str:
    """What is said above a check that is asked again after a remedy."""
    before = past.findings[check]
    known = check_of(past.tree, check)
    says = {answer.id: answer.says for answer in known.answers} if known is not None else {}
    if before.value is not None and known is not None and known.reading is not None:
        answer = f"{before.value:g} {known.reading.unit}"
    else:
        answer = says.get(before.answer or "", before.answer or "")
    return (
        f"What was just done may have changed this, so look anew (it was: {answer.rstrip('. ')}). "
        "If you cannot, say not sure: the earlier answer then no longer counts."
    )


def _findings(past: Past) -> list[Entry]:
    return [line for line in past.live if line.kind == "finding"]


def _just_done(past: Past) -> Entry | None:
    """The line of the last remedy, if it was done in this walk and did not cure."""
    tried = [line for line in past.live if line.kind == "tried"]
    if not tried or tried[-1].ahead or past.tried.get(tried[-1].subject) != NOT_CURED:
        return None
    return tried[-1]
