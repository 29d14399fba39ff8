"""What somebody's words may mean, for a person to say yes or no to; nothing here is ever taken by itself."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Sequence
from itertools import zip_longest

from diagnose.cases.import_cases import Report
from diagnose.cases.import_known import check_of
from diagnose.cases.import_mapping import FIELDS, LEFT_OUT, ORDERS, UNKNOWN, plain
from diagnose.cases.import_run import History
from diagnose.cases.import_words import LIKE, near_causes
from diagnose.knowledge.collection import Heading
from diagnose.knowledge.ids import nearest
from diagnose.knowledge.symptom_search import search_symptoms

MOST_SHOWN = 20
"""Words of a kind that a hint shows; those in most rows come first."""
CHOOSE = "choose"
"""Stands where nothing is near; a mapping that is left so is refused."""
_OFTEN_CALLED = {
    "case": ("job no", "job number", "order no", "reference", "ticket", "work order", "id", "number"),
    "date": ("date in", "opened", "reported on", "day", "received", "booked in"),
    "symptom": ("complaint", "fault", "problem", "defect", "reported fault", "issue", "customer says"),
    "cause": ("found", "diagnosis", "cause found", "finding", "what it was", "root cause"),
    "vehicle": ("van", "unit", "fleet no", "registration", "reg no", "asset", "caravan", "motorhome"),
    "state": ("status", "result", "outcome", "ended", "closed as"),
}
"""What job histories call these columns (common practice, no source); only ever a suggestion."""


def suggested_field(name: str, taken: Collection[str] = ()) -> str:
    """The field that a column of this name may be, "" where none is likely."""
    from rapidfuzz import fuzz, process
    from rapidfuzz.utils import default_process

    names = {(field, called): called for field, all in _OFTEN_CALLED.items() if field not in taken
             for called in (field, *all)}  # fmt: skip
    best = process.extractOne(name[:100], names, scorer=fuzz.token_sort_ratio, processor=default_process)
    return str(best[2][0]) if best is not None and best[1] >= 80 else ""


def near_symptoms(text: str, headings: Sequence[Heading], most: int) -> list[str]:
    """The ids of the symptoms that a text may mean, the best first.

    Those that the search of symptoms finds and those that share most words by themselves, in turns: a word or
    two from a job card is less than an owner would type.
    """
    from rapidfuzz import fuzz, process
    from rapidfuzz.utils import default_process

    searched = [match.id for match in search_symptoms(text[:300], headings).nearest if match.likeness > 0.2]
    names = {(h.id, n): words for h in headings
             for n, words in enumerate((h.id.replace("-", " "), h.symptom, *h.also_said))}  # fmt: skip
    alike = process.extract(
        text[:300], names, scorer=fuzz.token_set_ratio, processor=default_process, limit=4 * most
    )
    by_words = [id for _, _, (id, _n) in alike]
    turns = (id for pair in zip_longest(searched, by_words) for id in pair if id is not None)
    return list(dict.fromkeys(turns))[:most]


def columns_hint(header: Iterable[str]) -> list[str]:
    """The lines of a mapping that would say what each column is; what is likely stands there already."""
    lines, taken = ["columns:"], set[str]()
    for name in header:
        if not name:
            continue
        field = plain(name) if plain(name) in FIELDS else suggested_field(name, taken)
        taken.add(field)
        lines.append(f"  {_quoted(name)}: {field or LEFT_OUT}")
    return lines


def words_hint(history: History, report: Report) -> list[str]:
    """The lines of a mapping that would explain the words without a meaning, the nearest ones filled in."""
    if not report.words:
        return []
    lines = [f"dates: {history.order}"] if history.order else []
    by_kind: dict[str, dict[str, list[tuple[str, int]]]] = {}
    for (kind, id, words), rows in report.words.most_common():
        by_kind.setdefault(kind, {}).setdefault(id, []).append((words, rows))
    for kind, by_id in by_kind.items():
        if kind == "dates":
            lines.append(f"dates: {ORDERS[0]}  # or {' or '.join(ORDERS[1:])}")
            continue
        if kind == "decimal":
            lines.append("decimal: comma  # or point")
            continue
        lines.append(f"{kind}:")
        for id, found in by_id.items():
            margin = "  "
            if id:
                lines.append(f"  {id}:")
                margin = "    "
            for words, rows in found[:MOST_SHOWN]:
                first, *others = suggestions(history, kind, id, words)
                if not _likely(history, kind, id, words):
                    first, others = CHOOSE, [first, *others]
                near = f": {', '.join(others)}" if first == CHOOSE else f"; or {', '.join(others)}"
                lines.append(
                    f"{margin}{_quoted(words)}: {first}  # {rows} row{'' if rows == 1 else 's'}{near}"
                )
    return lines


def suggestions(history: History, kind: str, id: str, words: str, most: int = 3) -> list[str]:
    """What words of a kind may mean, the likeliest first, as a mapping would name it; never empty."""
    if kind == "symptoms":
        return [*near_symptoms(words, history.ids.headings(), most), LEFT_OUT]
    if kind == "causes":
        tree = history.ids.tree(id)
        near = [] if tree is None else [cause for cause, likeness in near_causes(tree, words, most)]
        return [*near, "not-listed", UNKNOWN]
    if kind == "states":
        return ["cured", "referred", "stopped", "left-off"]
    if kind == "answers":
        answers = _answers_of(history, id)
        first = nearest(words.lower(), answers)
        return [*([first] if first else []), *(answer for answer in answers if answer != first), "not-sure"]
    return ["a name of your own, such as van 7"]


def _likely(history: History, kind: str, id: str, words: str) -> bool:
    """Whether the first suggestion is near enough to be written down for somebody to look at."""
    if kind == "symptoms":
        return bool(search_symptoms(words[:300], history.ids.headings()).good)
    if kind == "causes":
        tree = history.ids.tree(id)
        near = near_causes(tree, words, 1) if tree is not None else []
        return bool(near) and near[0][1] >= LIKE
    if kind == "answers":
        return bool(nearest(words.lower(), _answers_of(history, id)))
    return False


def _answers_of(history: History, check: str) -> list[str]:
    ids = history.ids
    found = (check_of(tree, check) for id in ids.trees.ids() if (tree := ids.tree(id)) is not None)
    return list(dict.fromkeys(answer for each in found if each is not None for answer in each.answer_ids()))


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
