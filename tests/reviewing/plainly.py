"""What `diagnose.reviewing` says of a past, the long way: a model for each case, sums by plain loops."""

from __future__ import annotations

from collections import Counter, defaultdict

from diagnose.cases.journal import counted_answers
from diagnose.cases.sums import OVER, weight
from diagnose.reasoning.model import build_model
from diagnose.reasoning.ranking import posterior
from diagnose.terms import EndedCases, Settings, Tally
from diagnose.walking.past import read_past

EVERYBODY = {"cured": 1.0, "referred": 1.0, "stopped": 1.0}
"""Of what share of each ending the outcome is told, where everybody tells."""


def in_order(past):
    """The confirmed cases as they became known."""
    told = [each for each in past if each.on is not None]
    return sorted(told, key=lambda each: (each.on, each.record.opened, each.record.case))


def tally_before(past, case, settings=Settings()):  # noqa: B008
    """The sums as a store would have had them just before a case was confirmed, the case itself left out."""
    before = in_order(past)[: in_order(past).index(case)]
    causes, answers = defaultdict(Counter), defaultdict(Counter)
    ended, confirmed = Counter(), Counter()
    for each in before:
        record = each.record
        count = weight(record.opened.year, case.on, settings.half_life)
        causes[record.state][record.cause] += count
        confirmed[record.state] += count
        for check, answer in counted_answers(record.entries).items():
            answers[record.state][record.cause, check, answer] += count
    ended.update(confirmed)
    for each in past:
        record = each.record
        if each not in before and each is not case and record.state in OVER and record.opened < case.on:
            ended[record.state] += weight(record.opened.year, case.on, settings.half_life)
    endings = {
        ending: EndedCases(ended[ending], confirmed[ending], causes[ending], answers[ending])
        for ending in {*ended, *confirmed}
    }
    return Tally(sum(causes.values(), Counter()), sum(answers.values(), Counter()), endings)


def shares_of(tree, past, case, settings=Settings()):  # noqa: B008
    """What a model made anew for this case says of it."""
    model = build_model(tree, "owner", settings, tally_before(past, case, settings))
    return posterior(model, read_past(tree, case.record.entries).situation)
