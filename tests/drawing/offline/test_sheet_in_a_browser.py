"""The hand-over sheet on the phone says what the program's sheet says, word for word."""

from __future__ import annotations

from dataclasses import replace

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
