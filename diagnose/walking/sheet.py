"""The hand-over sheet for somebody qualified: plain text, to be printed, sent or read out by telephone.

What was seen stands first, in the order in which it was found; what is merely likely stands beneath it. What
was left alone is told, too, so that nobody takes a thing for checked that was not.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from diagnose.cases.codes import spelled
from diagnose.cases.records import CaseRecord
from diagnose.knowledge.naming import outcomes
from diagnose.terms import (
    CURED,
    NOT_CURED,
    NOT_SURE,
    Check,
    Finding,
    Ranked,
    Referral,
    Role,
    State,
    Tree,
)
from diagnose.walking.ending import left_alone
from diagnose.walking.past import Past, causes_of, check_of, is_start, read_past
from diagnose.walking.stops import because, stop_referrals
from diagnose.walking.views import NO_CERTIFICATE, NOT_CHECKED

MOST_CAUSES = 6
_OUTCOMES = {CURED: "then it worked", NOT_CURED: "no better", "could-not": "could not be done"}
_STATES: dict[State, str] = {
    "open": "not finished",
    "left-off": "left off",
    "cured": "cured",
    "referred": "handed over to somebody qualified",
    "stopped": "STOPPED FOR DANGER",
}


def sheet_text(
    case: CaseRecord,
    tree: Tree,
    ranking: Sequence[Ranked] = (),
    *,
    columns: int = 72,
    register: str = "",
    code: str = "",
    missing: str = "",
) -> str:
    """The sheet: a line end behind every line, none longer than `columns`, no control characters.

    With the case's `code` it ends with the numbered outcomes and how the answer is sent back. `missing` says
    of how many past cases the outcome is not known; it stands under the likeliest causes.
    """
    past = read_past(tree, case.entries)
    sheet = _Sheet(columns)
    sheet.say("HAND-OVER SHEET")
    _heading(sheet, case, tree)
    _stop(sheet, past)
    for referral in _referrals(case, past):
        sheet.gap()
        sheet.say(f"For: {referral.to}")
        if register and "gas" in referral.id:
            sheet.say(f"Register: {register}")
        sheet.say(referral.say, indent=2)
        sheet.say(f"Until help comes: {referral.until_help}", indent=2)
    _found(sheet, past)
    _tried(sheet, past)
    _left_alone(sheet, past, ranking, case.role)
    _likely(sheet, ranking, missing)
    _cautions(sheet, past)
    _answer_back(sheet, tree, code)
    sheet.gap()
    sheet.say(NO_CERTIFICATE)
    return sheet.text()


def _heading(sheet: _Sheet, case: CaseRecord, tree: Tree) -> None:
    if case.case:
        sheet.say(f"Case: {case.case}")
    sheet.say(f"Date: {case.opened:%Y-%m-%d %H:%M %Z}".rstrip())
    sheet.say(f"Vehicle: {case.vehicle or 'no label given'}")
    sheet.say(f"Symptom: {tree.symptom}")
    sheet.say(f"The walk was: {_STATES[case.state]}")
    if not tree.shipped:
        sheet.say(NOT_CHECKED)


def _stop(sheet: _Sheet, past: Past) -> None:
    why = because(past)
    if why:
        sheet.gap()
        sheet.say(f"Stopped because: {why}")


def _referrals(case: CaseRecord, past: Past) -> list[Referral]:
    ids = stop_referrals(past) or ((case.referral,) if case.referral else ())
    return [past.tree.referrals[id] for id in ids if id in past.tree.referrals]


def found_lines(past: Past) -> list[str]:
    """Each check with what was found, in the order in which that was found last."""
    latest = past.findings
    # A question that was asked twice stands where it was answered last.
    order = {line.subject: line.number for line in past.live if line.kind == "finding"}
    checks = {id: check_of(past.tree, id) for id in sorted(latest, key=lambda each: order[each])}
    return [f"{check.ask} {_said(check, latest[id])}" for id, check in checks.items() if check is not None]


def tried_lines(past: Past) -> list[str]:
    """Each remedy that was tried, with what became of it."""
    lines = []
    for line in past.live:
        if line.kind == "tried":
            causes = causes_of(past.tree, line.subject)
            done = [cause.remedy.text.rstrip(".") for cause in causes if cause.remedy is not None]
            became = past.tried.get(line.subject, line.answer or "")
            lines.append(f"{'; '.join(done)}: {_OUTCOMES.get(became, became)}")
    return lines


def _found(sheet: _Sheet, past: Past) -> None:
    lines = found_lines(past)
    sheet.gap()
    sheet.say("What was found, in order:" if past.findings else "Nothing was found out.")
    for line in lines:
        sheet.item(line)


def _said(check: Check, finding: Finding) -> str:
    if finding.answer == NOT_SURE:
        return "not sure"
    if finding.value is not None and check.reading is not None:
        within = f" ± {finding.uncertainty:g}" if finding.uncertainty else ""
        return f"{finding.value:g}{within} {check.reading.unit}"
    says = {answer.id: answer.says for answer in check.answers}
    return says.get(finding.answer or "", finding.answer or "")


def _tried(sheet: _Sheet, past: Past) -> None:
    starts = sum(is_start(past.tree, line) for line in past.journal)
    if past.tree.tries is not None:
        sheet.gap()
        sheet.say(f"Started in this case: {_times(starts)} (what was taken back is counted).")
    lines = tried_lines(past)
    if lines:
        sheet.gap()
        sheet.say("What was tried:")
        for line in lines:
            sheet.item(line)


def _left_alone(sheet: _Sheet, past: Past, ranking: Sequence[Ranked], role: Role) -> None:
    left = left_alone(past, ranking, role)
    if left:
        sheet.gap()
        sheet.say("What was not touched, and why:")
        for each in left:
            sheet.item(f"{each.says}: {each.why}")


def _likely(sheet: _Sheet, ranking: Sequence[Ranked], missing: str) -> None:
    if not ranking:
        return
    sheet.gap()
    sheet.say("Likeliest causes by these findings (and where the figure may lie):")
    for each in ranking[:MOST_CAUSES]:
        sheet.item(f"{each.says}: {each.share:.0%} ({each.low:.0%} to {each.high:.0%})")
    sheet.say(missing)


def _cautions(sheet: _Sheet, past: Past) -> None:
    shown = dict.fromkeys(line.subject for line in past.live if line.kind == "shown")
    texts = [past.tree.caution_texts[id] for id in shown if id in past.tree.caution_texts]
    if texts:
        sheet.gap()
        sheet.say("Cautions that were shown:")
        for caution in texts:
            sheet.item(f"{caution.word}: {caution.say}")


def _answer_back(sheet: _Sheet, tree: Tree, code: str) -> None:
    """The outcomes by number, and how code and number come back."""
    if not code:
        return
    sheet.gap()
    sheet.say("Once you know what it was, tell whoever gave you this sheet its code and the number:")
    sheet.say(f"Code: {code}")
    sheet.say(f"Read aloud: {', '.join(spelled(code))}")
    listed = outcomes(tree)
    for each in listed:
        sheet.item(each.says, f"{each.number:{len(str(len(listed)))}} ")
    sheet.say("They type:")
    sheet.say(f"diagnose cases confirm {code} NUMBER", indent=2)


def _times(count: int) -> str:
    return {0: "never", 1: "once", 2: "twice"}.get(count, f"{count} times")


class _Sheet:
    """Lines of plain text, wrapped; whatever is no printable character becomes a space."""

    def __init__(self, columns: int) -> None:
        self._columns = max(20, columns)
        self._lines: list[str] = []

    def say(self, text: str, indent: int = 0) -> None:
        """A paragraph."""
        self._wrap(text, " " * indent, " " * indent)

    def item(self, text: str, mark: str = "- ") -> None:
        """An entry of a list."""
        self._wrap(text, mark, " " * len(mark))

    def gap(self) -> None:
        """An empty line."""
        self._lines.append("")

    def text(self) -> str:
        """All lines."""
        return "\n".join(self._lines) + "\n"

    def _wrap(self, text: str, first: str, others: str) -> None:
        plain = " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())
        self._lines += textwrap.wrap(
            plain, self._columns, initial_indent=first, subsequent_indent=others, break_on_hyphens=False
        )
