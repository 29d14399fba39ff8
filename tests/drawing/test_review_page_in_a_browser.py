"""The page on past cases in a real browser, the distribution's own Chromium, with the network off."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from diagnose.cases.selecting import Wanted
from diagnose.cases.store import open_store
from diagnose.drawing.review_page import review_page
from diagnose.drawing.score_section import score_section
from diagnose.drawing.trends_section import trends_section
from diagnose.reviewing.trends import trends_of
from diagnose.reviewing.trends_told import Asked
from tests.drawing.test_review_page import HARM, made_up_review
from tests.reviewing.fleet import past
from tests.reviewing.made_up_past import fill

pytestmark = pytest.mark.long

CONTRASTS = """
const parse = text => text.match(/[0-9.]+/g).slice(0, 3).map(Number);
const part = value => (value /= 255) <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
const light = colour => {
  const [r, g, b] = parse(colour).map(part);
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const ground = light(getComputedStyle(document.body).backgroundColor);
const told = 'h1, h2, h3, p, th, td, a, caption, figcaption, svg text, svg .line, svg .point';
return [...document.querySelectorAll(told)].map(each => {
  const style = getComputedStyle(each);
  const filled = each.matches('svg text, svg .point');
  const ink = light(filled ? style.fill : each.matches('svg .line') ? style.stroke : style.color);
  return (Math.max(ink, ground) + 0.05) / (Math.min(ink, ground) + 0.05);
});
"""
"""WCAG 2.2, relative luminance and contrast ratio, from memory."""


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    folder = tmp_path_factory.mktemp("page")
    with open_store(str(folder / "cases.sqlite")) as store:
        fill(store, past())
        trends = trends_of(store, Asked(Wanted(), datetime(2026, 11, 28, tzinfo=UTC)), {})
    sections = [
        score_section(made_up_review(says=f"{HARM} {'Donaudampfschifffahrt' * 3}")),
        trends_section(trends),
    ]
    file = folder / "page.html"
    file.write_text(review_page(sections, date(2026, 11, 28)), encoding="utf-8")
    return file


def shown(browser, page, width, scheme):
    """The page at a width in light or dark."""
    browser.execute_cdp_cmd(
        "Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": scheme}]}
    )
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": width < 500},
    )
    browser.get(page.as_uri())


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1200])
def test_the_page_is_whole_on_a_phone_and_on_a_desk_in_light_and_dark(browser, page, width, scheme):
    shown(browser, page, width, scheme)
    # The browser refuses nothing, so the style sheet is the one that its policy allows, and nothing was run.
    assert browser.get_log("browser") == []
    assert browser.execute_script("return document.styleSheets.length") == 1
    assert browser.execute_script("return document.querySelectorAll('script, img').length") == 0
    asked = browser.execute_script("return performance.getEntriesByType('resource').map(each => each.name)")
    assert asked == []
    assert browser.execute_script("return document.documentElement.scrollWidth") == width
    ground = browser.execute_script("return getComputedStyle(document.body).backgroundColor")
    assert ground == {"light": "rgb(255, 255, 255)", "dark": "rgb(22, 25, 29)"}[scheme]
    ratios = browser.execute_script(CONTRASTS)
    assert len(ratios) > 100
    # 4.5 is what WCAG 2.2 asks of small letters (1.4.3), from memory.
    assert min(ratios) >= 4.5


@pytest.mark.parametrize("width", [360, 1200])
def test_plots_fill_their_place_and_their_letters_can_be_read(browser, page, width):
    shown(browser, page, width, "light")
    sizes = browser.execute_script(
        "return [...document.querySelectorAll('svg')].map(each => {"
        "const box = each.getBoundingClientRect();"
        "const scale = box.width / each.viewBox.baseVal.width;"
        "const letters = [...each.querySelectorAll('text')].map(text =>"
        " parseFloat(getComputedStyle(text).fontSize) * scale);"
        "const inside = [...each.querySelectorAll('text')].every(text => {"
        " const of = text.getBoundingClientRect();"
        " return of.left >= box.left - 1 && of.right <= box.right + 1 &&"
        "  of.top >= box.top - 1 && of.bottom <= box.bottom + 1; });"
        "return [box.left, box.right, Math.min(...letters), inside, each.classList.contains('plot')]; })"
    )
    ours = [each for each in sizes if each[4]]
    assert len(ours) == len(sizes) == 6  # three of each section
    assert all(each[0] >= 0 and each[1] <= width for each in sizes)
    assert all(each[2] >= 11 and each[3] for each in ours), ours


def test_wide_tables_are_reached_with_the_keyboard(browser, page):
    from selenium.webdriver.common.by import By
    from selenium.webdriver.common.keys import Keys
    from selenium.webdriver.support.ui import WebDriverWait

    shown(browser, page, 360, "light")
    region = browser.find_elements(By.CSS_SELECTOR, "#scores .table")[-1]
    browser.execute_script("arguments[0].focus()", region)
    assert browser.switch_to.active_element == region
    assert browser.execute_script("return arguments[0].scrollWidth > arguments[0].clientWidth", region)
    region.send_keys(Keys.ARROW_RIGHT)
    WebDriverWait(browser, 5).until(
        lambda each: each.execute_script("return arguments[0].scrollLeft > 0", region)
    )
