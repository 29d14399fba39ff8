"""The page of translations tells how much is translated, the limits and the words as the code has them."""

from __future__ import annotations

import re

from diagnose.knowledge.catalogues import LONGEST_TRANSLATION
from diagnose.knowledge.languages import language
from tests.knowledge.cataloguing import OTHERS, PAGE, paths, with_table

TEXT = PAGE.read_text(encoding="utf-8")


def test_its_table_is_the_one_that_the_command_makes():
    assert with_table(TEXT) == TEXT  # python -m tests.knowledge.cataloguing


def test_its_signal_words_are_those_of_the_catalogues():
    table = TEXT.partition("Signal words")[2].partition("Some words")[0]
    told = re.findall(r"^\| ([A-Z]+) \| (\w+) \| (\w+) \|$", table, re.MULTILINE)
    assert len(told) == 4
    for english, *others in told:
        assert others == [language(code).phrase(english) for code in OTHERS]


def test_each_word_of_the_trade_that_it_lists_is_used():
    used = {
        code: "".join(path.read_text(encoding="utf-8") for path in paths(code).values()).lower()
        for code in OTHERS
    }
    table = TEXT.partition("Some words of the trade")[2].partition("##")[0]
    told = re.findall(r"^\| ([a-z].*?) \| (.*?) \| (.*?) \|$", table, re.MULTILINE)
    assert len(told) > 10
    for _, *others in told:
        for code, words in zip(OTHERS, others, strict=True):
            assert all(word.lower() in used[code] for word in words.split(", ")), (code, words)


def test_its_limit_is_the_code_s():
    assert f"no text over {LONGEST_TRANSLATION:,} characters" in TEXT
