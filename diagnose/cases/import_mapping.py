"""A mapping: how the words of somebody's job history are to be read. A small YAML file, kept beside it.

    source: hire fleet            # whose numbers these are; a number counts once for each source
    columns:                      # the file's column -> what it is
      Job no: case
      Complaint: symptom
      Volts at rest: rest-volts   # the id of a check
      Invoice: left-out
    dates: day-month-year         # how 03/04/2026 is read: also month-day-year, year-month-day
    decimal: comma                # how 12,4 is read: comma or point
    symptoms:
      Heater dead: heater-no-fire
      Oil change: left-out        # such rows are none of a symptom that is known here
    causes:
      heater-no-fire:
        Ran out of gas: gas-empty
        Customer error: not-listed
        "?": unknown              # nobody knows; the case comes in unconfirmed
    states: {done: cured, sent on: referred}
    answers:
      hob-flame: {ok: steady}
    vehicles: {AB12 CDE: van 1}

Further keys: `encoding` (windows-1252 for old CSV files), `sheet` and `header_row` of a workbook. Capitals
and spaces make no difference in the words on the left.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from diagnose.cases.import_rows import FileForm
from diagnose.cases.import_text import ENCODINGS
from diagnose.knowledge.ids import nearest, quoted
from diagnose.knowledge.nodes import ListNode, MapNode, Node, Scalar, what_it_is
from diagnose.knowledge.plain_yaml import read_bytes, read_mapping
from diagnose.terms import Flaw, FlawedKnowledge

FIELDS = ("case", "date", "symptom", "cause", "vehicle", "state")
REQUIRED = ("case", "date", "symptom")
LEFT_OUT = "left-out"
UNKNOWN = "unknown"
ORDERS = ("day-month-year", "month-day-year", "year-month-day")
DECIMALS = ("point", "comma")
STATES = ("cured", "referred", "stopped", "left-off")
_WORDS: Mapping[str, tuple[str, ...]] = {
    "encoding": tuple(ENCODINGS),
    "dates": ORDERS,
    "decimal": DECIMALS,
}
_TEXTS = ("source", "sheet")
_PAIRS = ("columns", "symptoms", "states", "vehicles")
_NESTED = ("causes", "answers")
KEYS = (*_TEXTS, "header_row", *_WORDS, *_PAIRS, *_NESTED)
LONGEST_SOURCE = 100

Pairs = dict[str, str]


@dataclass(slots=True)
class ImportMapping:
    """What a mapping file says; every dictionary from words as they stand there. Empty: nothing is said."""

    file: str = ""
    source: str = ""
    sheet: str = ""
    header_row: int = 0
    encoding: str = ""
    dates: str = ""
    decimal: str = ""
    columns: Pairs = field(default_factory=dict)
    symptoms: Pairs = field(default_factory=dict)
    states: Pairs = field(default_factory=dict)
    vehicles: Pairs = field(default_factory=dict)
    causes: dict[str, Pairs] = field(default_factory=dict)
    """Symptom's id -> words -> cause's id, `not-listed` or `unknown`."""
    answers: dict[str, Pairs] = field(default_factory=dict)
    """Check's id -> words -> answer's id."""
    marks: dict[tuple[str, ...], Scalar] = field(default_factory=dict)
    """Where each value stands: ("causes", "heater-no-fire", "Ran out of gas") -> its place."""

    @property
    def form(self) -> FileForm:
        """What of it the reading of a file needs."""
        return FileForm(self.encoding, self.sheet, self.header_row)

    def flaw(self, at: tuple[str, ...], text: str, meant: str = "") -> Flaw:
        """A flaw at a value of the file."""
        mark = self.marks.get(at)
        line, column = (mark.line, mark.column) if mark is not None else (1, 1)
        return Flaw(self.file, line, column, text, meant)


def read_mapping_file(path: Path) -> ImportMapping:
    """The mapping in a file; raises FlawedKnowledge with every flaw of its form.

    Whether the ids that it names exist is seen by whoever knows the trees.
    """
    return mapping_of(read_bytes(path), str(path))


def mapping_of(text: str | bytes, file: str) -> ImportMapping:
    """The same from a text."""
    found = ImportMapping(file)
    flaws: list[Flaw] = []
    for key, node in read_mapping(text, file).pairs:
        if key.value not in KEYS:
            meant = nearest(key.value, KEYS)
            said = f"key {quoted(key.value)} is not known in a mapping"
            known = said if meant else f"{said}; known are {', '.join(KEYS)}"
            flaws.append(Flaw(file, key.line, key.column, known, meant))
        elif key.value in _NESTED:
            getattr(found, key.value).update(_nested(found, key, node, flaws))
        elif key.value in _PAIRS:
            getattr(found, key.value).update(_pairs(found, (key.value,), key, node, flaws))
        else:
            _single(found, key, node, flaws)
    flaws += _wrong_words(found)
    if flaws:
        raise FlawedKnowledge(tuple(flaws))
    return found


def _single(found: ImportMapping, key: Scalar, node: Node, flaws: list[Flaw]) -> None:
    at = key if isinstance(node, Scalar) and node.null else node
    word = node.value.strip() if isinstance(node, Scalar) else ""
    found.marks[(key.value,)] = at if isinstance(at, Scalar) else key
    if key.value == "header_row":
        number = node.number if isinstance(node, Scalar) else None
        if number is None or number != int(number) or not 1 <= number <= 1000:
            text = f"header_row wants the number of a row from 1 to 1000, not {what_it_is(node)}"
            flaws.append(Flaw(found.file, at.line, at.column, text))
        else:
            found.header_row = int(number)
        return
    words = _WORDS.get(key.value)
    if words is not None and word not in words:
        text = f"{key.value} wants {' or '.join(words)}, not {what_it_is(node)}"
        flaws.append(Flaw(found.file, at.line, at.column, text, nearest(word.lower(), words)))
    elif not word or len(word) > LONGEST_SOURCE:
        text = f"{key.value} wants a text of {LONGEST_SOURCE} characters at most, not {what_it_is(node)}"
        flaws.append(Flaw(found.file, at.line, at.column, text))
    else:
        setattr(found, key.value, word)


def _nested(found: ImportMapping, key: Scalar, node: Node, flaws: list[Flaw]) -> dict[str, Pairs]:
    if not isinstance(node, MapNode):
        what = "a symptom's id" if key.value == "causes" else "a check's id"
        at = key if isinstance(node, Scalar) and node.null else node
        text = f"{key.value} wants a mapping of {what} to words, not {what_it_is(node)}"
        flaws.append(Flaw(found.file, at.line, at.column, text))
        return {}
    named = {}
    for id, inner in node.pairs:
        found.marks[key.value, id.value] = id
        named[id.value] = _pairs(found, (key.value, id.value), id, inner, flaws)
    return named


def _pairs(found: ImportMapping, at: tuple[str, ...], key: Scalar, node: Node, flaws: list[Flaw]) -> Pairs:
    if not isinstance(node, MapNode):
        place = key if isinstance(node, Scalar) and node.null else node
        text = f"{key.value} wants a mapping of words to what they mean, not {what_it_is(node)}"
        flaws.append(Flaw(found.file, place.line, place.column, text))
        return {}
    pairs: Pairs = {}
    seen: dict[str, str] = {}
    for word, value in node.pairs:
        if not isinstance(value, Scalar) or (value.plain and value.null) or not value.value.strip():
            at_value: Node = word if isinstance(value, Scalar) else value
            what = "a list" if isinstance(value, ListNode) else what_it_is(value)
            text = f"{quoted(word.value)} wants one word that it means, not {what}"
            flaws.append(Flaw(found.file, at_value.line, at_value.column, text))
        elif plain(word.value) in seen:
            text = (
                f"{quoted(word.value)} is the same as {quoted(seen[plain(word.value)])}, which stands before"
            )
            flaws.append(Flaw(found.file, word.line, word.column, text))
        else:
            seen[plain(word.value)] = word.value
            pairs[word.value] = value.value.strip()
            found.marks[*at, word.value] = value
    return pairs


def _wrong_words(found: ImportMapping) -> list[Flaw]:
    """Values that must be of a few known words, and columns named twice."""
    flaws = []
    for word, state in found.states.items():
        if state not in STATES:
            text = f"{quoted(word)} wants a state ({', '.join(STATES)}), not {quoted(state)}"
            flaws.append(found.flaw(("states", word), text, nearest(state, STATES)))
    used: dict[str, str] = {}
    for word, means in found.columns.items():
        if means in used and means != LEFT_OUT:
            text = f"{quoted(word)} is mapped to {means}, and so is {quoted(used[means])}"
            flaws.append(found.flaw(("columns", word), text))
        used.setdefault(means, word)
    return flaws


def plain(text: str) -> str:
    """The text by which two cells say the same: capitals and runs of spaces make no difference.

    >>> plain("  Heater  Dead ")
    'heater dead'
    """
    return " ".join(text.split()).casefold()


def mapping_text(mapping: ImportMapping, file: str) -> str:
    """A mapping as YAML that reads back as the same."""
    name = "".join(letter if letter.isprintable() else "?" for letter in file)
    lines = [f"# How the words of {name} are read. Used again each time that cases of this source come in."]
    for key in (*_TEXTS, "header_row", *_WORDS):
        value = getattr(mapping, key)
        if value:
            lines.append(f"{key}: {value if isinstance(value, int) else _quoted(value)}")
    for key in _PAIRS:
        if pairs := getattr(mapping, key):
            lines += [f"{key}:", *(f"  {_quoted(word)}: {_quoted(means)}" for word, means in pairs.items())]
    for key in _NESTED:
        if nested := {id: pairs for id, pairs in getattr(mapping, key).items() if pairs}:
            lines.append(f"{key}:")
            for id, pairs in nested.items():
                lines += [f"  {id}:", *(f"    {_quoted(word)}: {_quoted(to)}" for word, to in pairs.items())]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A text as a YAML scalar: in double quotes, with JSON's escapes, unless it is a plain id."""
    plain_id = text.replace("-", "").isalpha() and text.isascii() and text == text.lower()
    if plain_id and text not in ("true", "false", "null") and not text.startswith("-"):
        return text
    return json.dumps(text, ensure_ascii=False)


def beside(path: Path, source: str) -> Path:
    """Where the mapping of a source is looked for, and kept: beside the file that is brought in.

    >>> beside(Path("history/fleet.xlsx"), "fleet.xlsx").as_posix()
    'history/fleet.mapping.yaml'
    """
    for suffix in (".csv", ".tsv", ".txt", ".xlsx", ".jsonl", ".ndjson"):
        if source.lower().endswith(suffix):
            source = source[: -len(suffix)]
    safe = "".join(letter if letter.isalnum() or letter in " ._-" else "-" for letter in source).strip(" .")
    return path.parent / f"{safe or 'cases'}.mapping.yaml"
