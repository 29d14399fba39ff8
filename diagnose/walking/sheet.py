"""The hand-over sheet for somebody qualified as plain text, to be sent, shown or read out by telephone.

What stands on it: `sheet_parts.py`. At the end of a walk it is short, for a screen; to be printed it also
tells when each thing was found, keeps what is known of the vehicle apart, and has lines to be filled in.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from diagnose.cases.records import CaseRecord
from diagnose.knowledge.languages import IN_ENGLISH, Language, Text
from diagnose.terms import Ranked, Tree
from diagnose.walking.past import Past
from diagnose.walking.sheet_making import ENGLISH, found_in, make_sheet, tried_in
from diagnose.walking.sheet_parts import Found, Sheet, Tried
from diagnose.walking.views import NO_CERTIFICATE

NO_BREAK = "\u00a0\u202f"
"""Spaces that keep a number with its unit, and a French sign with its word."""
AS_WRITTEN = "As somebody wrote it on the card; nobody looked on this walk."
BLANK = "_" * 24
"""Where something is written by hand."""


def sheet_text(
    case: CaseRecord,
    tree: Tree,
    ranking: Sequence[Ranked] = (),
    *,
    columns: int = 72,
    register: str = "",
    code: str = "",
    missing: str = "",
) -> str:
    """The sheet at the end of a walk: a line end behind every line, none longer than `columns`.

    With the case's `code` it ends with the numbered outcomes and how the answer is sent back. `missing` says
    of how many past cases the outcome is not known; it stands under the likeliest causes.
    """
    made = make_sheet(case, tree, ranking, register=register, code=code, missing=missing)
    return plain_sheet(made, columns=columns, short=True)


def plain_sheet(sheet: Sheet, language: Language = ENGLISH, *, columns: int = 72, short: bool = False) -> str:
    """A sheet as plain text without control characters; `short` as at the end of a walk."""
    return _Plain(sheet, language, columns, short).text()


def found_lines(past: Past) -> list[str]:
    """Each check with what was found, in the order in which that was found last."""
    return [f"{each.asked.words} {each.said.words}" for each in found_in(past)]


def tried_lines(past: Past) -> list[str]:
    """Each remedy that was tried, with what became of it."""
    return [_tried(each, ENGLISH) for each in tried_in(past)]


def told(text: Text, language: Language) -> str:
    """A text where no other mark can be made: English for want of a translation is said to be English."""
    return language.phrase(IN_ENGLISH, text=text.words) if text.original else text.words


def in_order(language: Language, timed: bool) -> str:
    """What stands above what was found, with or without times."""
    if timed:
        return language.phrase("What was found, in order (times are UTC):")
    return language.phrase("What was found, in order:")


def _tried(each: Tried, language: Language) -> str:
    return f"{'; '.join(told(text, language) for text in each.do)}{language.colon} {each.became}"


class _Plain:
    """Writes a sheet part by part into wrapped lines."""

    def __init__(self, sheet: Sheet, language: Language, columns: int, short: bool) -> None:
        self.sheet, self.language, self.short = sheet, language, short
        self.lines = _Lines(columns)

    def text(self) -> str:
        """The whole."""
        self._heading()
        self._whom()
        self._found()
        self._tried()
        self._untouched()
        self._likely()
        self._cautions()
        self._answer_back()
        if not self.short:
            self._authorised()
        self.lines.gap()
        self.lines.say(self.language.phrase(NO_CERTIFICATE))
        return self.lines.text()

    def _told(self, text: Text) -> str:
        return told(text, self.language)

    def _heading(self) -> None:
        self.lines.say(self.language.phrase("HAND-OVER SHEET"))
        if self.sheet.review:
            self.lines.say(" / ".join(self.sheet.review))
        for line in self.sheet.heading:
            self.lines.say(f"{line.about}{self.language.colon} {self._told(line.says)}")
        for notice in self.sheet.notices:
            self.lines.say(notice)
        if self.sheet.because:
            self.lines.gap()
            why = " ".join(self._told(text) for reason in self.sheet.because for text in reason)
            self.lines.say(self.language.phrase("Stopped because: {why}", why=why))

    def _whom(self) -> None:
        phrase = self.language.phrase
        for each in self.sheet.handed_to:
            self.lines.gap()
            self.lines.say(phrase("For: {to}", to=self._told(each.to)))
            if each.register:
                self.lines.say(phrase("Register: {register}", register=each.register))
            told = [
                self._told(each.say),
                phrase("Until help comes: {until_help}", until_help=self._told(each.until_help)),
            ]
            # After a stop, getting away comes before telephoning.
            for sentence in reversed(told) if self.sheet.stopped else told:
                self.lines.say(sentence, indent=2)

    def _found(self) -> None:
        phrase, seen = self.language.phrase, self.sheet.found if self.short else self.sheet.seen
        if not self.short and self.sheet.facts:
            self._headed(phrase("About the vehicle:"), map(self._finding, self.sheet.facts))
        if not self.short and self.sheet.card:
            told = (
                f"{self._told(each.about)}{self.language.colon} {self._told(each.says)}"
                for each in self.sheet.card
            )
            self._headed(phrase("From the vehicle's card:"), told)
            self.lines.say(phrase(AS_WRITTEN))
        nothing = not self.sheet.found if self.short else not seen
        self.lines.gap()
        if nothing:
            self.lines.say(phrase("Nothing was found out."))
            return
        timed = self.sheet.timed and not self.short
        self.lines.say(in_order(self.language, timed))
        for each in seen:
            self.lines.item(self._finding(each), f"{each.time} " if timed else "- ")

    def _finding(self, each: Found) -> str:
        return f"{self._told(each.asked)} {self._told(each.said)}"

    def _tried(self) -> None:
        if self.sheet.starts:
            self.lines.gap()
            self.lines.say(self.sheet.starts)
        lines = [_tried(each, self.language) for each in self.sheet.tried]
        self._headed(self.language.phrase("What was tried:"), lines)

    def _untouched(self) -> None:
        colon = self.language.colon
        lines = [f"{self._told(each.says)}{colon} {self._told(each.why)}" for each in self.sheet.untouched]
        self._headed(self.language.phrase("What was not touched, and why:"), lines)

    def _likely(self) -> None:
        phrase = self.language.phrase
        lines = [
            phrase(
                "{cause}: {share} ({low} to {high})",
                cause=self._told(each.says), share=each.share, low=each.low, high=each.high,
            )
            for each in self.sheet.likely
        ]  # fmt: skip
        self._headed(phrase("Likeliest causes by these findings (and where the figure may lie):"), lines)
        if lines:
            self.lines.say(self.sheet.missing)

    def _cautions(self) -> None:
        colon = self.language.colon
        lines = [f"{each.word}{colon} {self._told(each.say)}" for each in self.sheet.cautions]
        self._headed(self.language.phrase("Cautions that were shown:"), lines)

    def _answer_back(self) -> None:
        """The outcomes by number, and how code and number come back."""
        back, phrase = self.sheet.answer_back, self.language.phrase
        if back is None:
            self._no_code()
            return
        self.lines.gap()
        self.lines.say(
            phrase("Once you know what it was, tell whoever gave you this sheet its code and the number:")
        )
        self.lines.say(phrase("Code: {code}", code=back.code))
        self.lines.say(phrase("Read aloud: {aloud}", aloud=back.aloud))
        wide = len(str(len(back.outcomes)))
        for each in back.outcomes:
            self.lines.item(self._told(each.says), f"{each.number:{wide}} ")
        self.lines.say(phrase("They type:"))
        self.lines.say(back.command, indent=2)
        if not self.short and self.sheet.findings_code:
            self.lines.say(phrase("Findings with their readings, for another store of cases:"))
            self.lines.say(f'diagnose cases add --code "{self.sheet.findings_code}"', indent=2)

    def _no_code(self) -> None:
        if not self.short:
            self.lines.gap()
            self.lines.say(self.sheet.no_code)

    def _authorised(self) -> None:
        phrase = self.language.phrase
        self.lines.gap()
        self.lines.say(phrase("This sheet orders no work. Whoever may order it writes here:"))
        for label in ("Name", "Date", "Signature"):
            self.lines.say(f"{phrase(label)}{self.language.colon} {BLANK}", indent=2)

    def _headed(self, title: str, lines: Iterable[str]) -> None:
        listed = list(lines)
        if listed:
            self.lines.gap()
            self.lines.say(title)
            for line in listed:
                self.lines.item(line)


class _Lines:
    """Lines of plain text, wrapped; whatever is no printable character becomes a space."""

    def __init__(self, columns: int) -> None:
        self._columns = max(20, columns)
        self._lines: list[str] = []

    def say(self, text: str, indent: int = 0) -> None:
        """A paragraph."""
        self._wrap(text, " " * indent, " " * indent)

    def item(self, text: str, mark: str = "- ") -> None:
        """An entry of a list."""
        self._wrap(text, mark, " " * len(mark))

    def gap(self) -> None:
        """An empty line."""
        self._lines.append("")

    def text(self) -> str:
        """All lines."""
        return "\n".join(self._lines) + "\n"

    def _wrap(self, text: str, first: str, others: str) -> None:
        kept = "".join(sign if sign.isprintable() or sign in NO_BREAK else " " for sign in text)
        plain = " ".join(word for word in kept.split(" ") if word)
        wrapped = textwrap.wrap(
            plain, self._columns, initial_indent=first, subsequent_indent=others, break_on_hyphens=False
        )
        # No line breaks at them; not every terminal can show them.
        self._lines += (line.translate(dict.fromkeys(map(ord, NO_BREAK), " ")) for line in wrapped)
