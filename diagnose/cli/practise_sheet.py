"""An exercise written on paper: where it goes, and in which form."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from diagnose.cli.output import form_of, write_made, write_out
from diagnose.practising.practice import Practice

Form = Literal["pdf", "html", "txt"]
ENDINGS: dict[str, Form] = {".pdf": "pdf", ".html": "html", ".htm": "html", ".txt": "txt"}


def write_sheet(practice: Practice, form: Form | None, target: Path | None) -> None:
    """Text and HTML go to standard output unless a file is named, PDF to a file named after the symptom."""
    from diagnose.drawing.exercise_sheet import exercise_html, exercise_pdf, exercise_text
    from diagnose.practising.paper import on_paper

    paper = on_paper(practice)
    wanted: Form = form or form_of(target, ENDINGS) or "pdf"
    if wanted == "pdf":
        write_made(exercise_pdf(paper), target, f"{practice.exercise.model.tree.id}-practice.pdf")
    else:
        write_out(exercise_html(paper) if wanted == "html" else exercise_text(paper), target)
