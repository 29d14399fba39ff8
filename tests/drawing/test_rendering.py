from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from diagnose.drawing.rendering import (
    DrawingFailed,
    NoDrawingProgram,
    TooMuchToDraw,
    folded_until_drawn,
    pages_pdf,
    rendered,
    size_of,
    svg,
)


def test_without_the_drawing_program_it_says_how_to_get_it(monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(NoDrawingProgram) as caught:
        svg("digraph {}")
    assert str(caught.value) == (
        "Pictures need the program dot of Graphviz, which is not installed here (on Debian and Ubuntu: "
        "apt install graphviz). Without it, --format dot and --format json work."
    )


def test_text_that_is_no_graph_gives_one_line(need):
    need("dot")
    with pytest.raises(DrawingFailed) as caught:
        svg("this is no graph")
    assert str(caught.value).startswith("The program dot could not draw this: ")
    assert "\n" not in str(caught.value)


def test_a_picture_that_takes_too_long_is_given_up_with_advice(need):
    need("dot")
    lines = [f"{a} -> {b}" for a in range(60) for b in range(60)]
    with pytest.raises(DrawingFailed) as caught:
        svg("digraph {" + "\n".join(lines) + "}", limit=0.01)
    assert "Fold more with --down-to" in str(caught.value)


def test_what_cannot_be_drawn_in_time_is_folded_step_by_step_and_the_step_is_told():
    def draw(share):
        if share < 0.02:
            raise TooMuchToDraw("It took too long")
        return str(share).encode()

    assert folded_until_drawn(draw, 0.0) == (b"0.02", 0.02)
    assert folded_until_drawn(draw, 0.03) == (b"0.03", 0.03)


def test_what_can_never_be_drawn_in_time_says_so():
    def draw(share):
        raise TooMuchToDraw("It took too long")

    with pytest.raises(TooMuchToDraw):
        folded_until_drawn(draw, 0.0)


@pytest.mark.parametrize(
    ("form", "begins"), [("svg", b"<?xml"), ("pdf", b"%PDF-"), ("png", b"\x89PNG\r\n\x1a\n")]
)
def test_each_format_begins_as_its_standard_has_it(form, begins, need):
    """XML 1.0 section 2.8; ISO 32000-1, 7.5.2; ISO/IEC 15948 (PNG), 5.2."""
    need("dot")
    assert rendered("digraph {a -> b}", form).startswith(begins)


@pytest.mark.parametrize(
    ("paper", "wide", "upright"),
    [("a4", "LR", (210, 297)), ("a3", "LR", (297, 420)), ("a4", "TB", (210, 297)), ("a3", "TB", (297, 420))],
)
def test_pages_have_the_sizes_of_the_standard_and_lie_where_the_drawing_is_wide(paper, wide, upright, need):
    """Millimetres of ISO 216; a point is 1/72 inch (ISO 32000-1, 8.3.2.3)."""
    need("dot")
    chain = "digraph {rankdir=" + wide + "; " + " -> ".join("abcdefgh") + "}"
    pages = PdfReader(BytesIO(pages_pdf([chain, chain], paper))).pages
    expected = upright if wide == "TB" else upright[::-1]
    for page in pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(
            [side / 25.4 * 72 for side in expected], abs=0.01
        )
    assert [page.extract_text().split() for page in pages] == [list("abcdefgh")] * 2


def test_the_size_of_a_drawing_is_that_of_its_picture(need):
    need("dot")
    page = PdfReader(BytesIO(rendered("digraph {a -> b -> c}", "pdf"))).pages[0]
    size = size_of("digraph {a -> b -> c}")
    assert (size.width, size.height) == pytest.approx(
        (float(page.mediabox.width), float(page.mediabox.height)), abs=1
    )


def test_a_png_that_the_program_would_make_smaller_to_fit_is_refused_and_an_svg_is_not(need):
    """A picture of points may be 32767 of them long (the limit of the cairo library)."""
    need("dot")
    column = "digraph {rankdir=LR; " + " ".join(f"n{n}" for n in range(400)) + "}"
    with pytest.raises(TooMuchToDraw) as caught:
        rendered(column, "png")
    assert str(caught.value).startswith("A picture of points has no room for so much: ")
    assert b"<svg" in rendered(column, "svg")
