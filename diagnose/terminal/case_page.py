"""One past case as a page: how it stands, and the walk as it went, in the words of its tree.

What was taken back is part of how it went: it is shown and marked; what the program planned meanwhile is not.
A case that was brought in, or logged when it was over, has no walk: what was found stands without times.
Where the tree is not at hand the ids stand for the words, so that no case is ever lost to a reader.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta

from diagnose.cases.journal import standing
from diagnose.cases.records import CaseRecord, Entry
from diagnose.knowledge.naming import NoSuchCause, cause_named, says_of
from diagnose.terminal.case_list import STATES, command, day
from diagnose.terminal.figures import duration_in_words
from diagnose.terminal.layout import Page
from diagnose.terminal.sentences import ended
from diagnose.terms import CURED, NOT_CURED, NOT_LISTED, NOT_SURE, Check, Tree
from diagnose.walking.past import BY_TIME, was_walked
from diagnose.walking.renamed import placed
from diagnose.walking.views import NO_CERTIFICATE

A_WHILE = timedelta(minutes=30)
"""A pause as long as this is told: the danger questions are due again after it."""
_OUTCOMES = {CURED: "works now", NOT_CURED: "no better"}


def case_page(
    record: CaseRecord, tree: Tree | None, width: int, options: Sequence[str] = (), code: str = ""
) -> str:
    """The page as plain text, its last line without an end. `options` go with the commands that it names."""
    page = Page(width)
    page.say(f"Case {record.case}: {tree.symptom if tree else record.symptom}")
    if record.vehicle:
        page.say(f"Vehicle: {record.vehicle}")
    walked = was_walked(record)
    page.say(_begun(record, walked))
    _state(page, record, tree, options)
    _confirmed(page, record, tree, options)
    if code and walked:
        page.say(f"Code: {code}")
        page.say("One page for the engineer:").say(command("sheet", str(record.case), *options), indent=2)
    if tree is None:
        page.gap().say("The tree of this case is not at hand, so ids stand for its words.")
    elif tree.digest != record.tree_digest:
        page.gap().say("The tree has changed since; its words are those of today.")
    if walked:
        page.gap().say("How the walk went:")
        _steps(page, record.entries, tree)
    else:
        _found(page, record.entries, tree)
    return page.gap().say(NO_CERTIFICATE).text()


def cause_in_words(tree: Tree | None, cause: str) -> str:
    """A cut set's words with its id, for who may have to type it; an old id has its present words."""
    if cause == NOT_LISTED:
        return "something that is not listed"
    says = ""
    if tree is not None:
        with suppress(NoSuchCause):
            says = says_of(tree, cause_named(tree, cause))
    return f"{says} ({cause})" if says else cause


def _begun(record: CaseRecord, walked: bool) -> str:
    opened, by = day(record.opened), "an owner" if record.role == "owner" else f"a {record.role}"
    if record.source:
        return f"Brought in: case {record.source_case} of {record.source}, of {opened}."
    return f"Opened {opened} by {by}." if walked else f"Logged by {by} when it was over, for {opened}."


def _state(page: Page, record: CaseRecord, tree: Tree | None, options: Sequence[str]) -> None:
    said = STATES[record.state].capitalize()
    if record.state in ("open", "left-off") and not record.source:
        page.say(f"{said}. To go on:")
        page.say(command("walk", "--resume", str(record.case), *options), indent=2)
        return
    if record.state == "cured" and record.points_to:
        said += f"; the cure points to: {cause_in_words(tree, record.points_to)}"
    elif record.referral:
        referral = tree.referrals.get(record.referral) if tree is not None else None
        to = referral.to if referral is not None else record.referral
        said += f" for danger; to call: {to}" if record.state == "stopped" else f" to: {to}"
    page.say(ended(said))
    if record.state == "stopped":
        page.say("Before it is walked again, somebody qualified has to clear the vehicle.")


def _confirmed(page: Page, record: CaseRecord, tree: Tree | None, options: Sequence[str]) -> None:
    if record.confirmed:
        page.say(f"Confirmed. It turned out to be: {cause_in_words(tree, record.cause)}.")
    else:
        cause = () if record.points_to else ("CAUSE",)
        page.say("Not confirmed. Once you know what it was:")
        page.say(command("cases", "confirm", str(record.case), *cause, *options), indent=2)


def _steps(page: Page, entries: Sequence[Entry], tree: Tree | None) -> None:
    back = {entry.subject for entry in entries if entry.kind == "back"}
    before: datetime | None = None
    for entry in entries:
        if entry.kind in ("back", "planned"):
            continue
        _time_between(page, before, entry.time)
        before = entry.time
        mark = "(taken back) " if str(entry.number) in back else ""
        page.hang(f"{entry.time.astimezone():%H:%M}  ", mark + _in_words(entry, tree), indent=2)
    if not entries:
        page.say("nothing was asked yet", indent=2)


def _time_between(page: Page, before: datetime | None, now: datetime) -> None:
    """The day where a new one begins, and how much later it went on where that was no mere moment."""
    if before is None:
        page.say(day(now), indent=2)
        return
    days = (now.astimezone().date() - before.astimezone().date()).days
    if days:
        later = "" if days < 0 else " (the next day)" if days == 1 else f" ({days} days later)"
        page.say(f"{day(now)}{later}", indent=2)
    elif now - before >= A_WHILE:
        page.say(f"({duration_in_words((now - before).total_seconds() / 60)} later)", indent=2)


def _found(page: Page, entries: Sequence[Entry], tree: Tree | None) -> None:
    """What is known of a case without a walk: its findings as they stand, and what was tried."""
    lines = [line for line in standing(entries) if line.kind in ("finding", "tried")]
    page.gap().say("What was found:" if lines else "What was found was not written down.")
    for line in lines:
        page.hang("- ", _in_words(replace(line, ahead=False), tree), indent=2)


def _in_words(entry: Entry, tree: Tree | None) -> str:
    """One line of the journal as a person would tell it."""
    today = placed(tree, entry) if tree is not None else None
    if entry.kind in ("finding", "unsure"):
        if tree is not None and today is None:
            return f"{entry.subject}: {entry.answer} (no longer in the tree)"
        return _finding(today or entry, tree)
    if entry.kind == "tried":
        outcome = _OUTCOMES.get(entry.answer or "", "could not be done")
        return f"Tried: {_remedies(today or entry, tree)} {outcome.capitalize()}."
    if entry.kind == "cured-when":
        return f"{tree.cured_when.ask if tree else 'Cured?'} {(entry.answer or '').capitalize()}"
    return _event(entry, tree)


def _finding(entry: Entry, tree: Tree | None) -> str:
    check = (tree.checks.get(entry.subject) or tree.facts.get(entry.subject)) if tree is not None else None
    asked = check.ask if check is not None else f"{entry.subject}:"
    ahead = " (said without being asked)" if entry.ahead else ""
    if entry.kind == "unsure":
        return f"{asked} Not sure at first; fetching a torch or somebody was suggested."
    return f"{asked} {_answer(entry, check)}{ahead}"


def _answer(entry: Entry, check: Check | None) -> str:
    if entry.answer == NOT_SURE:
        return "Not sure"
    if entry.value is not None:
        within = f" ± {entry.uncertainty:g}" if entry.uncertainty else ""
        unit = f" {check.reading.unit}" if check is not None and check.reading is not None else ""
        return f"{entry.value:g}{within}{unit}"
    said = {answer.id: answer.says for answer in check.answers} if check is not None else {}
    return said.get(entry.answer or "", entry.answer or "")


def _remedies(entry: Entry, tree: Tree | None) -> str:
    events = [tree.events.get(id) for id in entry.subject.split("+")] if tree is not None else []
    texts = [event.remedy.text for event in events if event is not None and event.remedy is not None]
    return " ".join(map(ended, texts)) or ended(entry.subject)


def _event(entry: Entry, tree: Tree | None) -> str:
    """What happened besides questions and remedies."""
    if entry.kind == "shown":
        caution = tree.caution_texts.get(entry.subject) if tree is not None else None
        return f"Shown: {caution.word}. {caution.say}" if caution is not None else f"Shown: {entry.subject}"
    if entry.kind == "cleared":
        return f"Has somebody qualified cleared the vehicle? {(entry.answer or '').capitalize()}"
    if entry.kind == "resumed":
        again = "Half an hour had passed; the danger questions were due again."
        return again if entry.subject == BY_TIME else "Taken up again."
    if entry.kind == "dropped":
        return f"No longer in the tree, so dropped: {entry.subject}"
    return {"danger": "Danger was said; the walk was stopped.", "left-off": "Left off."}.get(
        entry.kind, entry.kind
    )
