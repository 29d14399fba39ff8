"""What is left out of an export cannot be worked out from what is in it.

The attack is made in full: of all small tables that would give the very same file, does every withheld cell
have more than one value? (An exact audit of suppressed tables, as in Fischetti & Salazar 2000, "Models and
algorithms for optimizing cell suppression in tabular data", from memory.) The attacker is told more than a
file holds: the rules of withholding, and in the harder half that everybody has answered the check.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import product
from typing import Any

import pytest

from diagnose.cases.exchange import Export
from diagnose.cases.exchange_withholding import LEAST, Withheld, withhold

MOST = 7
"""Cases of the cause in the tables that are gone through."""


def table(counts: tuple[int, ...], unanswered: int) -> Export:
    """One cause, one check with so many answers; no answer where a count is nought."""
    cases = sum(counts) + unanswered
    return Export(
        "00c0ffee00c0ffee",
        1,
        causes=(("hob", "x", 2026, "cured", cases),) if cases else (),
        answers=tuple(
            ("hob", "x", "flame", answer, 2026, "cured", count)
            for answer, count in zip("abc", counts, strict=False)
            if count
        ),
    )


def tables(answers: int, everybody_answers: bool) -> list[tuple[tuple[int, ...], int]]:
    unanswered = range(1) if everybody_answers else range(MOST + 1)
    return [
        (counts, rest)
        for *counts_, rest in product(*[range(MOST + 1)] * answers, unanswered)
        if sum(counts := tuple(counts_)) + rest <= MOST
    ]


@pytest.mark.parametrize("everybody_answers", [True, False])
@pytest.mark.parametrize("answers", [2, 3])
@pytest.mark.parametrize("at_least", [LEAST, 4, 5])
def test_no_withheld_count_can_be_worked_out(answers: int, everybody_answers: bool, at_least: int) -> None:
    same_file: dict[Any, list[tuple[tuple[int, ...], int]]] = defaultdict(list)
    for counts, rest in tables(answers, everybody_answers):
        shown, _ = withhold(table(counts, rest), at_least)
        same_file[shown.text()].append((counts, rest))
    some_withheld = 0
    for text, those in same_file.items():
        for cell in range(answers):
            # A cell is withheld in those tables of the group in which it counts something and is not shown.
            if any(counts[cell] for counts, _ in those) and f'"flame","{"abc"[cell]}"' not in text:
                some_withheld += 1
                assert len({counts[cell] for counts, _ in those}) > 1, (text, cell)
        if '"hob","x",2026' not in text:
            assert len({sum(counts) + rest for counts, rest in those}) > 1
    assert some_withheld > 0


def test_whatever_is_shown_counts_as_many_as_asked_for() -> None:
    for at_least in (LEAST, 4, 5):
        for counts, rest in tables(3, everybody_answers=False):
            shown, _ = withhold(table(counts, rest), at_least)
            totals = [row[-1] for row in (*shown.causes, *shown.answers)]
            assert all(total >= at_least for total in totals)
            if shown.answers:
                unanswered = shown.confirmed - sum(row[-1] for row in shown.answers)
                assert unanswered == 0 or unanswered >= at_least


def test_with_two_the_audit_finds_a_cell_that_gives_itself_away() -> None:
    # Why LEAST is 3: of two cases with two different answers everything could be told.
    with pytest.raises(ValueError, match="a threshold of 2 hides nothing; 3 is the least"):
        withhold(table((1, 1), 0), 2)


def test_one_rare_answer_takes_the_others_of_its_check_along_and_no_other_check() -> None:
    export = Export(
        "00c0ffee00c0ffee",
        4,
        causes=(("hob", "rare", 2026, "cured", 4), ("hob", "x", 2026, "cured", 20)),
        answers=(
            ("hob", "rare", "flame", "none", 2026, "cured", 4),
            ("hob", "x", "alarm", "quiet", 2026, "cured", 20),
            ("hob", "x", "flame", "none", 2026, "cured", 2),
            ("hob", "x", "flame", "steady", 2026, "cured", 6),
            ("hob", "x", "flame", "weak", 2026, "cured", 12),
            ("hob", "x", "volts", "low", 2026, "cured", 17),
        ),
        unconfirmed=(("hob", 2026, "cured", 4), ("hob", 2026, "referred", 5)),
    )
    shown, withheld = withhold(export, 5)
    assert shown == Export(
        "00c0ffee00c0ffee",
        4,
        causes=(("hob", "x", 2026, "cured", 20),),
        # Three cases gave no volts: that number could be had by subtraction, so the others go.
        answers=(("hob", "x", "alarm", "quiet", 2026, "cured", 20),),
        unconfirmed=(("hob", 2026, "referred", 5),),
        at_least=5,
    )
    assert withheld == Withheld(causes=1, answers=5, unconfirmed=1)
