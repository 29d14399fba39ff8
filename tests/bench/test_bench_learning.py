"""A ranking costs the same after a thousand and after a million confirmed cases.

Judged as a ratio of two times taken in turns on the same machine, at most 1.10.
"""

from __future__ import annotations

from statistics import median

from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import ranking
from diagnose.terms import Finding, Situation, Tally
from tests.reasoning.fleets import file_model, tree

MOST_APART = 1.10
ROUNDS = 41


def of_so_many(number):
    """A tally of so many cases over all causes and answers, as whole numbers."""
    file = file_model()
    causes = {id: float(round(number * share)) for id, share in zip(file.ids, file.prior, strict=True)}
    answers = {
        (id, check, answer): float(round(causes[id] * rows[at, column]))
        for check, rows in file.rows.items()
        for at, id in enumerate(file.ids)
        for column, answer in enumerate(file.tree.checks[check].answer_ids())
    }
    return Tally(causes, answers)


def test_bench_ranking_after_a_thousand_and_a_million_cases(benchmark, capsys):
    of_file, findings = tree(), Situation(findings={"hum": Finding("hum", "no")})
    few, many = of_so_many(1_000), of_so_many(1_000_000)
    timer = benchmark._timer

    def rank(tally):
        start = timer()
        ranking(build_model(of_file, tally=tally), findings)
        return timer() - start

    def in_turns():
        return [(rank(few), rank(many)) for _ in range(ROUNDS)]

    pairs = benchmark.pedantic(in_turns, rounds=1, iterations=1, warmup_rounds=1)
    small, large = median(a for a, _ in pairs), median(b for _, b in pairs)
    with capsys.disabled():
        print(
            f"\nmodel and ranking: {small * 1000:.1f} ms of 1,000 cases, {large * 1000:.1f} ms of 1,000,000"
        )
    assert large / small <= MOST_APART
