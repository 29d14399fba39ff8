"""Languages other than English, for the hand-over sheet and the cautions.

`language("de", tree)` finds what there is: the program's own sentences in `diagnose/languages/de.po`, the
texts that all trees share in `languages/de/common.po` beside the shipped trees, and those of one tree in
`languages/de/TREE-ID.po` beside that tree. What is missing is shown in English and marked as such. As long as
nobody has reviewed one of these catalogues, what is made from it says so in both languages.
"""

from __future__ import annotations

import gettext
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

from diagnose.knowledge.catalogues import DECIMAL_MARK, Catalogue, filled, read_catalogue
from diagnose.knowledge.collection import shipped_folder, shown
from diagnose.knowledge.ids import nearest, quoted
from diagnose.terms import Tree, WrongUsage

ENGLISH = "en"
COMMON = "common"
NOT_REVIEWED = "translation not reviewed"
REVIEWED = "Translation reviewed: {who}"
IN_ENGLISH = "{text} (English)"
COLON = ":"
"""What stands between a label and what it says: French sets it off."""
ITSELF = "English"
"""The phrase whose translation is the language's own name."""
_PHRASES = Path(__file__).resolve().parent.parent / "languages"


class Text(NamedTuple):
    """A text as it is to be shown."""

    words: str
    original: bool
    """Whether it is the English text because there is no other; HTML gives it `lang="en"`."""


class Language:
    """What the program says in one language; in English each text is itself."""

    def __init__(
        self,
        code: str = ENGLISH,
        phrases: Catalogue | None = None,
        texts: Sequence[Catalogue] = (),
    ) -> None:
        self.code = code
        self._phrases = phrases if phrases is not None else Catalogue("")
        self._texts = tuple(texts)
        self._form: Callable[[int], int] = _plural_rule(self._phrases)

    @property
    def english(self) -> bool:
        """Whether this is the language of the originals."""
        return self.code == ENGLISH

    @property
    def name(self) -> str:
        """The language's name in itself."""
        return ITSELF if self.english else self.phrase(ITSELF)

    @property
    def colon(self) -> str:
        """The colon behind a label, with the space before it where the language wants one."""
        entry = self._phrases.entries.get(COLON)
        return entry.forms[0] if entry is not None and entry.usable else COLON

    def phrase(self, english: str, /, **values: str | int) -> str:
        """One of the program's own sentences, with each `{name}` replaced by its value."""
        return self._filled(english, self._phrases, values)

    def counted(self, one: str, many: str, count: int, /, **values: str | int) -> str:
        """The sentence for one or for another number, by the language's own rule; `{count}` is the number."""
        values = {"count": count, **values}
        if self.english:
            return self._filled(one if count == 1 else many, self._phrases, values)
        entry = self._phrases.entries.get(one)
        form = self._form(count)
        if entry is None or not entry.usable or entry.plural != many or form >= len(entry.forms):
            return self._marked(filled(one if count == 1 else many, _as_texts(values)))
        return filled(entry.forms[form], _as_texts(values))

    def text(self, english: str) -> Text:
        """A text of a tree or of the common files, and whether it is shown in English for want of another."""
        if self.english or not english:
            return Text(english, False)
        for catalogue in self._texts:
            entry = catalogue.entries.get(english)
            if entry is not None and entry.usable:
                return Text(entry.forms[0], False)
        return Text(english, True)

    def marked(self, english: str) -> str:
        """The same text for plain text: what is shown in English for want of another says so."""
        words, original = self.text(english)
        return self._marked(words) if original else words

    def number(self, value: float) -> str:
        """A number with up to six figures and the language's decimal mark; units stay as they are."""
        return f"{value:g}".replace(".", self._phrases.headers.get(DECIMAL_MARK, "."))

    def percent(self, share: float) -> str:
        """A share from 0 to 1 as whole per cent, spaced as the language does."""
        return self.phrase("{number}%", number=f"{100 * share:.0f}")

    def review(self) -> tuple[str, ...]:
        """What every page in this language bears: that nobody has reviewed it, in both languages, or who did.

        Nothing for English.
        """
        if self.english:
            return ()
        used = [each for each in (self._phrases, *self._texts) if each.entries]
        if not used or not all(each.reviewed_by for each in used):
            return (self.phrase(NOT_REVIEWED), NOT_REVIEWED)
        named = dict.fromkeys(each.reviewed_by for each in used)
        return tuple(self.phrase(REVIEWED, who=who) for who in named)

    def _filled(self, english: str, catalogue: Catalogue, values: dict[str, str | int]) -> str:
        entry = catalogue.entries.get(english)
        if self.english:
            return filled(english, _as_texts(values))
        if entry is None or not entry.usable:
            return self._marked(filled(english, _as_texts(values)))
        return filled(entry.forms[0], _as_texts(values))

    def _marked(self, words: str) -> str:
        entry = self._phrases.entries.get(IN_ENGLISH)
        template = entry.forms[0] if entry is not None and entry.usable else IN_ENGLISH
        return filled(template, {"text": words})


def languages() -> tuple[str, ...]:
    """The codes (ISO 639-1) of all languages that there are, English first."""
    return (ENGLISH, *sorted(path.stem for path in _PHRASES.glob("*.po")))


def language(code: str, tree: Tree | None = None) -> Language:
    """A language, with the texts of a tree where one is given.

    Texts of `common/` are always the shipped catalogue's. A tree's are those of `languages/CODE/` beside
    its file and, where it replaces a shipped tree and has a text in common with it, the shipped ones. A
    catalogue beside one's own trees reaches no shipped tree.

    Raises WrongUsage for a language that there is not, FlawedKnowledge with every flaw of a catalogue.
    """
    if code not in languages():
        raise WrongUsage(_no_language(code))
    if code == ENGLISH:
        return Language()
    paths = [shipped_folder() / "languages" / code / f"{COMMON}.po"]
    if tree is not None:
        if not tree.shipped:
            paths.append(Path(tree.file).parent / "languages" / code / f"{tree.id}.po")
        paths.append(shipped_folder() / "languages" / code / f"{tree.id}.po")
    texts = [read_catalogue(path, shown(path)) for path in dict.fromkeys(paths) if path.exists()]
    phrases = _PHRASES / f"{code}.po"
    return Language(code, read_catalogue(phrases, shown(phrases)), texts)


def _no_language(code: str) -> str:
    meant = nearest(code.lower(), languages())
    tail = f' (did you mean "{meant}"?)' if meant else ""
    return f"there is no language {quoted(code)}; there are {', '.join(languages())}{tail}"


def _plural_rule(catalogue: Catalogue) -> Callable[[int], int]:
    """Which form belongs to a number, by the catalogue's header; as in English where it is silent."""
    header = catalogue.headers.get("Plural-Forms", "")
    rule = header.partition("plural=")[2].split(";")[0].strip()
    if not rule:
        return lambda count: int(count != 1)
    compiled: Callable[[int], int] = gettext.c2py(rule)
    return compiled


def _as_texts(values: dict[str, str | int]) -> dict[str, str]:
    return {name: str(value) for name, value in values.items()}
