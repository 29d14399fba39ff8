"""What can be offered to somebody who puts a new cause into a tree, so that little has to be typed."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.cases.records import Entry
from diagnose.knowledge.cause_search import CauseMatch, search_causes
from diagnose.knowledge.checks import OTHERWISE
from diagnose.knowledge.common import Common
from diagnose.knowledge.ids import LONGEST_ID, as_id
from diagnose.knowledge.stems import overlap, stems, weights_of
from diagnose.revising.extending import NewCause, extended, flaws_of, places, why_not
from diagnose.terms import NOT_SURE, TOP, Check, DiagnoseError, Finding, Flaw, Tree
from diagnose.walking.past import read_past

LIKE = 0.6
"""From this likeness on a cause of the tree may be the very one that is told."""
_WORDS_OF_AN_ID = 3
_TELLING_NOTHING = """
    a an the is are was were be been it its in on of at to from with for and or by has have had that which
    too there so very not no this they them can could would one you your shows
"""
_IN_NO_ID = frozenset(_TELLING_NOTHING.split())


@dataclass(frozen=True, slots=True)
class Shown:
    """What this case showed at a check, and how often the tree expects that of the new cause so far."""

    check: Check
    answer: str
    expected: float

    @property
    def says(self) -> str:
        """The answer in words; a reading's band by its limits."""
        band = next((band for band in self.check.bands if band.id == self.answer), None)
        if band is not None and self.check.reading is not None:
            unit = self.check.reading.unit
            return f"{self.answer.replace('-', ' ')} ({band.low:g} to {band.high:g} {unit})"
        return next((each.says for each in self.check.answers if each.id == self.answer), self.answer)


def events_like(tree: Tree, words: str) -> tuple[str, ...]:
    """The events under which a cause can be put, those first that its words are most like."""
    own = {id: frozenset(stems(_said_of(tree, id))) for id in places(tree)}
    weights = weights_of(tuple((" ".join(sorted(each)),) for each in own.values()))
    asked = stems(words)
    like = {id: overlap(asked, each, weights) if id != TOP else 0.0 for id, each in own.items()}
    return tuple(sorted(own, key=lambda id: (id == TOP, -like[id])))


def _said_of(tree: Tree, event: str) -> str:
    """The words of an event and of every cause below it."""
    if event == TOP:
        return tree.symptom
    below = [each for each in tree.events.values() if event in each.above]
    texts = [tree.events[event].says, event.replace("-", " ")]
    return " ".join((*texts, *(f"{each.says} {each.prevent}" for each in below)))


def causes_alike(tree: Tree, words: str) -> tuple[CauseMatch, ...]:
    """Causes that the tree has already and that may be meant."""
    return tuple(match for match in search_causes(words, [tree]) if match.likeness >= LIKE)[:3]


def telling_words(words: str) -> list[str]:
    """The words that can make an id, without those that tell nothing.

    >>> telling_words("There's a nest in the flue")
    ['theres', 'nest', 'flue']
    """
    plain = re.sub(r"['’]", "", words.casefold())
    return [word for word in re.findall(r"[a-z0-9]+", plain) if word not in _IN_NO_ID]


def answer_id(text: str, found: Mapping[str, str]) -> str:
    """An id for an answer beside those that are there (id -> words); "" where none can be made.

    >>> answer_id("It is quiet", {"green": "It is green"}), answer_id("it is green", {"green": "It is green"})
    ('quiet', '')
    """
    if text.casefold() in (other.casefold() for other in found.values()):
        return ""
    words = telling_words(text) or text.casefold().split()
    ids = (as_id(" ".join(words[:many])) for many in (1, 2, 3, 4))
    return next((id for id in ids if id and id not in found), "")


def proposed_id(tree: Tree, words: str, common: Common, taken: str = "") -> str:
    """An id from the first words that tell something, one that is free; "" where none can be made."""
    telling = telling_words(words)
    for many in (_WORDS_OF_AN_ID, 2, 4, 5):
        id = as_id(" ".join(telling[:many])[:LONGEST_ID])
        if id and id != taken and not why_not(tree, id, common):
            return id
    base = as_id(" ".join(telling[:_WORDS_OF_AN_ID]))
    numbered = (f"{base}-{number}" for number in range(2, 100) if base)
    return next((id for id in numbered if id != taken and not why_not(tree, id, common)), "")


def shown_in_case(tree: Tree, entries: Sequence[Entry], under: str) -> tuple[Shown, ...]:
    """What the case showed at checks that can tell causes apart, in the tree's order."""
    found = read_past(tree, entries).findings
    return tuple(
        Shown(check, finding.answer, expected_of(check, finding.answer, tree, under))
        for check, finding in _told(tree, found)
        if finding.answer is not None
    )


def _told(tree: Tree, found: Mapping[str, Finding]) -> list[tuple[Check, Finding]]:
    return [
        (check, found[id])
        for id, check in tree.checks.items()
        if id in found
        and found[id].answer not in (None, NOT_SURE)
        and (check.fact or not check.fixed)
        and check.expect.keys() - {OTHERWISE}
    ]


def expected_of(check: Check, answer: str, tree: Tree, under: str) -> float:
    """How often a cause under that event shows the answer, where the check says nothing of the cause."""
    named = [under, *tree.events[under].chain] if under != TOP else []
    row = next((check.expect[id] for id in (*named, OTHERWISE) if id in check.expect), {})
    if answer in row:
        return row[answer]
    others = [id for id in check.answer_ids() if id not in row]
    return max(1 - sum(row.values()), 0.0) / len(others) if others else 0.0


def hazards_above(tree: Tree, under: str) -> tuple[str, ...]:
    """The hazards that a cause under that event has from above, in the order of the common files."""
    event = tree.events.get(under)
    return tuple(id for id in tree.hazards if event is not None and id in event.hazards)


def checks_like(tree: Tree, words: str) -> tuple[Check, ...]:
    """The checks that can tell causes apart and whose words are most like those; at most eight."""
    telling = [check for check in tree.checks.values() if check.fact or not check.fixed]
    said = {check.id: _of_check(check) for check in telling}
    weights = weights_of(tuple((text,) for text in said.values()))
    asked = stems(words)
    like = {check.id: overlap(asked, stems(said[check.id]), weights) for check in telling}
    found = [check for check in telling if like[check.id] > 0.3]
    return tuple(sorted(found, key=lambda check: -like[check.id])[:8])


def _of_check(check: Check) -> str:
    return " ".join((check.ask, check.id.replace("-", " "), *(answer.says for answer in check.answers)))


def trouble(text: str, tree: Tree, new: NewCause, common: Common) -> tuple[Flaw, ...]:
    """What would be wrong with the tree if the cause stood in it as told so far; () where nothing would.

    What is not told yet is filled with what breaks no rule, so that each step is judged when it is told.
    """
    whole = new if new.id else replace(new, id=proposed_id(tree, f"cause {new.says}", common) or "new-cause")
    if not whole.hazard and not hazards_above(tree, whole.under):
        whole = replace(whole, hazard=("none",))
    try:
        after = extended(text, tree, whole, common)
    except DiagnoseError as refusal:
        return (Flaw(tree.file, 1, 1, str(refusal)),)
    return flaws_of(after, tree, common)[1]
