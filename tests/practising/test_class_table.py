"""A class's results as a table that spreadsheets do not run, and what a learner missed in it."""

from __future__ import annotations

import csv
import io

import pytest
from scipy.stats import binomtest

from diagnose.cases.codes import MOST, SPELLED, WrongCode, written
from diagnose.practising.class_table import (
    COLUMNS,
    Earlier,
    as_csv,
    earlier_in,
    handed_in,
    is_a_table,
    records,
    row_of,
)
from diagnose.practising.hiding import (
    Record,
    difficulty,
    fault_by_difficulty,
    fault_by_misses,
    fault_by_share,
    misled,
)
from diagnose.practising.result_code import result_code
from diagnose.practising.scoring import scored
from diagnose.reasoning.robustness import cost_by_cause
from tests.practising.by_hand import choose, quiet, route, smelly, stove


def done(fault="valve-shut"):
    each = quiet(fault)
    choose(each, "smell-of-gas", "co-alarm", "volts", "workshop")
    return each


def test_a_row_holds_what_the_trainer_wants_to_know():
    each = done()
    row = row_of("robin", scored(each))
    assert set(row) == set(COLUMNS)
    assert (row["learner"], row["cause"], row["found"], row["ended"]) == (
        "robin",
        "valve-shut",
        "no",
        "handed-over",
    )
    assert row["costliest_turn"].startswith("turn 4: workshop rather than ")
    assert int(row["minutes"]) > int(row["best_minutes"]) > 0


def test_a_row_tells_minutes_and_marks_and_leaves_out_what_is_not_to_be_told():
    each = done()
    trap = next(choice.id for choice in each.choices if choice.kind == "trap")
    fresh = quiet("fuse-blown")
    choose(fresh, trap, "smell-of-gas", "co-alarm", "fuse-blown")
    score, of_fresh = scored(each), scored(fresh)
    row, cured = row_of("a", score), row_of("b", of_fresh)
    lost = score.costliest.worth.regret
    assert (row["minutes_lost"], row["marks"]) == (f"{lost:.0f}", "0")
    assert (row["minutes"], row["exercise"]) == (f"{score.spent.cost:.0f}", each.exercise.code())
    assert (cured["found"], cured["marks"], cured["ended"]) == ("yes", "1", "cured")
    stopped = smelly()
    choose(stopped, "smell-of-gas", "stop")
    told = row_of("c", scored(stopped))
    assert (told["found"], told["costliest_turn"], told["minutes_lost"]) == ("", "", "0")


def test_a_table_is_read_back_with_and_without_a_mark_of_its_bytes():
    text = "learner,symptom,cause,found,more\r\nrobin,stove,valve-shut, No ,x\r\n,stove,fuse-blown,YES,\r\n"
    text += "ann,,valve-shut,no,\r\nann,stove,pipe-blocked,,\r\n"
    rows = [
        Earlier("robin", "stove", "valve-shut", False),
        Earlier("", "stove", "fuse-blown", True),
        Earlier("ann", "stove", "pipe-blocked", None),
    ]
    for given in (text, "\ufeff" + text):
        assert is_a_table(given)
        assert earlier_in(given) == rows
    assert is_a_table("learner,symptom,cause,found")
    assert not is_a_table("robin, 0042-7524-4371\nlearner,symptom,cause,found")
    assert not is_a_table("")
    assert records(rows, "stove", "robin") == {"valve-shut": Record(1, 1)}


@pytest.mark.parametrize("label", ["=1+1", "@me", "robin, the second", 'a "b" c', "-5+2"])
def test_labels_come_back_as_they_were_and_run_nowhere(label):
    text = as_csv([row_of(label, scored(done()))])
    cells = list(csv.reader(io.StringIO(text)))[1]
    assert cells[0][0] not in "=@-"
    assert [each.learner for each in earlier_in(text)] == [label]


def test_a_line_that_is_longer_than_any_result_is_told_at_once():
    # Each word could begin a code: unlimited, a megabyte of them would take hours.
    with pytest.raises(WrongCode, match="longer than any result"):
        handed_in("a " * 500_000)
    assert not is_a_table("x" * 500_000)
    longest = written(13 ** (MOST - 4)).replace("-", "")
    spelled = " ".join(SPELLED[sign] for sign in longest)
    assert (len(longest), handed_in(f"{'x' * 40} {spelled}").code) == (MOST, spelled)


def test_a_table_is_told_from_lines_with_codes():
    assert is_a_table(as_csv([]))
    assert is_a_table("\ufeff" + as_csv([]))
    assert not is_a_table(f"robin {result_code(done())}\n")


def test_a_label_may_have_any_words_before_its_code():
    code = result_code(done())
    for label in ("robin", "", "table 4", "W", "the 0 and the 1"):
        handed = handed_in(f"{label} {code}".strip())
        assert (handed.learner, handed.code) == (label, code)
    assert handed_in(f"robin: {code.lower().replace('-', ' ')}").learner == "robin"


def test_a_line_without_a_right_code_says_what_is_wrong():
    code = result_code(done())
    with pytest.raises(WrongCode, match="no code at the end"):
        handed_in("robin has lost it")
    with pytest.raises(WrongCode, match="group"):
        handed_in(f"robin {code[:-1]}{'1' if code[-1] == '0' else '0'}")


def test_records_count_one_learners_misses_of_one_symptom():
    rows = [
        Earlier("robin", "by-hand", "valve-shut", False),
        Earlier("robin", "by-hand", "valve-shut", True),
        Earlier("robin", "by-hand", "fuse-blown", None),
        Earlier("kim", "by-hand", "fuse-blown", False),
        Earlier("robin", "other", "valve-shut", False),
    ]
    assert records(rows, "by-hand", "robin") == {"valve-shut": Record(2, 1)}
    assert records(rows, "by-hand") == {"valve-shut": Record(2, 1), "fuse-blown": Record(1, 1)}


def test_what_was_missed_comes_three_times_in_four_and_by_share_besides():
    model, earlier = stove(), {"fuse-blown": Record(2, 2), "valve-shut": Record(3, 0)}
    drawn = [model.ids[fault_by_misses(model, seed, earlier)] for seed in range(600)]
    expected = 0.75 + 0.25 * float(model.prior[model.index["fuse-blown"]])
    assert binomtest(drawn.count("fuse-blown"), 600, expected).pvalue > 0.001
    assert set(drawn) == set(model.ids)


def test_by_share_each_fault_comes_as_often_as_the_tree_says():
    model = stove()
    drawn = [fault_by_share(model, seed) for seed in range(600)]
    for at, share in enumerate(model.prior.tolist()):
        assert binomtest(drawn.count(at), 600, share).pvalue > 0.001


def test_levels_part_the_faults_by_how_hard_they_are():
    model = stove()
    scores = difficulty(model, route())
    told = {
        level: {fault_by_difficulty(model, route(), seed, level) for seed in range(60)}
        for level in ("easy", "middling", "hard")
    }
    assert set().union(*told.values()) == set(range(5))
    assert max(scores[list(told["easy"])]) <= min(scores[list(told["middling"])])
    assert max(scores[list(told["middling"])]) <= min(scores[list(told["hard"])])


def test_difficulty_is_minutes_once_more_for_as_often_as_one_is_misled():
    model = stove()
    assert difficulty(model, route()) == pytest.approx(
        cost_by_cause(route(), model) * (1 + misled(model, route()))
    )
    assert ((misled(model, route()) >= 0) & (misled(model, route()) <= 1)).all()
