"""A few words of somebody who knows what it was find the cause, and never more than can be chosen from."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.knowledge.cause_search import GOOD, MOST, search_causes
from diagnose.knowledge.collection import Library

LIBRARY = Library()
TREES = [LIBRARY.tree(id) for id in LIBRARY.ids()]


def found(words: str) -> list[tuple[str, str]]:
    return [(match.symptom, match.cause) for match in search_causes(words, TREES)]


@pytest.mark.parametrize(
    ("words", "first"),
    [
        # As it is said in a workshop (common practice, no source); what is meant was settled beforehand.
        ("regulator full of oil", ("gas-gone", "regulator-fault")),
        ("seized brake shoes", ("brakes-drag", "shoes-rusted")),
        ("corroded battery terminal", ("engine-no-crank", "clamp-poor")),
        ("BLOWN PUMP FUSE!", ("water-pump", "pump-fuse")),
        ("mouse nest in air filter", ("mouse-signs", "filter-nest")),
        ("tap microswitch", ("water-pump", "tap-switch")),
        ("thermocouple gone on the hob", ("hob-goes-out", "flame-guard-tired")),
        ("toilet seal perished", ("cassette-blade", "seal-torn")),
        ("tyre valve leaking", ("tyres-soft-old", "valve-leaks")),
        ("scale in hot tap", ("no-hot-water", "one-tap-blocked")),
        ("diesel waxd", ("engine-no-start", "diesel-waxed")),
        ("handbrake cable seized", ("brakes-drag", "cable-stuck")),
        ("stale petrol", ("engine-no-start", "fuel-stale")),
        ("airlock in radiator", ("wet-heating-cold", "air-lock")),
    ],
)
def test_words_of_the_workshop_find_the_cause(words: str, first: tuple[str, str]) -> None:
    assert found(words)[0] == first


def test_a_cause_that_two_symptoms_share_is_offered_for_both() -> None:
    assert set(found("spider in flue")[:2]) == {
        ("heater-no-fire", "flue-nest"),
        ("water-heater-no-fire", "flue-nest"),
    }


def test_a_word_of_the_symptom_tells_them_apart() -> None:
    assert found("gas heater blows no warm air, spider in flue")[0] == ("heater-no-fire", "flue-nest")
    assert found("no hot water, water heater, spider in flue")[0] == ("water-heater-no-fire", "flue-nest")


def test_an_id_is_that_cause_alone_wherever_it_stands() -> None:
    matches = search_causes(" Flue-Nest ", TREES)
    assert {match.symptom for match in matches} == {"heater-no-fire", "water-heater-no-fire"}
    assert all(match.exact and match.cause == "flue-nest" for match in matches)
    assert not any(match.exact for match in search_causes("flue nest", TREES))


@pytest.mark.parametrize("words", ["banana", "xyzzy quux", "", "?!", "the customer is happy", "x" * 500])
def test_what_fits_nothing_finds_nothing(words: str) -> None:
    assert found(words) == []


@pytest.mark.parametrize("every", [23, pytest.param(1, marks=pytest.mark.long)])
def test_each_cause_is_found_by_its_own_words(every: int) -> None:
    causes = [(tree, "+".join(causes)) for tree in TREES for causes in tree.cut_sets]
    for tree, cause in causes[::every]:
        words = " ".join(tree.events[id].says for id in cause.split("+"))
        matches = search_causes(f"{words} {tree.id.replace('-', ' ')}", TREES)
        # Several trees have some causes in the very same words; each must be among the first to choose from.
        assert (tree.id, cause) in [(match.symptom, match.cause) for match in matches[:3]], words


@settings(max_examples=8)
@given(st.text(max_size=60))
def test_no_words_break_the_search(words: str) -> None:
    matches = search_causes(words, TREES)
    assert len(matches) <= MOST
    likeness = [match.likeness for match in matches]
    assert likeness == sorted(likeness, reverse=True)
    assert all(GOOD <= each <= 1 for each in likeness)


def test_without_trees_nothing_is_found() -> None:
    assert search_causes("spider in flue", []) == ()
