"""Which column of a file is what: by its own name, or as a mapping says."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from diagnose.cases.import_known import KnownIds, check_of
from diagnose.cases.import_mapping import FIELDS, LEFT_OUT, REQUIRED, UNKNOWN, ImportMapping, plain
from diagnose.cases.import_rows import REASON
from diagnose.knowledge.ids import nearest, quoted
from diagnose.knowledge.naming import NoSuchCause, cause_named
from diagnose.terms import NOT_LISTED, NOT_SURE, Flaw

NEAR = 0.8
"""A name as like a known one as this (difflib's ratio) is taken for a slip of the keys."""


@dataclass(frozen=True, slots=True)
class Columns:
    """The places of the fields, from 0; one that is not there has the place behind the last column."""

    fields: Mapping[str, int]
    checks: tuple[tuple[int, str], ...]
    unread: tuple[str, ...] = ()
    """Names of columns that mean nothing here."""
    flaws: tuple[Flaw, ...] = ()
    missing: tuple[str, ...] = ()
    """Fields that every file needs and that no column is."""


def columns_of(header: Sequence[str], mapping: ImportMapping, ids: KnownIds, shown: str, row: int) -> Columns:
    """What each column is, with what is wrong about them."""
    said = {plain(word): means for word, means in mapping.columns.items()}
    fields: dict[str, int] = {}
    checks: dict[str, int] = {}
    unread, flaws = [], []
    for at, name in enumerate(header):
        means = said.get(plain(name)) or _by_itself(name, said.values(), ids)
        if means in (LEFT_OUT, REASON):
            continue
        if means in FIELDS:
            fields.setdefault(means, at)
        elif means:
            if means in checks:
                text = f"two columns are {means}; leave one out in the mapping"
                flaws.append(Flaw(shown, row, at + 1, text))
            checks[means] = at
        elif name:
            known = (*FIELDS, *ids.checks())
            meant = next(iter(_near(name, known)), "")
            if meant and meant not in said.values():
                text = f"column {quoted(name)} is nearly {quoted(meant)}; name it so, or map it (or left-out)"
                flaws.append(Flaw(shown, row, at + 1, text))
            else:
                unread.append(name)
    missing = tuple(each for each in REQUIRED if each not in fields)
    places = {each: fields.get(each, len(header)) for each in FIELDS}
    return Columns(places, tuple((at, id) for id, at in checks.items()), tuple(unread), tuple(flaws), missing)


def _by_itself(name: str, mapped: Collection[str], ids: KnownIds) -> str:
    """The field or check that a name is by itself; nothing where the mapping says another column is."""
    word = "-".join(plain(name).replace("_", " ").split())
    if not word or word in mapped:
        return ""
    if word in FIELDS or word == REASON:
        return word
    return word if word in ids.checks() else ""


def _near(name: str, known: Sequence[str]) -> list[str]:
    from difflib import get_close_matches

    return get_close_matches("-".join(plain(name).split()), known, 1, NEAR)


def flaws_of_mapping(mapping: ImportMapping, ids: KnownIds) -> list[Flaw]:
    """What a mapping names that the trees do not have."""
    flaws = []
    known = ids.trees.ids()
    for word, means in mapping.columns.items():
        if means not in (*FIELDS, LEFT_OUT) and means not in ids.checks():
            text = f"{quoted(means)} is no field ({', '.join(FIELDS)}, {LEFT_OUT}) and no check's id"
            flaws.append(mapping.flaw(("columns", word), text, nearest(means, (*FIELDS, *ids.checks()))))
    for word, id in mapping.symptoms.items():
        if id != LEFT_OUT and id not in known:
            text = f"there is no symptom {quoted(id)}"
            flaws.append(mapping.flaw(("symptoms", word), text, nearest(id, (*known, LEFT_OUT))))
    for id, pairs in mapping.causes.items():
        tree = ids.tree(id)
        if tree is None:
            meant = "" if id in known else nearest(id, known)
            flaws.append(mapping.flaw(("causes", id), f"there is no whole tree {quoted(id)}", meant))
            continue
        for word, cause in pairs.items():
            if cause not in (UNKNOWN, NOT_LISTED):
                try:
                    cause_named(tree, cause)
                except NoSuchCause as no:
                    flaws.append(mapping.flaw(("causes", id, word), str(no).split("\n")[0].rstrip(":")))
    for id, pairs in mapping.answers.items():
        flaws += _flaws_of_answers(mapping, id, pairs, ids)
    return flaws


def _flaws_of_answers(mapping: ImportMapping, id: str, pairs: Mapping[str, str], ids: KnownIds) -> list[Flaw]:
    if id not in ids.checks():
        return [mapping.flaw(("answers", id), f"there is no check {quoted(id)}", nearest(id, ids.checks()))]
    answers = {answer for each in ids.trees.ids() if (tree := ids.tree(each)) is not None
               if (check := check_of(tree, id)) is not None for answer in check.answer_ids()}  # fmt: skip
    return [
        mapping.flaw(
            ("answers", id, word), f"{quoted(answer)} is no answer of {id}", nearest(answer, answers)
        )
        for word, answer in pairs.items()
        if answer not in answers and answer != NOT_SURE
    ]
