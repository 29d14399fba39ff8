"""The hand-over sheet as PDF: one page of A4, black on white.

How it comes onto one page is measured where it is set: `templates/sheet.typ`.
"""

from __future__ import annotations

from typing import Any

from diagnose.drawing.sheet_layout import SIZES, Laid, Line, Part, laid_out
from diagnose.drawing.sheet_qr import square_code
from diagnose.drawing.sheet_words import SheetWords, in_words, words_of
from diagnose.drawing.typesetting import breakable, typeset
from diagnose.knowledge.characters import without_refused
from diagnose.knowledge.languages import Language
from diagnose.walking.sheet_parts import Sheet


def sheet_pdf(sheet: Sheet, language: Language) -> bytes:
    """The page; the same sheet in the same language gives the same bytes."""
    words, laid = words_of(sheet, language), laid_out(sheet, language)
    square = square_code(sheet.findings_code, words.square) if sheet.findings_code else None
    return typeset(
        "sheet.typ",
        _readable(_data(sheet, words, laid, language))
        | {
            "language": sheet.language,
            "square": square.svg if square is not None else "",
            "sizes": list(SIZES),
            "order": list(laid.order),
        },
    )


def _data(sheet: Sheet, words: SheetWords, laid: Laid, language: Language) -> dict[str, Any]:
    def line(each: Line) -> dict[str, Any]:
        return {
            "cells": [in_words(cell, language) for cell in each.cells],
            "out": each.out,
            "strong": each.strong,
        }

    def part(each: Part) -> dict[str, Any]:
        return {
            "title": each.title,
            "lines": list(map(line, each.lines)),
            "below": list(each.below),
            "stands": each.stands,
        }

    back = sheet.answer_back
    return {
        "title": words.title,
        "name": words.name,
        "review": list(sheet.review),
        "notices": list(sheet.notices),
        "heading": [[each.about, in_words(each.says, language)] for each in sheet.heading],
        "stopped": sheet.stopped,
        "stop": words.stop,
        "because": in_words(words.because, language) if words.because is not None else "",
        "handed": [
            [
                in_words(each.to, language),
                each.register,
                *(in_words(sentence, language) for sentence in each.told),
            ]
            for each in words.handed
        ],
        "parts": {each.id: part(each) for each in laid.parts},
        "timed": sheet.timed,
        "nothing": words.nothing_found,
        "back": {
            "intro": words.intro,
            "code": back.code,
            "aloud": words.aloud,
            "type": words.they_type,
            "command": back.command,
        }
        if back is not None
        else None,
        "square_says": words.square,
        "no_code": words.no_code,
        "orders": words.orders,
        "sign": list(words.sign),
        "certificate": words.certificate,
        "colon": words.colon,
        "left_off": list(laid.left_off),
        "of_part": {id: list(around) for id, around in laid.of_part.items()},
    }


def _readable(value: Any) -> Any:
    """Every text without what turns the direction of reading, with places to break in its longest words."""
    if isinstance(value, str):
        return breakable(without_refused(value))
    if isinstance(value, list):
        return [_readable(each) for each in value]
    return {key: _readable(each) for key, each in value.items()} if isinstance(value, dict) else value
