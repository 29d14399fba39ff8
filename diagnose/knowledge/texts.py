"""The texts of a tree, and of what all trees share, that a hand-over sheet can show: what is translated.

Each comes once, in the order of the file, with the places where it stands. What only the one at the prompt
reads (how to look, how to prevent it) is on no sheet and not among them; signal words are the program's own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from diagnose.knowledge.common import Common
from diagnose.terms import TOP, Check, Referral, Tree

Texts = Mapping[str, tuple[str, ...]]
"""English text -> the places where it stands, in words."""


def common_texts(common: Common) -> Texts:
    """The texts of the common files."""
    return _each_once(_of_common(common))


def tree_texts(tree: Tree, common: Common) -> Texts:
    """The texts of a tree that the common files do not have as well."""
    shared = common_texts(common)
    return {text: places for text, places in _each_once(_of_tree(tree, common)).items() if text not in shared}


def _each_once(placed: Iterable[tuple[str, str]]) -> Texts:
    found: dict[str, list[str]] = {}
    for text, place in placed:
        if text:
            found.setdefault(text, []).append(place)
    return {text: tuple(dict.fromkeys(places)) for text, places in found.items()}


def _of_common(common: Common) -> Iterator[tuple[str, str]]:
    for caution in common.cautions.values():
        yield caution.say, f"caution {caution.id}"
    for referral in common.referrals.values():
        yield from _of_referral(referral)
    for check in common.checks.values():
        yield from _of_check(check)
        yield check.how, f"how to find out {check.id}"
    for hazard in common.hazards.values():
        yield hazard.says, f"hazard {hazard.id}"
    for system in common.systems.values():
        yield system.title, f"system {system.id}"
    for place in common.places.values():
        yield place.says, f"place {place.id}"
    for country in common.countries.values():
        yield country.gas_register, f"register of {country.id}"
    for fact in common.facts.values():
        yield from _of_check(fact)


def _of_tree(tree: Tree, common: Common) -> Iterator[tuple[str, str]]:
    yield tree.symptom, "symptom"
    yield tree.cured_when.ask, "cured when"
    for check in tree.checks.values():
        yield from _of_check(check)
    for event in tree.events.values():
        if event.id == TOP:
            continue  # it says what the symptom does
        yield event.says, f"{'event' if event.gate else 'cause'} {event.id}"
        if event.remedy is not None and event.remedy.kind == "do":
            yield event.remedy.text, f"remedy of {event.id}"
    for id, referral in tree.referrals.items():
        if id not in common.referrals:
            yield from _of_referral(referral)
    for id, caution in tree.caution_texts.items():
        if id not in common.cautions:
            yield caution.say, f"caution {id}"
    for id, place in tree.places.items():
        if id not in common.places:
            yield place.says, f"place {id}"


def _of_check(check: Check) -> Iterator[tuple[str, str]]:
    what = "fact" if check.fact else "check"
    yield check.ask, f"{what} {check.id}"
    if check.reading is not None:
        yield check.reading.unit, f"unit of {check.id}"
    else:  # the bands of a reading are known by their ids alone
        for answer in check.answers:
            yield answer.says, f"answer {answer.id} to {check.id}"


def _of_referral(referral: Referral) -> Iterator[tuple[str, str]]:
    yield referral.to, f"referral {referral.id}: who"
    yield referral.say, f"referral {referral.id}: what to say"
    yield referral.until_help, f"referral {referral.id}: until help comes"
