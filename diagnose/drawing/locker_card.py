"""The locker card: one page in large type, to hang where it is seen when something is wrong.

It says what helps whoever stands there: whom to call, where things are, what is due, what the tyres want.
What somebody cannot do and what instruments they have stays off it. How it comes onto one page, and what is
left off where there is no room: `locker_page.py`. The page is plain HTML for A4 without a
script and without anything fetched from elsewhere; whatever stands on the card is text and never markup.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from html import escape

from diagnose.drawing.locker_page import (
    DUE,
    GAP,
    INDENT,
    LINE_HEIGHT,
    PAGE,
    RULE,
    SLACK,
    TITLE,
    Entry,
    Fitted,
    Section,
    left_off_in_words,
)
from diagnose.knowledge.card import Axle, VehicleCard
from diagnose.knowledge.card_fields import DATE_CODES, DATES
from diagnose.terms import Check
from diagnose.walking.calling import Calling
from diagnose.walking.carded import due_on
from diagnose.walking.views import NO_CERTIFICATE

IN_DANGER = (
    "Smell of gas, smoke, an alarm, a shock, somebody unwell: all out into the open air, touch no switch."
)
PSI_PER_BAR = 1 / 0.0689475729
"""From 0.45359237 kg x 9.80665 m/s2 over (0.0254 m)2, all exact by definition."""


def locker_sections(
    card: VehicleCard, facts: Mapping[str, Check], calling: Calling, today: date
) -> tuple[Section, ...]:
    """What stands on the locker card, from top to bottom; empty sections are left out."""
    sections = (
        Section("In danger", (Entry("", f"{IN_DANGER} Call {' or '.join(calling.numbers)}."),)),
        Section("Whom to call", _whom(card, calling), 1),
        Section("Where it is", tuple(Entry(_words(part), says) for part, says in card.where.items()), 3),
        Section(
            "Dates",
            tuple(_dated(id, day, today) for id, day in card.dates.items() if not DATES[id].driver),
            4,
        ),
        Section("Tyres, cold", tuple(_axle(id, axle, calling.units) for id, axle in card.tyres.items()), 2),
        Section("What it has", _facts(card, facts), 5),
    )
    return tuple(section for section in sections if section.entries)


def locker_html(name: str, page: Fitted) -> str:
    """One A4 sheet; it holds no script and fetches nothing."""
    below = [left_off_in_words(page.left_off), NO_CERTIFICATE]
    return _PAGE_HTML.format(
        title=escape(name),
        size=page.size,
        body="".join(_section_html(section) for section in page.sections),
        below="".join(f"<p>{escape(text)}</p>\n" for text in below if text),
        width=PAGE[0],
        height=PAGE[1] - SLACK / 2,
        line=LINE_HEIGHT,
        heading=TITLE,
        gap=GAP,
        indent=INDENT,
        rule=RULE,
    )


def _in_a_line(entry: Entry) -> str:
    about = f"{entry.about}: " if entry.about else ""
    return f"{about}{entry.says}{f' - {DUE}' if entry.due else ''}"


def plain_line(entry: Entry) -> str:
    """An entry as a line of plain text."""
    return _in_a_line(entry)


def _whom(card: VehicleCard, calling: Calling) -> tuple[Entry, ...]:
    found = [Entry(_words(id), number) for id, number in card.numbers.items()]
    if calling.register:
        found.append(Entry("Gas work", f"look in {calling.register}"))
    return tuple(found)


def _dated(id: str, day: date, today: date) -> Entry:
    kind = DATES[id]
    first = due_on(kind, day)
    about = kind.says[:1].upper() + kind.says[1:]
    means = {"made": "of", "done": "done", "ends": "ends"}[kind.means]
    iso = day.isocalendar()
    if id in DATE_CODES:
        said = f"week {iso.week} of {iso.year}"
    else:
        said = f"{day:%B %Y}" if kind.means == "made" else f"{day.day} {day:%B %Y}"
    return Entry(about, f"{means} {said}", first is not None and today >= first)


def _axle(id: str, axle: Axle, units: Sequence[str]) -> Entry:
    told = []
    if axle.bar is not None:
        bar, psi = f"{axle.bar:.1f} bar", f"{axle.bar * PSI_PER_BAR:.0f} psi"
        told.append(f"{psi} ({bar})" if "psi" in units else f"{bar} ({psi})")
    if axle.kg is not None:
        told.append(f"weighed {axle.kg:.0f} kg")
    return Entry(_words(id), ", ".join(told) or "nothing written down")


def _facts(card: VehicleCard, facts: Mapping[str, Check]) -> tuple[Entry, ...]:
    found = []
    for fact in card.facts:
        check = facts.get(fact.check)
        if check is None or fact.check == "country":
            continue
        says = {answer.id: answer.says for answer in check.answers}.get(fact.answer or "", "")
        if fact.value is not None and check.reading is not None:
            says = f"{fact.value:g} {check.reading.unit}"
        found.append(Entry(_words(fact.check), says))
    return tuple(found)


_SAID = {"co-suspected": "carbon monoxide", "over-3500": "full weight", "gas-cut-off": "gas cut-off"}
"""Ids that are no plain words by themselves."""


def _words(id: str) -> str:
    text = _SAID.get(id, id.replace("-", " "))
    return text[:1].upper() + text[1:]


def _section_html(section: Section) -> str:
    lines = "".join(_entry_html(entry) for entry in section.entries)
    return f"<section><h2>{escape(section.title)}</h2>{lines}</section>\n"


def _entry_html(entry: Entry) -> str:
    if not entry.about:
        return f"<p><b>{escape(entry.says)}</b></p>"
    about = f"<b>{escape(entry.about)}:</b> "
    due = f" <strong>{DUE}</strong>" if entry.due else ""
    return f"<p>{about}{escape(entry.says)}{due}</p>"


_PAGE_HTML = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<title>{title}</title>
<style>
@page {{ size: A4 portrait; margin: 12mm; }}
body {{ font: {size}pt/{line} Arial, Helvetica, "Liberation Sans", sans-serif; color: #000; background: #fff;
  margin: 0 auto; max-width: {width}mm; }}
@media print {{ body {{ width: {width}mm; max-height: {height}mm; overflow: hidden; }} }}
h1 {{ font-size: {heading}em; margin: 0; overflow-wrap: anywhere; }}
h2 {{ font-size: 1em; margin: {gap}em 0 0; border-bottom: {rule}pt solid #000; }}
p {{ margin: 0 0 0 {indent}em; overflow-wrap: anywhere; }}
strong {{ border: 1.5pt solid #000; padding: 0 0.3em; white-space: nowrap; }}
footer {{ margin-top: {gap}em; }}
</style>
</head>
<body>
<h1>{title}</h1>
{body}<footer>
{below}</footer>
</body>
</html>
"""
