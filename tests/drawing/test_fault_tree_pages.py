from __future__ import annotations

import random
import re
from dataclasses import replace
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from diagnose.drawing.branches import branches
from diagnose.drawing.fault_tree_pages import fault_tree_pages, paged
from diagnose.drawing.paper import scale_on
from diagnose.drawing.rendering import pages_pdf, size_of
from diagnose.terms import TOP, Event
from tests.drawing.conftest import small_tree


def tree_of_many(causes, seed, most=6):
    """A tree with so many causes below OR gates, of some depth, each with the same share."""
    tree = small_tree()
    chance = random.Random(seed)
    events = {TOP: Event(TOP, "It trips", "any_of", ())}
    inputs = {TOP: []}
    for number in range(causes):
        above = chance.choice(list(inputs))
        if len(inputs[above]) == most:
            id = f"event-{number}"
            inputs[id], inputs[above][-1] = [inputs[above][-1]], id
            above = id
        id = f"cause-{number}"
        inputs[above].append(id)
        says = f"The part numbered {number} has come loose or was never tight"
        events[id] = replace(tree.events["lead"], id=id, says=says, in_100=95 / causes)
    for id, below in inputs.items():
        events[id] = Event(id, f"Something beyond {id} is wrong", "any_of", tuple(below))
    cut_sets = tuple((id,) for id in events if id.startswith("cause"))
    return replace(tree, events=events, cut_sets=cut_sets)


def leaves(page):
    return [one for one in page.all() if one.gate is None]


@settings(max_examples=40)
@given(st.integers(1, 80), st.integers(0, 99), st.integers(3, 12), st.integers(3, 20))
def test_on_whatever_pages_each_cause_stands_once_and_each_transfer_leads_to_its_page(
    causes, seed, most, room
):
    tree = tree_of_many(causes, seed, most)
    pages = paged(branches(tree), lambda page: len(leaves(page)) <= room)
    assert all(len(leaves(page)) <= room for page in pages)
    on_pages = sorted(one.id for page in pages for one in leaves(page) if one.kind == "cause")
    assert on_pages == sorted(cause.id for cause in tree.causes())
    led_to = sorted(
        (int(one.mark), one.id) for page in pages for one in leaves(page) if one.kind == "transfer"
    )
    assert led_to == [(number, page.id) for number, page in enumerate(pages[1:], start=2)]


def test_a_transfer_names_every_hazard_of_what_it_leads_to(tree):
    pages = paged(branches(tree), lambda page: len(leaves(page)) <= 3)
    (transfer,) = [one for one in leaves(pages[0]) if one.kind == "transfer"]
    assert (transfer.id, transfer.hazards) == ("joint", {"mains"})


def test_a_gate_with_more_inputs_than_a_page_has_room_for_goes_on_on_the_next():
    tree = tree_of_many(20, 0, most=20)
    pages = paged(branches(tree), lambda page: len(leaves(page)) <= 8)
    assert [page.says for page in pages] == [
        "The post trips",
        *["The post trips (continued)"] * (len(pages) - 1),
    ]
    assert [page.gate for page in pages] == ["any_of"] * len(pages)


def test_a_small_tree_is_one_page_and_says_nothing_of_pages(tree, need):
    need("dot")
    (page,) = fault_tree_pages(tree, "a4")
    assert "Page" not in page


@pytest.mark.parametrize(
    ("paper", "causes"),
    [("a4", 24), *(pytest.param(paper, 90, marks=pytest.mark.long) for paper in ("a4", "a3"))],
)
def test_a_large_tree_is_read_on_every_page_and_every_cause_can_be_found_in_the_file(paper, causes, need):
    need("dot")
    tree = tree_of_many(causes, 1)
    pages = fault_tree_pages(tree, paper)
    assert len(pages) > 1
    # Type of 11 points is drawn at 9, the least that is read at arm's length (common practice, no source).
    assert all(scale_on(paper, size_of(page)) * 11 >= 8.99 for page in pages)
    read = PdfReader(BytesIO(pages_pdf(pages, paper))).pages
    text = " ".join(" ".join(page.extract_text().split()) for page in read)
    for number, page in enumerate(read, start=1):
        assert f"Page {number} of {len(pages)}" in page.extract_text()
    for cause in tree.causes():
        assert text.count(f"The part numbered {cause.id.removeprefix('cause-')} has come") == 1


def test_what_stands_on_another_page_is_led_to_by_letter_and_page(need):
    need("dot")
    tree = tree_of_many(30, 1)
    top = tree.events[TOP]
    twice = next(id for id in tree.events if id.startswith("cause") and id not in top.inputs)
    top = replace(top, inputs=(*top.inputs, twice))
    pages = fault_tree_pages(replace(tree, events={**tree.events, TOP: top}), "a4")
    (home,) = [number for number, page in enumerate(pages, start=1) if re.search(r"n\d+t \[label=A ", page)]
    told = [number for number, page in enumerate(pages, start=1) if "see A" in page.replace("\\n", " ")]
    assert home != 1
    assert told == [1]
    assert f"see A on page {home}" in pages[0].replace("\\n", " ")
