"""What is said about a case that is confirmed, by its number or by the code that came back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from diagnose.cases.codes import plain, regrouped
from diagnose.cases.records import CaseRecord
from diagnose.knowledge.naming import outcomes
from diagnose.terminal.case_list import command
from diagnose.terminal.layout import Page
from diagnose.terminal.sentences import ended
from diagnose.walking.past import read_past
from diagnose.walking.returned import Returned
from diagnose.walking.sheet import found_lines, tried_lines

_ENDED = {"referred": "handed on", "stopped": "stopped for danger", "cured": "cured"}
_UNREAD = "What was found could not be read from the code: its tree has asked or known something else since. "


def what_was_done(before: CaseRecord, cause: str, says: str) -> str:
    """That a case is confirmed, for the first time, again or as something else; `before` is how it was."""
    words = _in_words(cause, says)
    if before.confirmed and before.cause == cause:
        return f"Case {before.case} was confirmed as this already: {words}. Nothing has changed."
    if before.confirmed:
        return (
            f"Case {before.case} is now confirmed as: {words}. Until now it counted as {before.cause}; "
            "the counts have moved."
        )
    return f"Case {before.case} is confirmed: {words}. It counts from the next walk on."


def what_became_of_it(returned: Returned, after: CaseRecord, says: str) -> str:
    """What the outcome for a code has done: to this store's own case, or to one from elsewhere."""
    before, there = returned.record, f"case {returned.code.case} of the store {returned.code.origin}"
    if before is None:
        text = (
            f"{there.capitalize()} is opened here as case {after.case} and confirmed: "
            f"{_in_words(after.cause, says)}. It counts from the next walk on."
        )
        return text + _left_out(returned, after.opened)
    text = what_was_done(before, after.cause, says)
    if not returned.own:
        return f"This is {there}, which came before. {text}"
    if before.state != after.state:
        text += f" It had been taken up again since; it is over now ({_ENDED[after.state]})."
    return text


def what_was_opened(returned: Returned, after: CaseRecord, command_to_confirm: str) -> str:
    """That a case of somebody else's is open here before it is known what it was, or was here already."""
    there = f"case {returned.code.case} of the store {returned.code.origin}"
    if returned.own:
        return f"This is case {after.case} of this very store; nothing was opened."
    if returned.record is not None:
        how = f"confirmed as {after.cause}" if after.confirmed else "not confirmed yet"
        return f"{there.capitalize()} is here already as case {after.case}, {how}; nothing was opened."
    text = f"{there.capitalize()} is opened here as case {after.case}, not confirmed yet."
    return f"{text}{_left_out(returned, after.opened)} Once it is known what it was: {command_to_confirm}"


def code_page(returned: Returned, code: str, now: datetime, width: int, options: Sequence[str]) -> Page:
    """What a code is of, what it holds, and the outcomes to pick from."""
    page, made_with = Page(width), returned.made_with
    opened = returned.code.opened(now)
    page.say(f"{returned.tree.symptom} ({_ENDED[returned.code.state]}; begun in {opened:%B %Y})", "strong")
    page.say(_whose(returned)).gap()
    if made_with is not None:
        past = read_past(made_with, returned.held.entries(opened) if returned.held is not None else ())
        _listed(page, "What was found:", found_lines(past))
        _listed(page, "What was tried:", tried_lines(past))
    else:
        page.say(
            f"{_UNREAD}Its numbers may mean something else now, so write the cause, not its number."
        ).gap()
    page.say("What did it turn out to be?", "strong")
    if made_with is not None:
        page.listing([(str(each.number), each.says) for each in outcomes(made_with)])
    else:
        page.listing([(each.cause, each.says) for each in outcomes(returned.tree)])
    confirmed = returned.record is not None and returned.record.confirmed
    page.gap().say("To put that right:" if confirmed else "Nothing has been confirmed yet. To do so:")
    wanted = "CAUSE" if made_with is None else "NUMBER"
    return page.say(command("cases", "confirm", regrouped(plain(code)), wanted, *options), indent=2)


def _in_words(cause: str, says: str) -> str:
    return f"{says} ({cause})" if says else "something that is not listed"


def _whose(returned: Returned) -> str:
    record = returned.record
    if returned.own and record is not None:
        how = f"confirmed as {record.cause}" if record.confirmed else "not confirmed yet"
        return f"This is case {record.case} here, {how}."
    there = f"case {returned.code.case} of the store {returned.code.origin}"
    if record is not None:
        how = f"confirmed as {record.cause}" if record.confirmed else "not confirmed yet"
        return f"This is {there}, which is case {record.case} here, {how}."
    return f"This is {there}; it has not come here yet."


def _listed(page: Page, title: str, lines: Sequence[str]) -> None:
    if lines:
        page.say(title, "strong")
        for line in lines:
            page.hang("- ", ended(line))
        page.gap()


def _left_out(returned: Returned, opened: datetime) -> str:
    if returned.made_with is None:
        return f" {_UNREAD}It counts for its cause alone."
    _, gone = returned.lines(opened)
    return f" No place in the tree as it is now, so left out: {'; '.join(gone)}." if gone else ""
