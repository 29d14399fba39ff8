"""How hard a text is to read: the grade of Kincaid et al. (1975), by the `readability` library."""

from __future__ import annotations

import re

import readability

GRADE = 8
"""Texts for an owner are to be read at this grade at most."""


def grade(text):
    """The Flesch-Kincaid grade of a text; colons and semicolons end a sentence, as they do for a reader."""
    sentences = re.split(r"(?<=[.!?:;])\s+", text.strip())
    words = [" ".join(re.findall(r"[A-Za-z'’-]+", each)) for each in sentences]
    found = readability.getmeasures([f"{each} ." for each in words if each], lang="en")
    return found["readability grades"]["Kincaid"]


def owner_texts(tree):
    """Every text of a tree that an owner may be shown, with the id of where it stands."""
    yield "symptom", tree.symptom
    if tree.cured_when is not None:
        yield "cured_when", tree.cured_when.ask
    for check in tree.checks.values():
        if check.by == "owner":
            yield check.id, check.ask
            yield check.id, check.how
            yield from ((check.id, answer.says) for answer in check.answers)
    for cause in tree.causes():
        yield cause.id, cause.says
        yield cause.id, cause.prevent
        if cause.remedy.kind == "do" and cause.remedy.by == "owner":
            yield cause.id, cause.remedy.text
            yield cause.id, cause.remedy.how
    for id, referral in tree.referrals.items():
        yield id, referral.say
        yield id, referral.until_help
