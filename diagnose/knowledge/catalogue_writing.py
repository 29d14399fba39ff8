"""A catalogue as the text of a PO file: every text in the order of its places, what was translated kept.

Used when trees change: a text that is new comes in empty, one that is gone stays at the end as obsolete
(`#~`), so that no translator's work is lost.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.knowledge.catalogues import REVIEWED_BY, Catalogue, Entry, placeholders

WIDTH = 100
_FIXED = {
    "MIME-Version": "1.0",
    "Content-Type": "text/plain; charset=UTF-8",
    "Content-Transfer-Encoding": "8bit",
}
PLURALS = {"de": "nplurals=2; plural=(n != 1);", "fr": "nplurals=2; plural=(n > 1);"}
"""Rules of the Unicode CLDR for whole numbers; a test holds them against it."""


def catalogue_text(
    code: str,
    texts: Mapping[str, Sequence[str]],
    old: Catalogue | None = None,
    plurals: Mapping[str, str] | None = None,
    title: str = "",
) -> str:
    """The PO text for `texts` (English -> places), with the translations and the header of the old one.

    `plurals` gives the English text for more than one of those that tell a number.
    """
    import polib

    kept = old.entries if old is not None else {}
    made: Any = polib.POFile(wrapwidth=WIDTH)
    made.header = title
    made.metadata = _headers(code, old)
    for english, places in texts.items():
        made.append(_entry(polib, english, (plurals or {}).get(english, ""), kept.get(english), places))
    for english, entry in kept.items():
        if english not in texts and any(entry.forms):
            made.append(_entry(polib, english, entry.plural, entry, (), obsolete=True))
    return f"{made}".rstrip("\n") + "\n"


def _headers(code: str, old: Catalogue | None) -> dict[str, str]:
    kept = dict(old.headers) if old is not None else {}
    headers = {"Language": code, **_FIXED, "Plural-Forms": PLURALS.get(code, ""), REVIEWED_BY: ""}
    return {name: kept.get(name) or value for name, value in (headers | kept).items()}


def _entry(
    polib: Any, english: str, plural: str, old: Entry | None, places: Sequence[str], obsolete: bool = False
) -> Any:
    forms = old.forms if old is not None else ()
    entry = polib.POEntry(
        msgid=english,
        comment="; ".join(places),
        tcomment=old.note if old is not None else "",
        obsolete=obsolete,
    )
    if plural:
        entry.msgid_plural = plural
        entry.msgstr_plural = dict(enumerate(forms if len(forms) > 1 else ("", "")))
    else:
        entry.msgstr = forms[0] if forms else ""
    if old is not None and old.fuzzy:
        entry.flags.append("fuzzy")
    if placeholders(english):
        entry.flags.append("python-brace-format")
    return entry
