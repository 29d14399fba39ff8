"""The page on past cases: whole, closed to the outside, and with every foreign text as a text."""

from __future__ import annotations

import re
from base64 import b64encode
from datetime import date
from hashlib import sha256
from html.parser import HTMLParser

import numpy as np
import pytest

from diagnose.drawing.plots import Bar, intervals
from diagnose.drawing.review_page import Part, Plot, Section, Table, review_page
from diagnose.drawing.score_section import score_section
from diagnose.reasoning.learning import Return
from diagnose.reasoning.scores import Predicted
from diagnose.reviewing.figures import columns_of, course_of, figures_of
from diagnose.reviewing.history import Said
from diagnose.reviewing.scoring import LeftOut, Review, TreeScores

HARM = "<script>alert(1)</script><img src=x onerror=alert(2)>\"'&"
DAY = date(2026, 11, 28)
VOID = {"meta", "br", "img", "link", "input", "hr"}


class Read(HTMLParser):
    """What a browser's parser would see: elements with their attributes, the text, what is left open."""

    def __init__(self, page):
        super().__init__()
        self.elements, self.open, self.text, self.style = [], [], [], ""
        self.feed(page)
        self.close()

    def handle_starttag(self, tag, attributes):
        self.elements.append((tag, dict(attributes)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.elements.append((tag, dict(attributes)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open[-1:] == ["style"]:
            self.style += data
        else:
            self.text.append(data)


def made_up_review(number=120, says="The pump brings no water", symptom="water-pump"):
    """A review of made-up figures."""
    rng = np.random.default_rng(2)
    truths = rng.integers(0, 4, number)
    learned, by_file = (rng.dirichlet(np.ones(4), number) for _ in range(2))
    learned[np.arange(number), truths] += 1
    learned /= learned.sum(axis=1, keepdims=True)
    walked = rng.normal(50, 10, number)
    said = Said(
        np.arange(number), Predicted(learned, truths), Predicted(by_file, truths), ("cured",) * number,
        np.full(number, 48.0) + rng.random(number), np.full(number, 45.0), walked,
    )  # fmt: skip
    columns = columns_of(said)
    figures = figures_of(columns, np.ones(number), 199)
    tree = TreeScores(symptom, says, figures, (Return("cured", number, number, 1.0),), 0)
    return Review(None, figures, course_of(columns, np.ones(number)), (tree,), ())


def test_foreign_text_is_text_wherever_it_stands():
    part = Part(HARM, (HARM,), (Plot(intervals(HARM, HARM, HARM, HARM, [Bar(HARM, 2, 1, 3)]), HARM),))
    table = Table(HARM, (HARM, HARM), ((HARM, HARM),))
    section = Section("one", HARM, (HARM,), (part, Part("b", tables=(table,), notes=(HARM,))))
    read = Read(review_page([section, section], DAY, HARM))
    assert not read.open
    tags = {tag for tag, _ in read.elements}
    assert "script" not in tags
    assert "img" not in tags
    assert not [name for _, attributes in read.elements for name in attributes if name.startswith("on")]
    # The title twice, a link to each section; then fifteen texts in each, four of them in its plot.
    assert sum(text.count(HARM) for text in read.text) == 2 + 2 + 2 * 15
    labels = [attributes["aria-label"] for _, attributes in read.elements if "aria-label" in attributes]
    assert labels.count(HARM) == 2


def test_what_steers_a_screen_or_turns_the_reading_is_taken_out():
    page = review_page([Section("one", "a\x1b[31mb\u202ec\u0000d", ())], DAY)
    assert not re.search("[\x00-\x08\x0b-\x1f\u202a-\u202e\u2066-\u2069]", page)
    assert "a\ufffd[31mb\ufffdc\ufffdd" in page


@pytest.mark.parametrize("sections", [[score_section(made_up_review())], []])
def test_the_page_asks_nobody_for_anything(sections):
    page = review_page(sections, DAY)
    read = Read(page)
    assert not re.search(r"https?:|//[a-z]|url\(|@import|javascript:", page)
    assert {tag for tag, _ in read.elements}.isdisjoint(
        {"script", "link", "img", "iframe", "object", "embed", "form", "base", "audio", "video"}
    )
    kept = [attributes for _, attributes in read.elements]
    assert not [one for one in kept if {"style", "src", "srcset", "action"} & set(one)]
    links = [one["href"] for one in kept if "href" in one]
    assert all(link.startswith("#") for link in links)
    policy = next(one["content"] for one in kept if one.get("http-equiv") == "Content-Security-Policy")
    digest = b64encode(sha256(read.style.encode()).digest()).decode()
    assert policy == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def test_every_plot_has_its_own_ids_and_each_link_of_the_page_leads_somewhere():
    other = Section("trends", "Trends", ("Nothing yet.",))
    read = Read(review_page([score_section(made_up_review()), other], DAY))
    ids = [attributes["id"] for _, attributes in read.elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    wanted = [
        name
        for _, attributes in read.elements
        for key in ("aria-labelledby", "aria-describedby")
        for name in attributes.get(key, "").split()
    ]
    wanted += [one["href"][1:] for tag, one in read.elements if tag == "a"]
    assert {"scores", "trends", "course-title", "calibration-says"} <= set(wanted)
    assert set(wanted) <= set(ids)


def test_the_section_has_three_plots_and_says_each_figure_in_a_table():
    section = score_section(made_up_review())
    plots = [plot for part in section.parts for plot in part.plots]
    assert [re.search(r"<title[^>]*>([^<]*)", plot.svg)[1] for plot in plots] == [
        "Log loss as cases came in",
        "What was said against how often it was right",
        "Minutes expected and walked",
    ]
    assert [part.title for part in section.parts] == [
        "In figures",
        "Did learning help?",
        "Can a share be taken at its word?",
        "Minutes",
        "By symptom",
    ]
    calibration = section.parts[2].tables[0]
    assert len(calibration.rows) == 10
    assert sum(int(row[3]) for row in calibration.rows) == 120


def test_few_cases_have_no_curve_and_no_plot_of_calibration():
    section = score_section(made_up_review(9))
    assert [len(part.plots) for part in section.parts] == [0, 0, 0, 1, 0]
    assert "Too few cases" in section.parts[2].sentences[0]


def test_nothing_to_score_is_a_page_all_the_same():
    nothing = Review(None, None, (), (), (LeftOut("gone", "", 3, "no-tree", f"there is no {HARM}"),))
    page = review_page([score_section(nothing)], DAY)
    assert "None of the confirmed cases can be scored." in page
    assert "3 cases of gone are left out: there is no &lt;script&gt;" in page
    assert "<svg" not in page


def test_the_same_scores_give_the_same_bytes():
    assert review_page([score_section(made_up_review())], DAY) == review_page(
        [score_section(made_up_review())], DAY
    )
