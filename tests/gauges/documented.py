"""The made part of docs/gauges.md. To write it anew from the register: python -m tests.gauges.documented"""

from __future__ import annotations

import re
from pathlib import Path

from diagnose.cli.gauge import explained, screen, shell_line
from diagnose.gauges.register import SUBJECTS, gauge

DOCUMENT = Path(__file__).resolve().parents[2] / "docs" / "gauges.md"
MADE = re.compile(r"(?<=<!-- gauges -->\n).*?(?=<!-- end of gauges -->)", re.DOTALL)
COLUMNS = 80
"""As wide as the screen on which the documents' commands are run."""


def by_name(own, words):
    """The texts of an example by the names of what is asked for."""
    texts, rest = {}, list(words)
    places = [asked.name for asked in own.asks]
    while rest:
        word = rest.pop(0)
        texts[word[2:] if word.startswith("--") else places.pop(0)] = (
            rest.pop(0) if word.startswith("--") else word
        )
    return texts


def example(own):
    """The first example as a console block: what it finds and what that means, the rest left out."""
    words = own.examples[0]
    lines = screen(own, *own.outcome(by_name(own, words)), COLUMNS).splitlines()
    first = lines[: lines.index("From")]
    return "\n".join(["```console", f"$ {shell_line(own, words)}", *first, "...", "```"])


def section(own):
    """One gauge: what it tells, what it asks for and how to take that, formula, source and an example."""
    asked = [f"- `{each.name}`: {explained(each)}" for each in own.asks]
    how = [text[0].upper() + text[1:] for text in own.how]
    return "\n".join(
        [
            f"### {own.name}",
            "",
            f"{own.title}.",
            "",
            *asked,
            "",
            f"*How to take it.* {' '.join(how)}",
            "",
            f"*Formula.* {own.formula}.",
            "",
            f"*Source.* {own.source}.",
            "",
            example(own),
            "",
        ]
    )


def made():
    """All gauges, subject by subject."""
    parts = ["| gauge | what it tells |", "|---|---|"]
    named = [name for own in SUBJECTS.values() for name in own]
    parts += [f"| [{name}](#{name}) | {gauge(name).title} |" for name in named]
    parts.append("")
    for subject, own in SUBJECTS.items():
        parts += [f"## {subject.capitalize()}", "", *(section(gauge(name)) for name in own)]
    return "\n".join(parts)


def write():
    """Replace the made part of the document."""
    text = DOCUMENT.read_text(encoding="utf-8")
    DOCUMENT.write_text(MADE.sub(lambda _: made(), text), encoding="utf-8")


if __name__ == "__main__":
    write()
    print(DOCUMENT)
