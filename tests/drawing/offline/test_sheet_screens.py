"""The code and the sheet as somebody comes to them by pressing, and what the phone keeps for that."""

from __future__ import annotations

import json
import re

import pytest

from diagnose.walking.case_codes import read_code
from tests.drawing.offline.thumb import Thumb, page_file

pytestmark = pytest.mark.long

CODE = re.compile(r"(?:[0-8FMRW]{4}-)+[0-8FMRW]{4}")


@pytest.fixture(scope="module")
def phone(browser, tmp_path_factory):
    browser.get_log("browser")
    thumb = Thumb(browser, page_file(tmp_path_factory.mktemp("sheet")))
    thumb.phone()
    yield thumb
    thumb.put_down()
    assert browser.get_log("browser") == []


def code_on(phone):
    """The code on the screen; there is one and no other."""
    [code] = set(CODE.findall(phone.text))
    return code


def stopped(phone):
    """A walk that ends in a stop at once."""
    return phone.begin().press("Danger")


def test_the_end_the_sheet_and_the_page_opened_anew_show_one_code(phone):
    stopped(phone.open())
    code = code_on(phone)
    assert read_code(code).state == "stopped"
    phone.press("Sheet to hand over")
    assert code_on(phone) == code
    assert "Case: 1" in phone.text
    phone.reload()
    assert code_on(phone) == code


def test_each_walk_has_its_own_number_in_the_phone_s_own_store(phone):
    stopped(phone.open())
    first = read_code(code_on(phone))
    phone.press("To the start", "The pump brings no water, or keeps cutting in")
    # Nobody has cleared it since the last walk was stopped, and that stops this one.
    phone.answer("No")
    second = read_code(code_on(phone))
    assert (first.case, second.case) == (1, 2)
    assert first.origin == second.origin
    kept = json.loads(phone.run("return localStorage.getItem('diagnose.store')"))
    assert (kept["cases"], kept["name"][:4]) == (2, first.origin)
    # Another phone is another store.
    stopped(phone.open())
    assert json.loads(phone.run("return localStorage.getItem('diagnose.store')"))["name"] != kept["name"]


def test_a_browser_that_keeps_nothing_still_gives_a_code(phone):
    phone.open()
    refusing = "{ configurable: true, get() { throw new Error('refused'); } }"
    phone.run(f"Object.defineProperty(window, 'localStorage', {refusing})")
    stopped(phone)
    code = code_on(phone)
    phone.press("Sheet to hand over")
    assert code_on(phone) == code
    phone.reload()
