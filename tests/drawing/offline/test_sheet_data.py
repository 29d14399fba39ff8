"""What a page is given for its sheets: the program's own phrases, and a library just as it was published."""

from __future__ import annotations

import inspect
from hashlib import sha256
from importlib.resources import files

import pytest

from diagnose.drawing import sheet_words
from diagnose.drawing.offline.sheet_data import PHRASES, sheet_data
from diagnose.knowledge import languages, naming
from diagnose.terms import State
from diagnose.walking import sheet, sheet_making, views


@pytest.mark.parametrize("phrase", PHRASES.values())
def test_every_phrase_is_one_of_the_program_s_sheet(phrase):
    modules = (sheet, sheet_making, sheet_words, views, naming, languages)
    sources = [inspect.getsource(module) for module in modules]
    assert any(quoted in source for source in sources for quoted in (f'"{phrase}"', f"'{phrase}'"))


def test_every_state_and_every_end_of_a_remedy_has_words():
    told = sheet_data()
    assert set(told["states"]) == set(State.__args__)
    assert set(told["became"]) == {"cured", "not-cured", "could-not"}


def test_in_another_language_every_phrase_is_that_language_s():
    german = sheet_data(languages.language("de"))["phrases"]
    assert german["title"] != PHRASES["title"]
    assert all("(English)" not in phrase for phrase in german.values())


def test_the_library_for_square_codes_is_the_registry_s_own():
    script = (files("diagnose.drawing.offline") / "scripts" / "sheet_qr.js").read_text(encoding="utf-8")
    body = script.split("// lean-qr begins\n")[1].split("\n// lean-qr ends")[0]
    exports = "export{e as correction,P as generate,b as mode};\n"
    # SHA-256 of index.mjs in the package lean-qr 2.7.4 (npm registry), MIT.
    published = "0ce41cd6f92cc23cf057a1df7e1b3876767d678665dd65af4e1d22b4fad967dc"
    assert sha256((body + exports).encode()).hexdigest() == published
    assert "MIT License" in script
