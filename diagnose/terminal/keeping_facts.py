"""After a walk: what was asked about the vehicle itself may be kept on its card, so that it is asked once.

Whoever has no card is offered one (`offering.py`) or told how to make it. The card is written anew in one
move, all else on it untouched; where that cannot be done safely, the lines to add are shown instead.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from diagnose.knowledge.card_splicing import fact_lines, with_facts
from diagnose.knowledge.card_words import CardWords
from diagnose.terminal.console import Console
from diagnose.terminal.desk import Desk, Opened
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.offering import offer_card
from diagnose.terminal.picking import pick
from diagnose.terminal.sentences import ended
from diagnose.terms import NOT_SURE, Check, Finding
from diagnose.walking.past import check_of
from diagnose.walking.views import Choice, Cured, End, Referred

KEEP, LEAVE = "keep", "leave"
CHANGING = ("outside-temperature", "country")
"""Facts that change from day to day, or that have a key of their own on a card."""
OF_THE_SEASON = ("drained", "stored", "months-laid-up")
"""Facts of one lay-up: they are asked when they matter, and a card would tell them wrongly next year."""


def asked_facts(walked: Sequence[Opened]) -> dict[str, tuple[Check, Finding]]:
    """The facts that were answered in these walks, by id, with what was answered last."""
    found = {}
    for opened in walked:
        past = opened.walk.past
        for line in past.live:
            fact = check_of(opened.tree, line.subject) if line.kind == "finding" and not line.ahead else None
            passing = (*CHANGING, *OF_THE_SEASON)
            if fact is not None and fact.fact and fact.id not in passing and line.answer != NOT_SURE:
                found[fact.id] = (fact, past.findings[fact.id])
    return found


def offer_to_keep(console: Console, desk: Desk, walked: Sequence[Opened], end: End) -> None:
    """Offer to keep on the card what was asked; without a card, offer one or say how to make it."""
    asked = asked_facts(walked)
    if desk.card is None:
        _without_a_card(console, desk, asked, end)
        return
    known = {fact.check for fact in desk.card.facts}
    fresh = {id: each for id, each in asked.items() if id not in known}
    if not fresh:
        return
    page = Page(console.width())
    page.say(f"Keep this on the card {desk.card.file}, so that it is not asked again?", "strong")
    for fact, finding in fresh.values():
        page.hang("- ", _as_told(fact, finding))
    console.show([Line(""), *page.lines])
    if pick(console, (Choice(KEEP, "Keep it"), Choice(LEAVE, "Leave the card as it is")), skip=LEAVE) == KEEP:
        _keep(console, desk, Path(desk.card.file), [finding for _, finding in fresh.values()])


def _without_a_card(
    console: Console, desk: Desk, asked: Mapping[str, tuple[Check, Finding]], end: End
) -> None:
    """Offer one where that is wanted; whoever leaves off, or sits at no terminal, is only told how."""
    # A case that was taken up again may be of a vehicle with a name: that is no talk of one's own.
    usual = desk.usual if not desk.vehicle else None
    at_rest = isinstance(end, Cured | Referred)
    wanted = usual is not None and usual.may_offer(desk.clock().date())
    if usual is not None and wanted and at_rest:
        offer_card(console, desk, usual, [(_as_told(*each), each[1]) for each in asked.values()])
    elif asked and (usual is None or wanted):
        page = Page(console.width())
        page.say("To be asked about the vehicle itself only once, make a card of it:", "quiet")
        page.say("diagnose card new", indent=2)
        console.show([Line(""), *page.lines])


def _as_told(fact: Check, finding: Finding) -> str:
    return ended(f"{fact.ask} {_in_words(fact, finding)}")


def _in_words(fact: Check, finding: Finding) -> str:
    if finding.value is not None and fact.reading is not None:
        return f"{finding.value:g} {fact.reading.unit}"
    return {answer.id: answer.says for answer in fact.answers}.get(finding.answer or "", "")


def _keep(console: Console, desk: Desk, path: Path, facts: Sequence[Finding]) -> None:
    page = Page(console.width())
    refusal = ""
    try:
        before = path.read_bytes()
        text = before.decode("utf-8")
        words = CardWords(desk.trees)
        added = with_facts(text, facts, words, desk.clock().date())
        if added is not None:
            write_anew(path, added, before)
            console.show(page.say(f"Kept on {path}.").lines)
            return
    except (OSError, UnicodeDecodeError) as error:
        refusal = f" ({getattr(error, 'strerror', None) or 'it cannot be read'})"
    page.say(f"The card is left as it is{refusal}. To keep it, write under facts: there:")
    for line in fact_lines(facts):
        page.say(line, indent=2)
    console.show(page.lines)


def write_anew(path: Path, text: str, before: bytes) -> None:
    """Put a text in a file's place in one move, its rights kept; raises OSError, and then nothing changed.

    Nor is anything written where the file is no longer what it was.
    """
    target = path.resolve()
    handle, name = tempfile.mkstemp(dir=target.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(target.stat().st_mode & 0o7777)
        if target.read_bytes() != before:
            raise OSError(0, "it was changed meanwhile")
        Path(name).replace(target)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
