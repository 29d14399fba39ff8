from __future__ import annotations

import pytest

from diagnose.drawing.rendering import DrawingFailed, NoDrawingProgram, svg


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
    assert "Cut off more with --least" in str(caught.value)
