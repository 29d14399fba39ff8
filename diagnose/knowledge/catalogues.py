"""Message catalogues: the program's and the trees' texts in another language, read from GNU gettext PO files.

A translation is found by the English text itself, so one whose original has changed is missing rather than
wrong. A catalogue can come from anybody: size, characters and placeholders are judged like those of a tree,
and nothing in it is ever run or used as a format.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from diagnose.knowledge import characters
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.plain_yaml import LARGEST_FILE, LONGEST_TEXT, MOST_FLAWS, read_bytes
from diagnose.terms import Flaw, FlawedKnowledge

LONGEST_TRANSLATION = 2 * LONGEST_TEXT
"""Characters; other languages need more room than English does."""
REVIEWED_BY = "Reviewed-by"
DECIMAL_MARK = "X-Decimal-Mark"
_PLACEHOLDER = re.compile(r"\{([a-z][a-z0-9_]*)\}")
_ENTRY_LINE = re.compile(r"msgid(_plural)?\s|msgstr(\[|\s)|msgctxt\s")


@dataclass(frozen=True, slots=True)
class Entry:
    """One text and what it is in the other language: two forms or more where it tells a number."""

    english: str
    forms: tuple[str, ...]
    """Empty texts where it is not translated."""
    plural: str = ""
    """The English text for more than one, where there are two."""
    line: int = 1
    fuzzy: bool = False
    """Marked by a translator's program as a guess: it is not used."""
    note: str = ""
    """What a translator or reviewer has written beside it."""

    @property
    def usable(self) -> bool:
        """Whether it can be shown."""
        return not self.fuzzy and bool(self.forms) and all(self.forms)


@dataclass(frozen=True, slots=True)
class Catalogue:
    """A file's entries by their English text, and what its header says."""

    file: str
    entries: Mapping[str, Entry] = field(default_factory=dict)
    headers: Mapping[str, str] = field(default_factory=dict)

    @property
    def reviewed_by(self) -> str:
        """Who has reviewed it, as written there; "" as long as nobody has."""
        return " ".join(self.headers.get(REVIEWED_BY, "").split())


def placeholders(text: str) -> tuple[str, ...]:
    """The names in braces that a text is filled with, sorted, each once."""
    return tuple(sorted(set(_PLACEHOLDER.findall(text))))


def filled(text: str, values: Mapping[str, str]) -> str:
    """The text with each `{name}` replaced; what is put in is not looked at again. No format language.

    >>> filled("{who.__class__} saw {what}", {"who": "I", "what": "{who}"})
    '{who.__class__} saw {who}'
    """
    return _PLACEHOLDER.sub(lambda found: values.get(found[1], found[0]), text)


def read_catalogue(path: Path, shown: str | None = None) -> Catalogue:
    """The catalogue of a file; raises FlawedKnowledge with every flaw of it."""
    file = shown if shown is not None else str(path)
    data = read_bytes(path, file)
    if len(data) > LARGEST_FILE:
        raise FlawedKnowledge((Flaw(file, 1, 1, "the file is larger than 1 MiB"),))
    try:
        text = data.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        flaw = Flaw(file, line, 1, "the file is not UTF-8 here; save it as UTF-8")
        raise FlawedKnowledge((flaw,)) from error
    return catalogue_of(text, file)


def catalogue_of(text: str, file: str) -> Catalogue:
    """The catalogue of a PO text; raises FlawedKnowledge with every flaw of it."""
    refused = characters.refused_in_file(text)
    if refused:
        places = characters.Places(text)
        raise FlawedKnowledge(
            tuple(
                Flaw(file, *places.of(index), characters.described(character))
                for index, character in refused[:MOST_FLAWS]
            )
        )
    parsed = _parsed(text, file)
    entries: dict[str, Entry] = {}
    flaws: list[Flaw] = _header_flaws(parsed, file)
    for found in parsed:
        if not found.obsolete:
            entry = _entry(found)
            flaws += [Flaw(file, entry.line, 1, why) for why in _entry_flaws(entry, found)]
            if entry.english in entries:
                first = entries[entry.english].line
                flaws.append(
                    Flaw(file, entry.line, 1, f"{quoted(entry.english)} stands twice (first on line {first})")
                )
            entries.setdefault(entry.english, entry)
    if flaws:
        raise FlawedKnowledge(tuple(sorted(set(flaws)))[:MOST_FLAWS])
    return Catalogue(file, entries, dict(parsed.metadata))


def _parsed(text: str, file: str) -> Any:
    """What the library makes of a text; its errors as flaws with their line."""
    import polib

    lines = text.splitlines()
    strange = next((n for n, line in enumerate(lines, 1) if _strange(line)), None)
    if strange is not None:
        raise FlawedKnowledge((Flaw(file, strange, 1, "this is no line of a PO file"),))
    try:
        # A text of one line could be taken for the name of a file: with this line it is none.
        return polib.pofile(f"{text}\n#\n", encoding="utf-8")
    except (OSError, ValueError, IndexError) as error:
        line = re.search(r"line (\d+)", str(error))
        number = min(int(line[1]), max(1, len(lines))) if line else 1
        why = "this is no line of a PO file, or a double quote lacks its backslash"
        raise FlawedKnowledge((Flaw(file, number, 1, why),)) from error


def _strange(line: str) -> bool:
    """Whether a line is none that a PO file can hold."""
    line = line.strip()
    if not line or line.startswith("#"):
        return False
    if line.startswith('"'):
        return len(line) < 2 or not line.endswith('"')
    return not _ENTRY_LINE.match(line) or not line.endswith('"')


def _entry(found: Any) -> Entry:
    forms = tuple(found.msgstr_plural[n] for n in sorted(found.msgstr_plural)) or (found.msgstr,)
    line = max(1, found.linenum)
    return Entry(found.msgid, forms, found.msgid_plural or "", line, found.fuzzy, found.tcomment)


def _header_flaws(parsed: Any, file: str) -> list[Flaw]:
    flaws = []
    for name in ("Language", "Content-Type", REVIEWED_BY):
        if name not in parsed.metadata:
            flaws.append(Flaw(file, 1, 1, f"its header lacks {name}"))
    content = parsed.metadata.get("Content-Type", "")
    if content and "charset=utf-8" not in content.lower().replace(" ", ""):
        flaws.append(Flaw(file, 1, 1, "its header names another character set than UTF-8"))
    for name, value in parsed.metadata.items():
        character = characters.refused_in_text(value)
        if character:
            flaws.append(Flaw(file, 1, 1, f"in its header, {name}: {characters.described(character)}"))
        elif len(value) > LONGEST_TEXT:
            flaws.append(Flaw(file, 1, 1, f"in its header, {name} is over {LONGEST_TEXT} characters"))
    return flaws


def _entry_flaws(entry: Entry, found: Any) -> list[str]:
    flaws = []
    texts = (entry.english, entry.plural, *entry.forms)
    bad = next((bad for text in texts if (bad := characters.refused_in_text(text) or _line_end(text))), "")
    if bad:
        flaws.append(characters.described(bad))
    if found.msgctxt is not None:
        flaws.append("msgctxt is not used here: a text is found by its English words alone")
    if any(len(text) > LONGEST_TRANSLATION for text in texts):
        flaws.append(f"a text is over {LONGEST_TRANSLATION} characters")
    wanted = set(placeholders(f"{entry.english} {entry.plural}"))
    for form in entry.forms:
        there = set(placeholders(form))
        if form and _braces(form) and not _braces(entry.english) and not entry.fuzzy:
            flaws.append(f"a brace stands by itself in {quoted(form)}")
        elif form and there != wanted and not entry.fuzzy:
            flaws.append(f"{quoted(form)} holds {_named(there)} where the original holds {_named(wanted)}")
    return flaws


def _line_end(text: str) -> str:
    return "\n" if "\n" in text else ""


def _braces(text: str) -> bool:
    """Whether a brace is left beside the placeholders."""
    return bool(re.search(r"[{}]", _PLACEHOLDER.sub("", text)))


def _named(names: set[str]) -> str:
    return ", ".join(f"{{{name}}}" for name in sorted(names)) or "no placeholder"
