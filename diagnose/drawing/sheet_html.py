"""The hand-over sheet as HTML: a file that loads nothing, fits a telephone and prints as one page of A4.

A screen scrolls and shows all of it; only what is printed has to fit, and leaves off what has no room.
"""

from __future__ import annotations

from string import Template

from diagnose.drawing import sheet_fit as at
from diagnose.drawing.html_pages import html_page, template_text
from diagnose.drawing.locker_page import PAGE, SLACK
from diagnose.drawing.sheet_fit import fit, time_column
from diagnose.drawing.sheet_layout import laid_out
from diagnose.drawing.sheet_qr import square_code
from diagnose.drawing.sheet_words import mark_of_english, words_of
from diagnose.knowledge.languages import Language
from diagnose.walking.sheet_parts import Sheet


def sheet_html(sheet: Sheet, language: Language) -> str:
    """The page; the same sheet in the same language gives the same bytes."""
    words, laid = words_of(sheet, language), laid_out(sheet, language)
    square = square_code(sheet.findings_code, words.square) if sheet.findings_code else None
    fitted = fit(sheet, words, laid, language)
    parts = laid.without()
    found = parts["found"].lines if "found" in parts else ()
    return html_page(
        "sheet.html",
        _style(fitted.size, time_column(found)),
        sheet=sheet,
        words=words,
        parts=parts,
        printed=laid.without(fitted.gone),
        gone=fitted.gone,
        left_off=fitted.left_off,
        found_title=next(part.title for part in laid.parts if part.id == "found"),
        mark=mark_of_english(language),
        square=square.svg if square is not None else "",
    )


def _style(size: float, time: float) -> str:
    """The style sheet with the measures that `sheet_fit.py` reckons with."""
    measures = {
        name.lower(): f"{value:g}"
        for name, value in vars(at).items()
        if name.isupper() and isinstance(value, float)
    }
    return Template(template_text("sheet.css")).substitute(
        measures, size=f"{size:g}", time=f"{time:g}", width=f"{PAGE[0]:g}", height=f"{PAGE[1] - SLACK / 2:g}"
    )
