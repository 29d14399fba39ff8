"""What the page reckons, beside reference libraries and the reasoning room."""

from __future__ import annotations

import json
import math
import random

import numpy as np
import pytest
from scipy.special import log_ndtr

from diagnose.reasoning.allowing import allowed_steps, steps_under
from diagnose.reasoning.closing import ending_costs
from diagnose.reasoning.fitting import doubts
from diagnose.reasoning.model import REFERRING_HAZARDS
from diagnose.reasoning.ranking import drawn_shares, posterior
from diagnose.reasoning.states import state_of, stop_in
from diagnose.reasoning.why import why
from diagnose.terms import Finding, Reading, Situation, Step
from diagnose.walking.readings import BadReading, band_of, parse_reading
from diagnose.walking.views import Question, RemedyOffered
from tests.drawing.offline.phone import TakenTwice
from tests.trees.shipped import model_of, tree_of

pytestmark = pytest.mark.long

SOME = ("engine-no-crank", "gas-gone", "leak-inside", "leisure-battery-weak")
DANGEROUS = ("absorption-fridge", "hob-goes-out", "hook-up-trips", "mouse-signs", "wet-heating-cold")


@pytest.fixture(scope="module")
def ask(browser, whole_page):
    """`ask(script, *given)`: what a script on the page returns."""
    browser.get(whole_page.as_uri())

    def run(script, *given):
        return json.loads(browser.execute_script(f"return JSON.stringify((() => {{{script}}})());", *given))

    return run


def situations(id, number=12, seed=3, left=None):
    """Findings at random, readings among them, and a remedy that did not cure.

    With `left` all checks but so many at most were asked, else six at most.
    """
    chance, tree = random.Random(seed), tree_of(id)
    for _ in range(number):
        found = {}
        every = list(tree.checks.values())
        asked = chance.randint(1, 6) if left is None else len(every) - chance.randint(0, left)
        for check in chance.sample(every, asked):
            answer, value, doubt = chance.choice([*check.answer_ids(), "not-sure"]), None, None
            if check.reading is not None and chance.random() < 0.7:
                value = round(chance.uniform(check.reading.low, check.reading.high), 2)
                answer, doubt = band_of(check, value), chance.choice([0.01, check.reading.uncertainty, 3.0])
            found[check.id] = Finding(check.id, answer, value, doubt)
        tried = {"+".join(chance.choice(tree.cut_sets)): "not-cured"} if chance.random() < 0.5 else {}
        yield Situation(found, tried)


def as_told(situation):
    found = {
        id: {"answer": each.answer, "value": each.value, "uncertainty": each.uncertainty}
        for id, each in situation.findings.items()
    }
    return {"findings": found, "tried": dict(situation.tried)}


def test_the_tail_of_the_normal_distribution_is_the_c_library_s_and_scipy_s(ask):
    # erfc: the C library's, by Python's math module; ln Phi: scipy.special.log_ndtr.
    points = [n / 64 for n in range(-400, 1680)]
    for x, got in zip(points, ask("return arguments[0].map(Diagnose.numbers.erfc)", points), strict=True):
        assert math.isclose(got, math.erfc(x), rel_tol=1e-13), x
    points = [n / 16 for n in range(-1600, 160)]
    logs = ask("return arguments[0].map(Diagnose.numbers.logNormalCdf)", points)
    for z, got in zip(points, logs, strict=True):
        assert math.isclose(got, float(log_ndtr(z)), rel_tol=2e-13, abs_tol=1e-16), z


@pytest.mark.parametrize("id", SOME)
def test_shares_of_any_findings_are_the_room_s(ask, id):
    known = list(situations(id, 40))
    script = """
      const tree = Diagnose.tree(arguments[0]);
      return JSON.parse(arguments[1]).map(each => Diagnose.evidence.posterior(tree, each));
    """
    got = ask(script, id, json.dumps([as_told(each) for each in known]))
    for situation, shares in zip(known, got, strict=True):
        np.testing.assert_allclose(shares, posterior(model_of(id), situation), rtol=0, atol=1e-9)


def test_the_rules_bar_just_what_the_room_bars(ask):
    script = """
      return JSON.parse(arguments[0]).map(([id, situation, used]) => {
        const tree = Diagnose.tree(id);
        const shares = Diagnose.evidence.posterior(tree, situation);
        const steps = tree.steps.filter(each => ['check', 'remedy', 'handover'].includes(each.kind));
        return steps.map(each => {
          const kept = Diagnose.rules.kept(tree, each, shares, situation, used);
          return [each.kind, each.of, kept.barred, kept.step.of];
        });
      });
    """
    known = list(safe_situations())
    given = [
        [id, as_told(each), {"starts": int(state.starts[0]), "restored": bool(state.restored[0])}]
        for id, each, state in known
    ]
    barred, referred = 0, 0
    for (id, situation, state), steps in zip(known, ask(script, json.dumps(given)), strict=True):
        model = model_of(id)
        may = allowed_steps(model, situation, int(state.starts[0]))
        least = ending_costs(model, state)[0, : model.referrals].argmin()
        for kind, of, is_barred, instead in steps:
            if of not in situation.findings and of not in situation.tried:
                assert is_barred == (Step(kind, of) not in may), (id, of)
                assert instead == (model.endings[int(least)].step.of if is_barred else of)
                barred += is_barred
                check = tree_of(id).checks.get(of)
                quiet = check is not None and not check.starts and not check.restores_mains
                referred += is_barred and quiet
    assert barred > 100
    assert referred > 30  # what rule 6 does not bar was barred by rule 3


def safe_situations():
    """(tree, situation, state) with every danger question answered and nothing that stops."""
    for id in DANGEROUS:
        model, tree = model_of(id), tree_of(id)
        first = {each: Finding(each, tree.checks[each].answer_ids()[0]) for each in tree.ask_first}
        made = [*situations(id, 40, 8), *situations(id, 40, 9, left=3), *cornered(id)]
        for n, known in enumerate(made):
            situation = Situation({**known.findings, **first}, known.tried)
            if stop_in(model, situation) is None:
                yield id, situation, state_of(model, situation, n % 4)


def cornered(id):
    """A cause under gas or mains is likely, their checks and remedies are all behind, others are not."""
    model = model_of(id)
    for hazard, under in zip(REFERRING_HAZARDS, model.mains_and_gas, strict=True):
        checks, remedies = steps_under(model, hazard)
        tried = {
            model.hypotheses[table.hypothesis].id: "not-cured"
            for table, theirs in zip(model.remedies, remedies, strict=True)
            if theirs
        }
        for at in np.flatnonzero(under):
            found = {
                table.check.id: Finding(
                    table.check.id, table.check.answer_ids()[int(table.rows[at].argmax())]
                )
                for table, theirs in zip(model.checks, checks, strict=True)
                if theirs
            }
            yield Situation(found, {id: how for id, how in tried.items() if id != model.ids[at]})
            yield Situation(found, tried)


def test_intervals_are_those_of_the_room_within_sampling_error(ask):
    # By the fraction of the room's own draws under each end: 4,000 on both sides, so the difference of
    # two fractions has the standard error sqrt(2 * 0.05 * 0.95 / 4000); four and a half of those are allowed.
    within = 4.5 * math.sqrt(2 * 0.05 * 0.95 / 4000)
    script = """
      const tree = Diagnose.tree(arguments[0]);
      return JSON.parse(arguments[1]).map(each => Diagnose.intervals.intervals(tree, each));
    """
    for id in SOME[:2]:
        known = [Situation(), *situations(id, 3)]
        got = ask(script, id, json.dumps([as_told(each) for each in known]))
        for situation, ends in zip(known, got, strict=True):
            draws = drawn_shares(model_of(id), situation)
            for at, cause in enumerate(model_of(id).ids):
                if situation.tried.get(cause) == "not-cured" and draws[:, at].max() == 0:
                    assert ends[cause] == [0, 0]
                    continue
                low, high = ((draws[:, at] < end).mean() for end in ends[cause])
                assert abs(low - 0.05) < within, (id, cause)
                assert abs(high - 0.95) < within, (id, cause)


def test_doubts_are_those_of_the_room(ask):
    script = """
      const tree = Diagnose.tree(arguments[0]);
      return JSON.parse(arguments[1]).map(each =>
        [Diagnose.doubts.pairs(tree, each), Diagnose.doubts.surprising(tree, each)]);
    """
    said = 0
    for id in SOME:
        known = list(situations(id, 30, seed=5))
        got = ask(script, id, json.dumps([as_told(each) for each in known]))
        for situation, (pairs, surprising) in zip(known, got, strict=True):
            room = doubts(model_of(id), situation)
            told = {frozenset(each["checks"]): each for each in pairs}
            assert set(told) == {frozenset((each.first, each.second)) for each in room.pairs}
            for pair in room.pairs:
                page = told[frozenset((pair.first, pair.second))]
                assert page["explainedBy"] == pair.explained_by
                assert page["bits"] == pytest.approx(pair.bits)
            assert surprising == room.surprising
            said += len(room.pairs) + room.surprising
    assert said > 10


def test_why_tells_apart_the_same_causes_and_leads_to_the_same_steps(ask):
    chance, compared = random.Random(11), 0
    script = """
      const [id, begun, operations] = JSON.parse(arguments[0]);
      const tree = Diagnose.tree(id);
      const setting = Diagnose.engine.setting(Diagnose.data, tree, [], begun);
      let journal = Diagnose.engine.begin(tree, begun, setting);
      for (const [now, name, ...given] of operations) {
        journal = Diagnose.engine[name](tree, journal, ...given, now, setting);
      }
      return Diagnose.engine.why(tree, journal, begun, setting);
    """
    for id in SOME:
        for most in range(4, 16):
            one = TakenTwice(id, chance).to_the_end(most)
            view = one.walk.view()
            reckoned = isinstance(view, RemedyOffered) or (
                isinstance(view, Question) and not view.ask_first and not view.fact
            )
            if not reckoned or len(one.done) < most:
                continue
            begun = one.done[0][0] - 10_000
            page = ask(script, json.dumps([id, begun, one.done]))
            room = one.walk.why()
            says = {each.cause: each.says for each in view.ranking}
            if isinstance(view, Question):
                known = why(model_of(id), one.walk.situation, one.walk._scene.step)
                assert sorted(page["separates"]) == sorted(says[each] for each in known.separates)
            assert page["sure"]["share"] == pytest.approx(view.ranking[0].share, abs=1e-9)
            told = [
                (lead["answers"], lead["step"]["kind"], lead["step"]["of"], lead["says"])
                for lead in page["leads"]
            ]
            assert told == [(list(e.answers), e.step.kind, e.step.of, e.says) for e in room.leads]
            compared += 1
    assert compared > 10


TYPED = (
    "12,4", "12.4 V", " 12400 mV", "-3 °C", "−3", "1,234", "1.234", "0,5 bar", "7 psi", "7psi", "30 mbar",
    "12.4.1", "", "abc", "12 A", "12 kV", "999999", "1e3", ".5", ",5", "5.", "12 volts", "12 V olts", "3 h",
    "90 min", "12,4 V\u202e", "x" * 60, "12 " + "y" * 60, "+4", "4 °c", "5 L", "0.3 m", "30 cm", "1 inch",
)  # fmt: skip
READINGS = (
    Reading("V", 0, 16, 0.15),
    Reading("bar", 0, 10, 0.1),
    Reading("°C", -40, 60, 1),
    Reading("mm", 0, 400, 1),
    Reading("minutes", 0, 600, 1),
    Reading("mbar", 0, 100, 1),
    Reading("l", 0, 20, 1),
    Reading("%", 0, 100, 2),
)


def test_what_is_typed_is_read_or_refused_as_at_the_prompt(ask):
    script = """
      return JSON.parse(arguments[0]).map(([text, reading]) => {
        try {
          return Diagnose.engine.parseReading({ reading }, text);
        } catch (error) {
          return `${error instanceof Diagnose.BadReading}: ${error.message}`;
        }
      });
    """
    every = [(text, reading) for text in TYPED for reading in READINGS]
    given = [
        [text, {"unit": r.unit, "low": r.low, "high": r.high, "uncertainty": r.uncertainty}]
        for text, r in every
    ]
    for (text, reading), got in zip(every, ask(script, json.dumps(given)), strict=True):
        try:
            expected = parse_reading(text, reading)
        except BadReading as refusal:
            expected = f"true: {refusal}"
        assert got == (pytest.approx(expected, rel=1e-14) if isinstance(expected, float) else expected), text
