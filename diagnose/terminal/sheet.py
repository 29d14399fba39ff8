"""The hand-over sheet: what somebody qualified wants to know before they set out, as plain text.

It holds what was found and tried, how likely the causes are and what was left alone; nothing of the person
who walked. It can be read out over the phone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from diagnose.terminal.figures import basis_in_words, share_in_words
from diagnose.terminal.layout import Page
from diagnose.terminal.questions import cause_in_words
from diagnose.terms import COULD_NOT, NOT_SURE, Check, Finding, Referral, Situation, Tree
from diagnose.walking.views import Referred, Stopped

COLUMNS = 72
"""Fits a sheet of A4 in any plain font."""

MOST_CAUSES = 6


@dataclass(frozen=True, slots=True)
class Walked:
    """What the sheet tells beyond the last screen."""

    now: datetime
    tree: Tree | None = None
    """None where danger was told before any symptom was found."""
    situation: Situation = Situation()  # noqa: RUF009 - frozen
    vehicle: str = ""


def sheet_text(view: Referred | Stopped, walked: Walked, columns: int = COLUMNS) -> str:
    """The sheet as plain text, a line end behind every line."""
    page = Page(columns)
    page.say("HAND-OVER SHEET").gap()
    number = f", case {view.case}" if view.case is not None else ""
    page.say(f"{walked.now:%Y-%m-%d %H:%M}{number}")
    if walked.vehicle:
        page.say(f"Vehicle: {walked.vehicle}")
    page.say(f"Symptom: {view.symptom}")
    if walked.tree is not None and not walked.tree.shipped:
        page.say("The tree that was walked is the user's own; the project has not checked it.")
    if isinstance(view, Stopped):
        page.gap().say(f"STOPPED BECAUSE OF DANGER: {view.because}")
    for referral in _referrals(view):
        page.gap().say("For:").say(referral.to, indent=2)
    _findings(page, walked)
    _tried(page, walked)
    _causes(page, view)
    if view.left_alone:
        page.gap().say("Left alone:")
        for entry in view.left_alone:
            page.hang("- ", f"{entry.says}: {entry.why}")
    page.gap().say(view.certificate)
    return page.text() + "\n"


def found_in_words(check: Check, finding: Finding) -> str:
    """What was found, as a person says it: the answer's own words, a reading with its unit."""
    if finding.answer == NOT_SURE:
        return "not sure"
    said = {answer.id: answer.says for answer in check.answers}
    if finding.value is not None and check.reading is not None:
        return f"{finding.value:g} {check.reading.unit}"
    return said.get(finding.answer or "", finding.answer or "")


def _referrals(view: Referred | Stopped) -> Sequence[Referral]:
    return view.referrals if isinstance(view, Stopped) else (view.referral,)


def _findings(page: Page, walked: Walked) -> None:
    found, tree = walked.situation.findings, walked.tree
    if tree is None or not found:
        return
    page.gap().say("Found:")
    for id, finding in found.items():
        check = tree.checks.get(id) or tree.facts.get(id)
        if check is not None:
            page.hang("- ", f"{check.ask} {found_in_words(check, finding)}")


def _tried(page: Page, walked: Walked) -> None:
    tree = walked.tree
    if tree is None or not walked.situation.tried:
        return
    page.gap().say("Tried:")
    for cut_set, outcome in walked.situation.tried.items():
        causes = [tree.events[id] for id in cut_set.split("+") if id in tree.events]
        done = "; ".join(cause.remedy.text if cause.remedy else cause.says for cause in causes)
        page.hang("- ", f"{done}: {'could not be done' if outcome == COULD_NOT else 'no better'}")


def _causes(page: Page, view: Referred | Stopped) -> None:
    if not view.ranking:
        return
    page.gap().say("Likeliest causes, as reckoned from these findings:")
    for ranked in view.ranking[:MOST_CAUSES]:
        basis = basis_in_words(ranked, view.ranking)
        page.hang("- ", f"{cause_in_words(ranked)}: {share_in_words(ranked.share)} ({basis})")
