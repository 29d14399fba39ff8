"""What holds for every gauge of gas, air, timber, water, tyres and licence."""

from __future__ import annotations

import re

import pytest

from diagnose.gauges.register import SUBJECTS, gauge

MINE = [name for each in ("gas", "climate", "timber", "water", "tyres", "licence") for name in SUBJECTS[each]]


def example(name, words):
    """The texts by name of an example's arguments: what is required in its order, then options."""
    texts, places, words = {}, [asked.name for asked in gauge(name).asks], list(words)
    while words:
        word = words.pop(0)
        if word.startswith("--"):
            texts[word[2:]] = words.pop(0)
        else:
            texts[places.pop(0)] = word
    return texts


@pytest.mark.parametrize("name", MINE)
def test_no_result_certifies_anything_as_safe(name):
    for words in gauge(name).examples:
        found = gauge(name).outcome(example(name, words))[1]
        assert any(re.search(r"certifies (no|nothing|none)", note) for note in found.notes)
        assert not re.search(r"\b(is|are|it's) safe\b", found.meaning)


@pytest.mark.parametrize("name", MINE)
def test_sources_say_how_they_were_come_by(name):
    known = ("from memory", "second-hand", "common practice, no source", "gas law", "product's label alone")
    assert any(word in gauge(name).source for word in known)


@pytest.mark.parametrize("name", MINE)
def test_nobody_is_asked_to_open_or_bridge_anything(name):
    texts = " ".join((*gauge(name).how, *(asked.says for asked in gauge(name).asks)))
    parting = "unscrew|unbolt|undo|loosen|slacken|dismantl|disconnect|detach"
    harming = "drill|pierce|poke|probe|bridge|wedge"
    assert not re.search(rf"\b({parting}|{harming})", texts, re.IGNORECASE)


@pytest.mark.parametrize("name", MINE)
def test_every_default_doubt_says_what_it_rests_on(name):
    for asked in gauge(name).asks:
        if getattr(asked, "doubt", 0) or getattr(asked, "doubt_share", 0):
            assert asked.doubt_from
