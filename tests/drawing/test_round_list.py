"""A round on paper: every task once with its boxes, cautions first, every text shown as text."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from html.parser import HTMLParser
from io import BytesIO

import pytest
from pypdf import PdfReader

from diagnose.drawing.round_list import list_html, list_pdf, list_text
from diagnose.drawing.round_on_paper import on_paper
from diagnose.knowledge.collection import Library
from diagnose.rounds.book import LooseBook
from diagnose.rounds.code_parts import read_head
from diagnose.rounds.list_code import rows_of
from diagnose.rounds.ordering import planned
from diagnose.rounds.sitting import Sitting, Vehicle
from diagnose.terms import Finding

LIBRARY = Library()
HOSTILE = '</p><script>alert(1)</script> #show "x" \u202egnp.exe \x1b[31m *bold* $x$ & "quoted" \\'
BENIGN = '</p><script>alert(1)</script> #show "x" '


def paper(name="wake-up", change=lambda round: round, overdue=None, facts=()):
    round, common = change(LIBRARY.round(name)), LIBRARY.common()
    vehicle = Vehicle(facts, overdue=overdue or {})
    sitting = Sitting(round, common, LooseBook(), lambda: datetime(2026, 3, 1, tzinfo=UTC), vehicle)
    order = planned(round.tasks, round.after, common.places).order
    return on_paper(sitting, order, "Van 7", "112", "Van 7", ("--vehicle", "Van 7"), common.places)


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
def test_every_task_stands_there_once_with_its_number_its_id_and_its_boxes(name):
    made, text = paper(name), list_text(paper(name))
    printed = [task.id for _, tasks in made.places for task in tasks]
    assert sorted(printed) == sorted(LIBRARY.round(name).tasks)
    boxes = r"\[ \] fine  \[ \] wrong  \[ \] not done  (?:\[ \] not fitted| {14})"
    rows = re.findall(rf"^ ?(\d+)  {boxes}   [0-8FMRW]{{4}}\n[^()]+\((\S+)\)$", text, re.M)
    assert rows == [(str(number), id) for number, id in enumerate(printed, 1)]
    assert list_html(made).count('class="box"') == sum(
        [len(task.ends) for _, tasks in made.places for task in tasks]
        + [len(fact.answers) + 1 for fact in made.facts if fact.answers]
    )
    # Nobody ticks of the tyres that there are none.
    tyres = re.search(r"^.*\n[^()]+\(w4-tyres\)$", text, re.M)[0]
    assert ("[ ] not done" in tyres, "[ ] not fitted" in tyres) == (True, False)


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
    made = paper()
    printed = {task.id: task for _, tasks in made.places for task in tasks}
    gas, mice = printed["w14-gas"].number, printed["w1-mice"].number
    hob = rf"Only after rows [\d, ]*\b{gas}\. Is one of them wrong or not done\? Then tick: not done\."
    assert re.fullmatch(hob, printed["w15-hob"].first)
    assert printed["w6-belts"].first == f"Only after row {mice}. Is it not done? Then tick: not done."
    for task in printed.values():
        assert task.first in words(list_text(made))


@pytest.mark.parametrize("name", ["journey", pytest.param("wake-up", marks=pytest.mark.long)])
def test_the_code_leads_back_to_every_row_and_to_what_is_asked_of_the_vehicle(name):
    made, common = paper(name), LIBRARY.common()
    rows = rows_of(read_head(made.code), LIBRARY.round(name), common.facts, common.places)
    printed = [task for _, tasks in made.places for task in tasks]
    assert list(rows.order) == [task.id for task in sorted(printed, key=lambda task: task.number)]
    assert {task.sign: task.id for task in printed} == rows.marks
    assert [(fact.letter, fact.ask) for fact in made.facts] == [
        (letter, check.ask) for letter, check in rows.facts.items()
    ]
    assert f"\n\n{made.command}\n\n" in list_text(made)
    assert made.command == f"diagnose round --code {made.code} --vehicle 'Van 7'"


def test_what_the_card_has_is_not_asked_on_paper():
    asked = [fact.letter for fact in paper("journey").facts]
    carded = paper("journey", facts=(Finding("build", "caravan"),))
    assert len(carded.facts) == len(asked) - 1
    assert "What kind of vehicle is it?" not in list_text(carded)


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
