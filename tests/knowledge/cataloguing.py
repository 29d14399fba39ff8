"""The catalogues brought up to date with program and trees: `python -m tests.knowledge.cataloguing`.

Every text comes in with the places where it stands; what was translated stays, what is new comes in empty,
and what exists no more stays at the end as obsolete. Then the table of `docs/translations.md` is made anew.
"""

import ast
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from diagnose.cases.codes import SPELLED
from diagnose.drawing.offline.sheet_data import PHRASES
from diagnose.knowledge.card_fields import DATES
from diagnose.knowledge.catalogue_writing import catalogue_text
from diagnose.knowledge.catalogues import Catalogue, read_catalogue
from diagnose.knowledge.collection import Library, shipped_folder
from diagnose.knowledge.languages import ENGLISH, ITSELF, language, languages
from diagnose.knowledge.texts import common_texts, tree_texts
from diagnose.rounds.due_statements import capital
from diagnose.terminal.returning import _MISSING
from diagnose.terms import FlawedKnowledge
from diagnose.walking import stops
from diagnose.walking.sheet import AS_WRITTEN
from diagnose.walking.sheet_making import BECAME, STATES

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "diagnose"
PAGE = ROOT / "docs" / "translations.md"
BEGINS, ENDS = "<!-- how much is translated -->", "<!-- end -->"
OTHERS = tuple(code for code in languages() if code != ENGLISH)
TITLES = {
    "": "What the program itself says on a hand-over sheet.",
    "common": "What all trees share: cautions, referrals and danger questions first.",
}
_ENDINGS = ("could not be done here", "left for somebody qualified", "another tree knows this better",
            "a technician's work")  # fmt: skip


def phrases() -> dict[str, tuple[str, ...]]:
    """The program's own sentences -> the modules that say them; those given as values by their tables."""
    found: dict[str, list[str]] = {ITSELF: ["the language's own name"]}
    for path, module in _speaking():
        for text in _said_in(module):
            found.setdefault(text, []).append(path.relative_to(PACKAGE).as_posix())
    tables = {
        "the sheet": (*PHRASES.values(), "What was found, in order:", AS_WRITTEN),
        "how the walk ended": STATES.values(),
        "what became of a remedy": BECAME.values(),
        "why it stopped": (stops.UNSURE, stops._UNCLEARED, stops._DANGER_SAID),
        "why it was left alone": _ENDINGS,
        "outcomes that nobody told": _MISSING.values(),
        "a date of a card": (capital(each.says) for each in DATES.values() if not each.driver),
        "signal word": (each.word for each in Library().common().cautions.values()),
        "digit of a code, read aloud": (SPELLED[str(digit)] for digit in range(10)),
    }
    for table, texts in tables.items():
        for text in texts:
            found.setdefault(text, []).append(table)
    return {text: tuple(dict.fromkeys(places)) for text, places in found.items()}


def counted() -> dict[str, str]:
    """Phrases that tell a number: for one -> for more."""
    found = {}
    for _, module in _speaking():
        for call in _calls(module, "counted"):
            texts = [each.value for each in call.args[:2] if isinstance(each, ast.Constant)]
            if len(texts) == 2:
                found[str(texts[0])] = str(texts[1])
    return found


@cache
def _speaking() -> tuple[tuple[Path, ast.Module], ...]:
    """The modules that say something in another language."""
    read = ((path, path.read_text(encoding="utf-8")) for path in sorted(PACKAGE.rglob("*.py")))
    return tuple((path, ast.parse(text)) for path, text in read if "phrase(" in text or "counted(" in text)


def _said_in(module: ast.Module) -> Iterator[str]:
    for name in ("phrase", "counted"):
        for call in _calls(module, name):
            if name == "counted" and not (call.args and isinstance(call.args[0], ast.Constant)):
                continue  # counts something else
            for each in ast.walk(call.args[0]) if call.args else ():
                if isinstance(each, ast.Constant) and isinstance(each.value, str):
                    yield each.value
    # What this module itself says of the translation.
    for node in ast.walk(module):
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant):
            named = {target.id for target in node.targets if isinstance(target, ast.Name)}
            if named & {"NOT_REVIEWED", "REVIEWED", "IN_ENGLISH", "COLON"}:
                yield str(node.value.value)


def _calls(module: ast.Module, name: str) -> Iterator[ast.Call]:
    for node in ast.walk(module):
        if isinstance(node, ast.Call):
            called = node.func
            if (isinstance(called, ast.Attribute) and called.attr == name) or (
                isinstance(called, ast.Name) and called.id == name
            ):
                yield node


def paths(code: str) -> dict[str, Path]:
    """Every catalogue of a language: "" for the program's own, `common`, and the ids of trees."""
    folder = shipped_folder() / "languages" / code
    return {"": PACKAGE / "languages" / f"{code}.po"} | {
        name: folder / f"{name}.po" for name in ("common", *Library().ids())
    }


def texts_of(name: str, library: Library) -> dict[str, tuple[str, ...]]:
    """What a catalogue of that name has to hold."""
    if not name:
        return phrases()
    if name == "common":
        return dict(common_texts(library.common()))
    return dict(tree_texts(library.tree(name), library.common()))


def translated(catalogue: Catalogue, texts: dict[str, tuple[str, ...]]) -> int:
    """How many of these texts it has."""
    return sum(text in catalogue.entries and catalogue.entries[text].usable for text in texts)


def refresh() -> None:
    """Write every catalogue anew; raises FlawedKnowledge for one that has a flaw."""
    library, plurals = Library(), counted()
    for code in OTHERS:
        for name, path in paths(code).items():
            old = read_catalogue(path) if path.exists() else None
            title = TITLES.get(name, f"What a hand-over sheet shows of {name}.")
            made = catalogue_text(code, texts_of(name, library), old, {} if name else plurals, title)
            path.write_text(made, encoding="utf-8")


def table() -> str:
    """How much of each catalogue is translated, and whether it is reviewed, as rows of Markdown."""
    library = Library()
    files = {code: paths(code) for code in OTHERS}
    names = [language(code).phrase(ITSELF) for code in OTHERS]
    rows = [f"| catalogue | texts | {' | '.join(names)} |", "|---" * (2 + len(OTHERS)) + "|"]
    for name in files[OTHERS[0]]:
        texts = texts_of(name, library)
        cells = []
        for code in OTHERS:
            catalogue = read_catalogue(files[code][name])
            reviewed = "reviewed" if catalogue.reviewed_by else "not reviewed"
            cells.append(f"{translated(catalogue, texts)}, {reviewed}")
        shown = f"`{name}`" if name else "the program's own sentences"
        rows.append(f"| {shown} | {len(texts)} | {' | '.join(cells)} |")
    return "\n".join(rows) + "\n"


def with_table(page: str) -> str:
    """The page with its table made anew."""
    before, _, rest = page.partition(f"{BEGINS}\n")
    return f"{before}{BEGINS}\n{table()}{ENDS}{rest.partition(ENDS)[2]}"


if __name__ == "__main__":
    try:
        refresh()
        PAGE.write_text(with_table(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    except FlawedKnowledge as error:
        sys.exit("\n".join(str(flaw) for flaw in error.flaws))
