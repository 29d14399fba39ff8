"""What could hurt at a task of a round: in full where it first holds, then one word away."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.rounds.book import LooseBook
from diagnose.rounds.going import Going
from diagnose.rounds.views import TaskShown
from diagnose.terminal.round_pages import cautions_page, task_page
from tests.terminal.typed import START
from tests.trees.shipped import COMMON, LIBRARY


def sitting(*only: str) -> Going:
    return Going(LIBRARY.round("wake-up"), COMMON, LooseBook(), lambda: START, only=frozenset(only))


@pytest.mark.parametrize("width", [40, 80])
def test_a_caution_is_in_full_where_it_first_holds_and_a_word_away_where_it_holds_again(width: int) -> None:
    going = sitting("w3-uncover", "w14-gas")
    first = going.view()
    assert isinstance(first, TaskShown)
    say = " ".join(COMMON.cautions["gas"].say.split())
    assert say in " ".join(task_page(first, width).text().split())
    assert "type: caution" not in task_page(first, width).text()
    second = going.mark(first.task.id, "fine")
    assert isinstance(second, TaskShown)
    text = " ".join(task_page(second, width).text().split())
    assert say not in text
    assert "DANGER: what you read before holds here too. To read it, type: caution." in text
    assert say in " ".join(cautions_page(second, width).text().split())


def test_every_caution_of_a_task_is_shown_or_named_whatever_was_shown_before() -> None:
    going = sitting(*LIBRARY.round("wake-up").tasks)
    view, seen = going.view(), 0
    while isinstance(view, TaskShown):
        assert {*view.cautions, *view.read_before} == set(going.cautions_of(view.task))
        seen += 1
        view = _next(going, view)
    assert seen > 10


def _next(going: Going, view: TaskShown):
    following = going.mark(view.task.id, "fine")
    while not isinstance(following, TaskShown) and hasattr(following, "choices"):
        following = going.answer_fact(following.fact, following.choices[0].id)
    return following


def test_the_answers_stand_in_a_row_where_they_fit_and_below_each_other_where_not() -> None:
    view = sitting("w4-tyres").view()
    assert isinstance(view, TaskShown)
    assert "  1 Fine   2 Wrong   3 Not done   4 Not fitted\n" in task_page(view, 80).text()
    assert "  1  Fine\n  2  Wrong\n" in task_page(view, 40).text()
    late = replace(view, overdue=("The tyres are too old.",))
    assert "  1  Nothing else is wrong\n" in task_page(late, 80).text()
