"""A round on paper: every task once with its boxes, cautions first, every text shown as text."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from html.parser import HTMLParser
from io import BytesIO

import pytest
from pypdf import PdfReader

from diagnose.drawing.round_list import list_html, list_pdf, list_text, on_paper
from diagnose.knowledge.collection import Library
from diagnose.rounds.book import LooseBook
from diagnose.rounds.ordering import planned
from diagnose.rounds.sitting import Sitting, Vehicle

LIBRARY = Library()
HOSTILE = '</p><script>alert(1)</script> #show "x" \u202egnp.exe \x1b[31m *bold* $x$ & "quoted" \\'
BENIGN = '</p><script>alert(1)</script> #show "x" '


def paper(name="wake-up", change=lambda round: round, overdue=None):
    round, common = change(LIBRARY.round(name)), LIBRARY.common()
    vehicle = Vehicle(overdue=overdue or {})
    sitting = Sitting(round, common, LooseBook(), lambda: datetime(2026, 3, 1, tzinfo=UTC), vehicle)
    order = planned(round.tasks, round.after, common.places).order
    return on_paper(sitting, order, "Van 7", "112", "diagnose round wake-up --marks FILE", common.places)


def words(text):
    return " ".join(text.replace("\u200b", "").split())


def pdf_words(made):
    return words(" ".join(page.extract_text() for page in PdfReader(BytesIO(made)).pages))


class Texts(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags, self.texts = [], []

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))

    def handle_data(self, data):
        self.texts.append(data)


def html_words(page):
    reader = Texts()
    reader.feed(page)
    return words(" ".join(reader.texts))


@pytest.mark.parametrize("name", ["journey", "wake-up"])
def test_every_task_stands_there_once_with_its_id_and_four_boxes(name):
    made, text = paper(name), list_text(paper(name))
    printed = [task.id for _, tasks in made.places for task in tasks]
    assert sorted(printed) == sorted(LIBRARY.round(name).tasks)
    assert (
        re.findall(r"^\[ \] fine  \[ \] wrong  \[ \] not done  \[ \] not fitted   (\S+)$", text, re.M)
        == printed
    )
    assert list_html(made).count('class="box"') == 4 * len(printed)


@pytest.mark.long
def test_the_three_forms_say_the_same():
    made = paper(overdue={"gas-hose": "Gas hose: overdue since 1 March 2024."})
    forms = [words(list_text(made)), html_words(list_html(made)), pdf_words(list_pdf(made))]
    for form in forms:
        assert "Gas hose: overdue since 1 March 2024." in form
        assert "This does not certify that the vehicle is safe." in form
        for word, say in made.cautions:
            assert words(f"{word} {say}") in form
        for task in LIBRARY.round("wake-up").tasks.values():
            assert words(task.what) in form
            assert words(task.how) in form


def test_danger_and_cautions_stand_before_every_task():
    text = words(list_text(paper()))
    first = text.index("[ ] fine")
    assert text.index("call 112 from outside") < text.index("DANGER") < text.index("CAUTION") < first
    carried = {hazard for task in LIBRARY.round("wake-up").tasks.values() for hazard in task.hazards}
    wanted = {LIBRARY.common().hazards[hazard].caution for hazard in carried} - {None}
    assert len(paper().cautions) == len(wanted)


def test_what_holds_a_task_back_stands_beside_it():
    text = words(list_text(paper()))
    assert re.search(
        r"w15-hob Light each hob ring[^.]*\. Only after [^.]*w14-gas\. Is one of them wrong or not done\?",
        text,
    )
    assert re.search(r"w6-belts Look over[^.]*\. Only after w1-mice\. Is it not done\?", text)


@pytest.mark.long
def test_texts_that_look_like_markup_are_shown_as_text():
    def spoilt(round):
        task = replace(round.tasks["w1-mice"], what=HOSTILE, how=HOSTILE)
        return replace(round, tasks={**round.tasks, "w1-mice": task}, shipped=False)

    made = paper(change=spoilt)
    page = list_html(made)
    reader = Texts()
    reader.feed(page)
    assert "script" not in [tag for tag, _ in reader.tags]
    for form in (words(list_text(made)), html_words(page), pdf_words(list_pdf(made))):
        assert words(BENIGN) in form
        assert "\u202e" not in form
        assert "\x1b" not in form
        assert "nobody of this project has checked it" in form


def test_the_same_list_gives_the_same_bytes_and_loads_nothing():
    assert list_pdf(paper()) == list_pdf(paper())
    page = list_html(paper())
    assert "default-src 'none'" in page
    assert not re.search(r"(src|href)=", page)


@pytest.mark.long
@pytest.mark.parametrize("width", [320, 900])
def test_on_a_telephone_nothing_is_cut_off_and_no_rule_of_wcag_is_broken(browser, tmp_path, width):
    from tests.drawing.offline.thumb import AXE

    file = tmp_path / "list.html"
    file.write_text(list_html(paper()), encoding="utf-8")
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": width < 500},
    )
    browser.get(file.as_uri())
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width
    browser.execute_script(AXE.read_text(encoding="utf-8"))
    found = browser.execute_async_script("axe.run().then(arguments[arguments.length - 1])")
    assert [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]] == []
