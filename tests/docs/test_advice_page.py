"""The page of advice has every name there is with its meaning, and the thresholds of the code."""

from __future__ import annotations

import re
from pathlib import Path

from diagnose.knowledge.advising import ADVICE, SHARES_MAY_MISS_100_BY
from diagnose.knowledge.advising_texts import INSTRUCTION, LONGEST_WORD, NAME, QUESTION
from diagnose.knowledge.reading_grade import GRADE
from diagnose.revising.advising_cases import EXPECT_BY, LEVEL, MISTAKEN, NEVER, SHARE_BY
from diagnose.revising.advising_routes import SEPARATES, WORTH

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "advice.md").read_text(encoding="utf-8")
ROWS = {
    name: (what, when) for name, what, when in re.findall(r"^\| `(\S+)` \| (.*?) \| (.*?) \|$", PAGE, re.M)
}


def test_every_advice_stands_on_the_page_with_its_meaning():
    assert {name: what for name, (what, _) in ROWS.items()} == dict(ADVICE)


def test_the_thresholds_are_those_of_the_code():
    when = {name: found[1] for name, found in ROWS.items()}
    assert f"over {SHARES_MAY_MISS_100_BY:g} away" in when["shares-miss-100"]
    assert f"over grade {GRADE:g}" in ROWS["text-hard"][0]
    for most in (NAME, QUESTION, INSTRUCTION):
        assert f"over {most}" in when["text-long"]
    assert f"over {LONGEST_WORD} letters" in when["word-long"]
    assert f"differ by {100 * SEPARATES:g} of 100" in when["not-separated"]
    assert f"loses {WORTH:g} minutes" in when["not-separated"]
    assert f"over {100 * SHARE_BY:g} of 100 away" in when["share-contradicted"]
    assert f"over {100 * EXPECT_BY:g} of 100 away" in when["expect-contradicted"]
    for name in ("share-contradicted", "expect-contradicted"):
        assert f"interval at {100 * LEVEL:g} %" in when[name]
    assert f"under {100 * NEVER:g} %" in when["cause-never-confirmed"]
    assert f"mistake in {100 * MISTAKEN:g} of 100" in PAGE.replace("\n", " ")
