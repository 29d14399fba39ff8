"""What comes onto a sheet's one page, and what is left off where there is no room."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.drawing.sheet_layout import Laid, laid_out, least_left_off
from tests.drawing.made_up_sheets import ENGLISH, made_up_sheet


def laid(**about) -> Laid:
    return laid_out(made_up_sheet(**about), ENGLISH)


def left_off(laid: Laid, many: int) -> dict[str, int]:
    """How many lines of each part are gone once so many are."""
    gone = set(range(1, many + 1))
    return {part.id: sum(line.out in gone for line in part.lines) for part in laid.parts}


def test_what_is_merely_likely_goes_first_and_what_was_seen_last():
    page = laid(rows=3, causes=8)
    goes = list(dict.fromkeys(page.order))
    assert goes == ["card", "likely", "untouched", "found", "cautions", "facts", "tried", "outcomes"]
    assert left_off(page, 4)["likely"] == 3
    everything = left_off(page, len(page.order))
    assert everything["outcomes"] == 7  # "something else" stays
    assert page.order[-1] == "found"
    reading = next(line for part in page.parts if part.id == "found" for line in part.lines if line.strong)
    assert reading.out == len(page.order)


def test_a_part_without_lines_is_not_there_but_how_often_it_was_started_is():
    page = laid()
    everything = set(range(1, len(page.order) + 1))
    assert list(page.without(everything)) == ["tried", "outcomes"]
    assert page.without(everything)["tried"].below[0].startswith("Started in this case: twice")
    assert page.without()["likely"].below == ("Not told yet what it was: 5 of 9 handed on.",)


def test_a_danger_stays_longer_than_any_other_caution():
    page = laid()
    warning, danger = next(part.lines for part in page.parts if part.id == "cautions")
    assert 0 < warning.out < danger.out


def test_what_is_left_off_is_counted_under_its_heading():
    page = laid(causes=8)
    assert page.told(frozenset()) == ""
    assert page.told({1, 2, 3, 4, 5}) == (
        'No room here for: 1 under "What was not touched, and why", 3 under "Likeliest causes by these '
        'findings (and where the figure may lie)", 1 under "From the vehicle\'s card". All of it: '
        "diagnose sheet 12 --format text"
    )


def test_of_a_card_what_is_past_its_day_stays_longer_than_any_other_date_or_figure():
    page = laid(rows=3, causes=8)
    overdue, tyres = next(part.lines for part in page.parts if part.id == "card")
    assert tyres.out == 1
    assert page.order.index("untouched") + 1 < overdue.out < page.order.index("tried") + 1


@settings(max_examples=40)
@given(st.lists(st.sampled_from("abc"), max_size=12), st.integers(0, 40), st.randoms())
def test_as_little_as_it_takes_is_left_off(order, room, chance):
    heights = [chance.randint(1, 5) for _ in order]

    def fits(gone):
        return sum(high for place, high in enumerate(heights, 1) if place not in gone) <= room

    gone = least_left_off(order, fits)
    assert fits(gone) or gone == frozenset(range(1, len(order) + 1))
    # Nothing more could stay: each part's next line has no room, or waits for one that is needed more.
    for part in set(order):
        missing = [place for place in sorted(gone, reverse=True) if order[place - 1] == part]
        kept = [place for place, of in enumerate(order, 1) if of == part and place not in gone]
        assert all(place < other for place in missing for other in kept)
        if fits(gone) and missing:
            assert not fits(gone - {missing[0]})


def test_with_room_for_everything_nothing_is_left_off():
    assert least_left_off(("a", "b"), lambda gone: True) == frozenset()
    assert least_left_off((), lambda gone: False) == frozenset()
