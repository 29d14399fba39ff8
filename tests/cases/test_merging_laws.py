"""The laws of merging, asked of the store itself: it is commutative, associative and idempotent.

In whatever order and grouping the files come, the sums are those of each origin's highest number.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.cases.exchange import Export
from diagnose.cases.merging import merge, standing, take_out
from diagnose.cases.store import CaseStore, open_store
from tests.cases.exports import NOON, NORTH, SOUTH, WEST, export, rows_of, sums_of

ids = st.sampled_from(["a", "b", "c+d", "not-listed"])
causes = st.dictionaries(
    st.tuples(
        st.sampled_from(["hob", "pump"]),
        ids,
        st.sampled_from([2024, 2026]),
        st.sampled_from(["cured", "open"]),
    ),
    st.integers(1, 9),
    max_size=4,
)  # fmt: skip


@st.composite
def exports(draw: st.DrawFn) -> Export:
    """Any export of three origins with any of three numbers."""
    of_causes = draw(causes)
    answers = {
        (symptom, cause, check, "yes", year, ending): draw(st.integers(1, cases))
        for (symptom, cause, year, ending), cases in of_causes.items()
        for check in draw(st.sets(st.sampled_from(["flame", "volts"])))
    }
    untold = draw(
        st.dictionaries(st.tuples(st.just("hob"), st.just(2026), st.just("cured")), st.integers(1, 9))
    )
    origin, number = draw(st.sampled_from([NORTH, SOUTH, WEST])), draw(st.integers(1, 3))
    tables = (
        tuple(sorted((*key, total) for key, total in each.items())) for each in (of_causes, answers, untold)
    )
    return Export(origin, number, *tables)


@pytest.fixture(scope="module")
def reused(tmp_path_factory: pytest.TempPathFactory) -> Iterator[CaseStore]:
    with open_store(str(tmp_path_factory.mktemp("laws") / "cases.sqlite")) as store:
        store.confirm(store.open_case("hob", "d", "owner", "", NOON), "a", NOON)
        yield store


def merged_in(store: CaseStore, batches: Sequence[Sequence[Export]]) -> set[tuple[Any, ...]]:
    """The sums after these batches, from nothing merged."""
    for each in standing(store):
        take_out(store, each.origin)
    for batch in batches:
        merge(store, [(f"{n}.json", each) for n, each in enumerate(batch)], NOON)
    return sums_of(store)


@settings(max_examples=12)
@given(st.lists(exports(), min_size=1, max_size=5), st.data())
def test_order_grouping_and_repetition_make_no_difference(
    reused: CaseStore, some: list[Export], data: st.DataObject
) -> None:
    unique = list({(each.origin, each.number): each for each in some}.values())
    own = merged_in(reused, [])
    highest = {each.origin: each for each in sorted(unique, key=lambda each: each.number)}
    wanted = own.union(*map(rows_of, highest.values()))
    shuffled = data.draw(st.permutations(unique + unique[: data.draw(st.integers(0, len(unique)))]))
    cut = data.draw(st.integers(0, len(shuffled)))
    assert merged_in(reused, [unique]) == wanted
    assert merged_in(reused, [shuffled[:cut], shuffled[cut:]]) == wanted
    assert merged_in(reused, [[each] for each in shuffled]) == wanted


def test_the_laws_hold_on_a_server_too(store: CaseStore) -> None:
    files = [export(NORTH, 1), export(SOUTH, 2, 5), export(NORTH, 2, 4)]
    wanted = rows_of(files[1]) | rows_of(files[2])
    assert merged_in(store, [files]) == wanted
    assert merged_in(store, [files[::-1]]) == wanted
    assert merged_in(store, [[files[2]], files, files[:1]]) == wanted
