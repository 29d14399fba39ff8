"""Advice: what a file may do, yet better would not. Each kind has a name, for `accept:` with a reason."""

from __future__ import annotations

from collections.abc import Collection, Container, Mapping
from dataclasses import dataclass, field

from diagnose.knowledge.common import NONE, Common
from diagnose.knowledge.faults import DraftFaults
from diagnose.knowledge.form import Filled
from diagnose.knowledge.hazards import EventHazards
from diagnose.knowledge.ids import nearest, quoted
from diagnose.knowledge.nodes import Node
from diagnose.knowledge.shares import CutSets, total_in_100
from diagnose.knowledge.wording import first_word
from diagnose.terms import Advice

ADVICE: Mapping[str, str] = {
    "shares-miss-100": "the shares with not_listed miss 100 by more than 1",
    "common-cause": "one cause stands in several cut sets, whose remedies are taken as separate",
    "see-unknown": "a remedy sees a tree that is not known",
    "hazard-unsaid": "a text speaks of a hazard that its cause or check does not carry",
    "none-overruled": "a cause says that it has no hazard, yet one comes from above",
    "cause-never-alone": "a cause stands in no minimal cut set, so it is never found",
    "accept-unknown": "accept names an advice that does not exist",
    # Texts: knowledge/advising_texts.py
    "text-hard": "a text that an owner reads is over grade 8",
    "text-long": "a text fills a small screen",
    "word-long": "a word is too long for a narrow screen",
    "sources-missing": "the tree says nowhere where its figures come from",
    # Translations: knowledge/catalogue_checks.py
    "translation-missing": "a catalogue of the tree lacks texts, which are shown in English",
    "translation-old": "a catalogue translates what is no text of the tree any more",
    "translation-unsure": "a translation is marked as a guess, so it is not used",
    "translation-figures": "a translation has other figures than its original",
    # What routes do, and what cases say: revising/advising.py
    "not-separated": "no check tells two causes apart that are mended in different ways",
    "check-never-asked": "no route of an owner or a technician asks a check",
    "check-tells-nothing": "a check has the same answers for every cause",
    "remedy-never-tried": "no route of an owner or a technician tries a remedy",
    "share-contradicted": "the confirmed cases contradict the share of a cause",
    "expect-contradicted": "the confirmed cases contradict what a check expects",
    "cause-never-confirmed": "a cause was never confirmed, though at its share it would have been",
    "cause-gone": "confirmed cases name a cause that the tree has no more",
}
SHARES_MAY_MISS_100_BY = 1.0


@dataclass(slots=True)
class Advices:
    """The advice on one file as it is found; what `accept:` names is left out at the end."""

    file: str
    accepted: Container[str] = ()
    found: list[Advice] = field(default_factory=list)

    def at(self, node: Node, name: str, text: str) -> None:
        """Note a piece of advice; its name is told, so that it can be accepted."""
        self.found.append(Advice(self.file, node.line, node.column, name, f"{text} ({name})"))

    def sorted(self) -> tuple[Advice, ...]:
        """What is not accepted, by place."""
        return tuple(sorted({advice for advice in self.found if advice.name not in self.accepted}))


def advise_on_shares(
    faults: DraftFaults, cut_sets: CutSets, hazards: EventHazards, tree: Filled, advices: Advices
) -> None:
    """Shares that miss 100, causes in several cut sets, causes in none."""
    not_listed = tree.number("not_listed", 5.0)
    total = total_in_100(faults, cut_sets, hazards.above) + not_listed
    if abs(total - 100) > SHARES_MAY_MISS_100_BY + 1e-9:
        text = f"the shares and not_listed ({not_listed:g}) add up to {total:.4g}, not to 100"
        advices.at(tree.key("faults"), "shares-miss-100", text)
    holding: dict[str, list[str]] = {}
    for causes in cut_sets.top:
        for id in causes:
            holding.setdefault(id, []).append("+".join(causes))
    for cause in faults.causes():
        sets = holding.get(cause.id, [])
        if not sets:
            text = f"cause {quoted(cause.id)} stands in no minimal cut set, so it is never found"
            advices.at(cause.key, "cause-never-alone", text)
        elif len(sets) > 1:
            shown = ", ".join(sets[:4]) + (f" and {len(sets) - 4} more" if len(sets) > 4 else "")
            text = f"cause {quoted(cause.id)} stands in the cut sets {shown}"
            text += "; their remedies are taken as separate"
            advices.at(cause.key, "common-cause", text)


def advise_on_causes(
    faults: DraftFaults,
    carried: Mapping[str, frozenset[str]],
    hazards: EventHazards,
    common: Common,
    advices: Advices,
) -> None:
    """Causes whose text speaks of a hazard they do not carry, or that deny one they inherit."""
    for cause in faults.causes():
        name = f"cause {quoted(cause.id)}"
        texts = [cause.filled.text("says")]
        if cause.remedy is not None:
            texts += [cause.remedy.filled.text("do"), cause.remedy.filled.text("how")]
        advise_on_texts(texts, carried[cause.id], name, cause.key, common, advices)
        if NONE in cause.filled.texts("hazard") and hazards.all[cause.id]:
            inherited = ", ".join(common.carried(hazards.all[cause.id]))
            advices.at(
                cause.filled.key("hazard"),
                "none-overruled",
                f"{name} says none, yet {inherited} comes from above",
            )


def advise_on_texts(
    texts: Collection[str], carried: Collection[str], name: str, at: Node, common: Common, advices: Advices
) -> None:
    """Note each hazard that the texts speak of and that is not carried."""
    for hazard in common.hazards.values():
        if not hazard.speaks or hazard.id in carried:
            continue
        word = next((word for text in texts if text and (word := first_word(text, hazard.speaks))), "")
        if word:
            advices.at(
                at,
                "hazard-unsaid",
                f"{name} speaks of {quoted(word)} and does not carry the hazard {hazard.id}",
            )


def advise_on_see(faults: DraftFaults, known: Container[str] | None, advices: Advices) -> None:
    """Trees that a remedy sees and nobody knows; nothing is said where the known ones were not given."""
    for cause in faults.causes():
        word = cause.remedy.filled.scalar("see") if cause.remedy else None
        if word is not None and known is not None and word.value not in known:
            advices.at(
                word,
                "see-unknown",
                f"remedy of {quoted(cause.id)} sees {quoted(word.value)}, a tree that is not known",
            )


def advise_on_accept(tree: Filled, advices: Advices) -> None:
    """Names under `accept:` that no advice has."""
    for key, _ in tree.pairs("accept"):
        if key.value not in ADVICE:
            meant = nearest(key.value, ADVICE)
            hint = f' (did you mean "{meant}"?)' if meant else ""
            advices.at(
                key, "accept-unknown", f"accept names {quoted(key.value)}, which no advice is called{hint}"
            )
