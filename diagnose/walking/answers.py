"""Findings from a file, all at once: what is likely then, and what would come next.

The file is a YAML mapping. It is untrusted: every flaw in it is told with its place, and a reading that
cannot be is refused, not ranked. In which order the findings stand makes no difference.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from diagnose.knowledge.ids import nearest, quoted
from diagnose.knowledge.nodes import MapNode, Node, Scalar, what_it_is
from diagnose.knowledge.plain_yaml import read_bytes, read_mapping
from diagnose.terms import (
    COULD_NOT,
    NOT_CURED,
    NOT_SURE,
    Check,
    Finding,
    Flaw,
    FlawedKnowledge,
    Reading,
    Situation,
    Tree,
)
from diagnose.walking.readings import BadReading, band_of, in_range, parse_quantity, parse_reading

OUTCOMES = (NOT_CURED, COULD_NOT)


@dataclass(frozen=True, slots=True)
class Answers:
    """What a file of answers holds, in the tree's own order."""

    findings: tuple[Finding, ...] = ()
    """Of checks and facts, also of facts that this tree expects nothing of."""
    tried: Mapping[str, str] | None = None
    """Cut set -> `not-cured` or `could-not`."""

    def situation(self, tree: Tree) -> Situation:
        """What the arithmetic is asked about."""
        found = {finding.check: finding for finding in self.findings}
        return Situation({id: found[id] for id in tree.checks if id in found}, dict(self.tried or {}))

    def after(self, ahead: Sequence[Finding], tree: Tree) -> Answers:
        """With what was known ahead of the file; where both tell of one check, the file holds."""
        found = {finding.check: finding for finding in (*ahead, *self.findings)}
        return Answers(tuple(found[id] for id in _in_order(tree) if id in found), self.tried)


def _in_order(tree: Tree) -> list[str]:
    """Every check of a tree, then every fact that it does not use."""
    return [*tree.checks, *(id for id in tree.facts if id not in tree.checks)]


def load_answers(path: Path, tree: Tree) -> Answers:
    """The answers in a file; raises FlawedKnowledge with every flaw of it."""
    return read_answers(read_bytes(path), str(path), tree)


def read_answers(text: str | bytes, file: str, tree: Tree) -> Answers:
    """The answers in a text; raises FlawedKnowledge with every flaw of it, by place."""
    reader = _Reader(file, tree)
    if not _holds_nothing(text):
        reader.read(read_mapping(text, file))
    if reader.flaws:
        raise FlawedKnowledge(tuple(reader.flaws))
    remedies = ["+".join(causes) for causes in tree.cut_sets]
    return Answers(
        tuple(reader.findings[id] for id in _in_order(tree) if id in reader.findings),
        {id: reader.tried[id] for id in remedies if id in reader.tried},
    )


def _holds_nothing(text: str | bytes) -> bool:
    """Whether nothing but comments and empty lines stands there: nothing is known yet, which is no flaw."""
    lines = text.splitlines() if isinstance(text, str) else text.decode("utf-8", "replace").splitlines()
    return all(not line.strip("\ufeff \t") or line.lstrip("\ufeff \t").startswith("#") for line in lines)


class _Reader:
    """Reads pair by pair and notes what is wrong with any."""

    def __init__(self, file: str, tree: Tree) -> None:
        self.file, self.tree = file, tree
        self.flaws: list[Flaw] = []
        self.findings: dict[str, Finding] = {}
        self.tried: dict[str, str] = {}
        # Causes may be joined in any order; a tree's own order is what counts.
        self.remedies = {frozenset(causes): "+".join(causes) for causes in tree.cut_sets}

    def flaw(self, node: Node, text: str, meant: str = "") -> None:
        """Note what is wrong at a node."""
        self.flaws.append(Flaw(self.file, node.line, node.column, text, meant))

    def read(self, root: MapNode) -> None:
        """Every pair of the file."""
        for key, value in root.pairs:
            check = self.tree.checks.get(key.value)
            remedy = self.remedies.get(frozenset(key.value.split("+")))
            if remedy is None:
                check = check or self.tree.facts.get(key.value)
            if check is not None:
                self._finding(check, value)
            elif remedy is None:
                self._unknown(key)
            elif remedy in self.tried:
                self.flaw(key, f"{quoted(key.value)} is {remedy}, which stands here already")
            else:
                self._outcome(remedy, value)

    def _unknown(self, key: Scalar) -> None:
        tree, id = self.tree, key.value
        renamed = {old: check.id for check in tree.checks.values() for old in check.was}
        renamed |= {old: event.id for event in tree.events.values() for old in event.was}
        sets = [name for name in self.remedies.values() if id in name.split("+")]
        known = [*tree.checks, *tree.facts, *self.remedies.values()]
        if sets:
            self.flaw(key, f"{quoted(id)} is only part of what can be wrong together here", sets[0])
        elif id in tree.events:
            self.flaw(key, f"{quoted(id)} is an event with causes below it; name one of those")
        else:
            meant = renamed.get(id) or nearest(id, known)
            self.flaw(key, f"{quoted(id)} is no check, fact or cause of this tree", meant)

    def _outcome(self, remedy: str, node: Node) -> None:
        if isinstance(node, Scalar) and node.value in OUTCOMES:
            self.tried[remedy] = node.value
            return
        said = node.value if isinstance(node, Scalar) else ""
        self.flaw(
            node,
            f"{what_it_is(node)} stands for the cause {remedy}; write {NOT_CURED} or {COULD_NOT}",
            nearest(said, OUTCOMES),
        )

    def _finding(self, check: Check, node: Node) -> None:
        if isinstance(node, Scalar) and node.text is not None and self._is_answer(check, node.text):
            self.findings[check.id] = Finding(check.id, node.text)
        elif check.reading is not None:
            self._measured(check, check.reading, node)
        else:
            answers = check.answer_ids()
            said = node.value if isinstance(node, Scalar) else ""
            self.flaw(
                node,
                f"{what_it_is(node)} is no answer of {check.id}: {', '.join(answers)} or {NOT_SURE}",
                nearest(said, (*answers, NOT_SURE)),
            )

    def _is_answer(self, check: Check, text: str) -> bool:
        return text == NOT_SURE or text in check.answer_ids()

    def _measured(self, check: Check, reading: Reading, node: Node) -> None:
        value_node, uncertainty = node, reading.uncertainty
        if isinstance(node, MapNode):
            for key, _ in node.pairs:
                if key.value not in ("value", "uncertainty"):
                    keys = ("value", "uncertainty")
                    self.flaw(key, f"{quoted(key.value)} is no key here", nearest(key.value, keys))
            given = node.get("value")
            if given is None:
                self.flaw(
                    node, f"the reading of {check.id} has no value; write {{value: ..., uncertainty: ...}}"
                )
                return
            value_node = given
            stated = node.get("uncertainty")
            if stated is not None:
                known = self._number(check, reading, stated, parse_quantity)
                if known is not None and known <= 0:
                    self.flaw(stated, "an uncertainty is above zero")
                    return
                uncertainty = known if known is not None else uncertainty
        value = self._number(check, reading, value_node, parse_reading)
        if value is not None:
            self.findings[check.id] = Finding(check.id, band_of(check, value), value, uncertainty)

    def _number(
        self, check: Check, reading: Reading, node: Node, parse: Callable[[str, Reading], float]
    ) -> float | None:
        """The number at a node, or None and a flaw."""
        if not isinstance(node, Scalar) or (node.number is None and node.text is None):
            text = (
                f"{what_it_is(node)} is no reading of {check.id}: a number in {reading.unit}, or {NOT_SURE}"
            )
            self.flaw(node, text)
            return None
        try:
            if node.number is not None:
                return in_range(node.number, reading) if parse is parse_reading else node.number
            return parse(node.text or "", reading)
        except BadReading as refusal:
            bands = (*check.answer_ids(), NOT_SURE)
            self.flaw(node, f"{check.id}: {str(refusal).rstrip('.')}", nearest(node.value, bands))
            return None
