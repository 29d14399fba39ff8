"""The sentences of a sheet's page beside its lists, in its language: for PDF and HTML alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from diagnose.knowledge.characters import without_refused
from diagnose.knowledge.languages import IN_ENGLISH, Language, Text
from diagnose.walking.sheet_parts import HandedTo, Sheet
from diagnose.walking.views import NO_CERTIFICATE


class Sentence(NamedTuple):
    """A sentence of the program's with texts of a tree in it, each of which may be English still."""

    before: str
    texts: tuple[Text, ...]
    behind: str = ""


class Handed(NamedTuple):
    """To whom it is handed over, and what is said of that."""

    to: Sentence
    register: str
    told: tuple[Sentence, Sentence]
    """What to say and what to do until help comes; after a stop, getting away comes before telephoning."""


@dataclass(frozen=True, slots=True)
class SheetWords:
    """Sentences; what a sheet does not need is empty."""

    title: str
    name: str
    """What the file calls itself: the title and the number of the case."""
    stop: str
    because: Sentence | None
    handed: tuple[Handed, ...]
    nothing_found: str
    intro: str
    aloud: str
    they_type: str
    square: str
    """What the square code is for."""
    no_code: str
    orders: str
    sign: tuple[str, ...]
    certificate: str
    colon: str
    """What stands behind a label."""


def words_of(sheet: Sheet, language: Language) -> SheetWords:
    """The sentences of a sheet."""
    phrase, back = language.phrase, sheet.answer_back
    title = phrase("HAND-OVER SHEET")
    why = [text for reason in sheet.because for text in reason]
    return SheetWords(
        title=title,
        name=f"{title} {sheet.case}",
        stop=phrase("STOPPED FOR DANGER") if sheet.stopped else "",
        because=_with(language, "Stopped because: {why}", "why", why) if why else None,
        handed=_handed(sheet, language),
        nothing_found=phrase("Nothing was found out.") if not sheet.seen else "",
        intro=phrase("Once you know what it was, tell whoever gave you this sheet its code and the number:"),
        aloud=phrase("Read aloud: {aloud}", aloud=back.aloud) if back is not None else "",
        they_type=phrase("They type:"),
        square=phrase("The square code holds the findings, for another store of cases."),
        no_code=sheet.no_code if back is None else "",
        orders=phrase("This sheet orders no work. Whoever may order it writes here:"),
        sign=tuple(phrase(label) for label in ("Name", "Date", "Signature")),
        certificate=phrase(NO_CERTIFICATE),
        colon=language.colon,
    )


def in_words(text: Text | Sentence, language: Language) -> str:
    """A text or sentence as it is printed: what is English for want of a translation says so."""
    if isinstance(text, Sentence):
        told = " ".join(in_words(each, language) for each in text.texts)
        return f"{text.before}{told}{text.behind}"
    before, behind = mark_of_english(language) if text.original else ("", "")
    return without_refused(f"{before}{text.words}{behind}".replace("\n", " "))


def mark_of_english(language: Language) -> tuple[str, str]:
    """What stands before and behind a text that is English for want of a translation."""
    before, _, behind = language.phrase(IN_ENGLISH, text="\0").partition("\0")
    return before, behind


def _handed(sheet: Sheet, language: Language) -> tuple[Handed, ...]:
    return tuple(
        Handed(
            _with(language, "For: {to}", "to", [each.to]),
            language.phrase("Register: {register}", register=each.register) if each.register else "",
            _told(each, sheet, language),
        )
        for each in sheet.handed_to
    )


def _told(each: HandedTo, sheet: Sheet, language: Language) -> tuple[Sentence, Sentence]:
    say = Sentence("", (each.say,))
    until = _with(language, "Until help comes: {until_help}", "until_help", [each.until_help])
    return (until, say) if sheet.stopped else (say, until)


def _with(language: Language, english: str, name: str, texts: Sequence[Text]) -> Sentence:
    """The program's sentence with the texts where it has the name in braces."""
    before, _, behind = language.phrase(english, **{name: "\0"}).partition("\0")
    return Sentence(before, tuple(texts), behind)
