"""Whether a tree's catalogues still fit the tree: what is flawed, what is old, unsure or missing in them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from diagnose.knowledge.catalogues import Catalogue, Entry, read_catalogue
from diagnose.knowledge.collection import shown
from diagnose.knowledge.common import Common
from diagnose.knowledge.ids import quoted
from diagnose.knowledge.languages import languages
from diagnose.knowledge.texts import tree_texts
from diagnose.terms import Advice, Flaw, FlawedKnowledge, Tree

_NUMBER = re.compile(r"\d+(?:[.,\u00a0\u202f]\d+)*")


def figures(text: str) -> tuple[str, ...]:
    """The numbers of a text, as digits alone and sorted: languages group and point them in their own ways.

    >>> figures("Over 3,500 kg or 11.5 V") == figures("Mehr als 11,5 V oder 3.500 kg")
    True
    """
    return tuple(sorted(re.sub(r"\D", "", found) for found in _NUMBER.findall(text)))


def check_catalogues(tree: Tree, common: Common) -> tuple[tuple[Flaw, ...], tuple[Advice, ...]]:
    """The flaws of all catalogues of a tree, and the advice on those that can be read, by place.

    They are looked for beside the tree's file; a tree without any has neither.
    """
    flaws: list[Flaw] = []
    advice: list[Advice] = []
    for code, path in catalogue_files(tree):
        file = shown(path)
        try:
            catalogue = read_catalogue(path, file)
        except FlawedKnowledge as error:
            flaws += error.flaws
            continue
        if code not in languages():
            flaws.append(Flaw(file, 1, 1, f"there is no language {quoted(code)}; this is read by nobody"))
        if (named := catalogue.headers.get("Language")) != code:
            flaws.append(Flaw(file, 1, 1, f"its header says Language: {named}, its folder {code}"))
        advice += advise_on_catalogue(catalogue, tree_texts(tree, common))
    return tuple(flaws), tuple(each for each in advice if each.name not in tree.accept)


def catalogue_files(tree: Tree) -> tuple[tuple[str, Path], ...]:
    """Language and file of each catalogue beside a tree's file."""
    folder = Path(tree.file).parent / "languages"
    return tuple((path.parent.name, path) for path in sorted(folder.glob(f"*/{tree.id}.po")))


def advise_on_catalogue(catalogue: Catalogue, texts: Mapping[str, object]) -> tuple[Advice, ...]:
    """What is to be said of a catalogue that should hold `texts`, by place."""
    found = [*_on_entries(catalogue, texts)]
    missing = [text for text in texts if text not in catalogue.entries or _empty(catalogue.entries[text])]
    if missing:
        many = "a text is" if len(missing) == 1 else f"{len(missing)} texts are"
        what = f"{many} not translated and will be shown in English, first {quoted(missing[0])}"
        at = catalogue.entries[missing[0]].line if missing[0] in catalogue.entries else 1
        found.append(_advice(catalogue, at, "translation-missing", what))
    return tuple(sorted(found))


def _on_entries(catalogue: Catalogue, texts: Mapping[str, object]) -> Iterator[Advice]:
    for english, entry in catalogue.entries.items():
        if english not in texts:
            what = f"{quoted(english)} is no text of the tree any more"
            yield _advice(catalogue, entry.line, "translation-old", what)
        elif entry.fuzzy:
            what = f"the translation of {quoted(english)} is marked fuzzy, so it is not used"
            yield _advice(catalogue, entry.line, "translation-unsure", what)
        elif any(form and figures(form) != figures(english) for form in entry.forms):
            what = f"the translation of {quoted(english)} has other figures than the original"
            yield _advice(catalogue, entry.line, "translation-figures", what)


def _empty(entry: Entry) -> bool:
    return not all(entry.forms)


def _advice(catalogue: Catalogue, line: int, name: str, text: str) -> Advice:
    return Advice(catalogue.file, line, 1, name, f"{text} ({name})")
