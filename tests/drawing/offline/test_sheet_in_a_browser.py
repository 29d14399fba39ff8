"""The hand-over sheet on the phone says what the program's sheet says, word for word."""

from __future__ import annotations

import json
import random
from base64 import b64decode
from dataclasses import replace
from io import BytesIO

import pytest

from diagnose.terms import Ranked
from diagnose.walking.case_codes import code_of
from diagnose.walking.exact_readings import with_exact_readings
from diagnose.walking.past import read_past
from diagnose.walking.sheet import plain_sheet
from diagnose.walking.sheet_making import make_sheet
from tests.drawing.offline.ended_walks import record_of, walked
from tests.drawing.offline.phone import page_of
from tests.trees.shipped import COMMON, tree_of

pytestmark = pytest.mark.long

IDS = ("heater-no-fire", "hook-up-trips", "engine-no-crank")
HARM = 'Van <b>of</b>\u202e \t\u0007Ann & "Bob" \u00a9'
ALL = """(() => {
    const { text, exact, told } = Diagnose.sheet.made(tree, walk, setting);
    return { walk, text, exact, told, origin: Diagnose.code.own().name };
})()"""


@pytest.fixture(scope="module")
def phone(browser, tmp_path_factory):
    page = tmp_path_factory.mktemp("sheet") / "page.html"
    page.write_text(page_of(IDS, country="uk"), encoding="utf-8")
    browser.get(page.as_uri())
    return browser


def by_the_program(got):
    """The sheet that the program makes of a walk of the page; shares and their span are the page's own."""
    tree = tree_of(got["walk"]["tree"])
    told = got["told"]
    record = replace(record_of(got["walk"], told["case"]), referral=told["referral"])
    ranking = [
        Ranked(each["cause"], each["says"], each["share"], *told["intervals"][each["cause"]])
        for each in told["ranking"]
    ]
    code = code_of(record, tree, got["origin"])
    assert code == told["code"]
    register = COMMON.countries["uk"].gas_register
    sheet = make_sheet(record, tree, ranking, register=register, code=code)
    exact = with_exact_readings(code, read_past(tree, record.entries))
    return plain_sheet(sheet, columns=100_000), exact


def test_sheets_of_many_walks_are_the_program_s_word_for_word(phone):
    kinds, exact_ones = set(), 0
    for id in IDS:
        for seed in range(10):
            got = walked(phone, id, seed, ALL, vehicle=HARM if seed % 3 == 0 else "")
            text, exact = by_the_program(got)
            assert got["text"] == text
            assert got["exact"] == exact
            kinds.add(got["walk"]["state"])
            exact_ones += ":" in exact
    assert kinds >= {"referred", "stopped", "cured"}
    assert exact_ones > 3, (exact_ones, kinds)


SHOWN = """(() => {
    const container = Diagnose.dom.make("div", { class: "sheet" });
    const about = { heading: "Hand-over sheet", about: tree.symptom, manner: "paper", body: [container] };
    Diagnose.layout.show(about);
    Diagnose.sheet.render(container, tree, walk, setting);
    const { text, exact } = Diagnose.sheet.made(tree, walk, setting);
    const sheet = container.querySelector(".sheet-page");
    return {
      text, exact, told: sheet.textContent, markup: sheet.querySelectorAll("b, script, img").length,
      wide: document.documentElement.scrollWidth,
    };
})()"""


def shown(phone, id, seed):
    """A walk's sheet on the screen of a narrow phone."""
    size = {"width": 360, "height": 740, "deviceScaleFactor": 2, "mobile": True}
    phone.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
    return walked(phone, id, seed, SHOWN, vehicle=HARM)


def test_what_stands_on_the_screen_is_the_sheet_and_markup_in_a_name_is_text(phone):
    for id in IDS:
        got = shown(phone, id, 1)
        # Spaces and the hyphens of a list are the text's own way to set apart.
        lines = [line.strip().removeprefix("- ") for line in got["text"].split("\n")]
        assert got["told"].replace(" ", "") == "".join(lines).replace(" ", "")
        assert "<b>of</b>" in got["told"]
        assert got["markup"] == 0
        assert got["wide"] == 360
    assert phone.get_log("browser") == []


def test_the_square_code_is_read_back_from_the_screen_by_another_reader(phone):
    import zxingcpp
    from PIL import Image

    for seed in (1, 3):
        got = shown(phone, "engine-no-crank", seed)
        square = phone.find_element("css selector", ".square-code")
        # Not beneath the bar that stays at the foot of the screen.
        phone.execute_script("arguments[0].scrollIntoView({ block: 'center' })", square)
        picture = Image.open(BytesIO(square.screenshot_as_png))
        [read] = zxingcpp.read_barcodes(picture)
        assert read.text == got["exact"]
        assert ":" in read.text
        assert read.format == zxingcpp.BarcodeFormat.QRCode


def test_the_sheet_is_printed_on_one_page_of_a4_without_what_is_only_pressed(phone):
    from pypdf import PdfReader

    for id in IDS:
        got = shown(phone, id, 3)
        printed = phone.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})
        [page] = PdfReader(BytesIO(b64decode(printed["data"]))).pages
        # A4 is 210 mm by 297 mm (ISO 216).
        sides = [float(side) / 72 * 25.4 for side in (page.mediabox.width, page.mediabox.height)]
        assert sides == pytest.approx([210, 297], abs=1)
        told = page.extract_text()
        assert "HAND-OVER SHEET" in told
        assert "This does not certify that the vehicle is safe." in told
        assert got["exact"].split(" ")[0] in told
        assert told.count("HAND-OVER SHEET") == 1
        assert "Copy as text" not in told
        size = phone.execute_script("return document.querySelector('.on-paper').style.fontSize")
        assert 7 < float(size.removesuffix("pt")) <= 10


def test_it_is_copied_and_where_that_cannot_be_it_is_there_to_be_marked(phone):
    got = shown(phone, "hook-up-trips", 1)
    pressed = """
        const [clipboard, done] = [arguments[0], arguments[arguments.length - 1]];
        let taken = "";
        const ways = {
          works: { writeText: async text => { taken = text; } },
          refused: { writeText: async () => { throw new Error("refused"); } },
          missing: undefined,
        };
        Object.defineProperty(navigator, "clipboard", { value: ways[clipboard], configurable: true });
        const byHand = document.querySelector(".passing-on textarea");
        byHand.hidden = true;
        document.querySelector(".passing-on button").click();
        setTimeout(() => done({
          taken, hidden: byHand.hidden, said: document.querySelector(".passing-on [role=status]").textContent,
          marked: byHand.value.slice(byHand.selectionStart, byHand.selectionEnd),
        }), 30);
    """
    works, refused, missing = (
        phone.execute_async_script(pressed, way) for way in ("works", "refused", "missing")
    )
    assert (works["taken"], works["hidden"], works["said"][:6]) == (got["text"], True, "Copied")
    for by_hand in (refused, missing):
        assert (by_hand["taken"], by_hand["hidden"], by_hand["marked"]) == ("", False, got["text"])
        assert "copy it from there" in by_hand["said"]


def test_it_can_be_sent_where_the_phone_can_send(phone):
    phone.execute_script(
        "Object.defineProperty(navigator, 'share', { value: undefined, configurable: true })"
    )
    shown(phone, "hook-up-trips", 1)
    buttons = [each.text for each in phone.find_elements("css selector", ".passing-on button")]
    assert buttons == ["Copy as text"]
    phone.execute_script(
        "Object.defineProperty(navigator, 'share', { configurable: true, value: async given => {"
        " window.sent = given; } })"
    )
    got = shown(phone, "hook-up-trips", 1)
    phone.execute_script("document.querySelectorAll('.passing-on button')[1].click()")
    assert phone.execute_script("return window.sent") == {"text": got["text"]}


def test_numbers_are_written_digit_by_digit_as_the_program_writes_them(phone):
    chance = random.Random(7)
    values = [0.0, 0.5, 12.4, 1000.125, 123456.5, 999999.5, 0.0001, 0.00009999995, 1e16, 1e21, 2**-10, -3.25]
    values += [chance.uniform(0, 300) for _ in range(300)]
    values += [chance.randint(0, 2**20) / 2 ** chance.randint(0, 9) for _ in range(600)]
    values += [chance.random() * 10.0 ** chance.randint(-9, 18) for _ in range(300)]
    shares = [0.005, 0.015, 0.125, *(n / 8 for n in range(9)), *(chance.random() for _ in range(300))]
    script = """
        const { general, shortest, whole } = Diagnose.sheetNumbers;
        const [values, shares] = JSON.parse(arguments[0]);
        return [values.map(general), values.map(shortest), shares.map(share => whole(100 * share))];
    """
    general, shortest, whole = phone.execute_script(script, json.dumps([values, shares]))
    assert general == [f"{value:g}" for value in values]
    assert shortest == [repr(value).upper().removesuffix(".0") for value in values]
    assert whole == [f"{100 * share:.0f}" for share in shares]
