"""Rounds reckoned twice: by the room of rounds, and by the page's scripts in a browser.

The marks are made at random, taken back and marked anew among them; what the room says of each is what the
page must say, word for word. Where they may differ is said here: the page has walks and no cases, and it
never shows a task before something that is still to be done (the room holds back less where something is
wrong).
"""

from __future__ import annotations

import json
import random
import re
from dataclasses import replace
from datetime import date, timedelta

import pytest

from diagnose.cases.rounds_records import RoundLine
from diagnose.drawing.offline.data import Page
from diagnose.drawing.offline.page import offline_page
from diagnose.knowledge.card import VehicleCard
from diagnose.knowledge.card_fields import DATES
from diagnose.rounds.book import LooseBook
from diagnose.rounds.past import held_back, holding_ends, past_of
from diagnose.rounds.presence import tasks_there, to_ask
from diagnose.rounds.sitting import Sitting
from diagnose.rounds.verdict import judged
from diagnose.rounds.verdict_statements import told
from diagnose.terms import Finding
from diagnose.terms.rounds import ROUNDS, TASK_ENDS, TaskMark
from tests.drawing.offline.phone import MADE
from tests.trees.shipped import COMMON, LIBRARY
from tests.walking.small_trees import HandClock

pytestmark = pytest.mark.long

SHIPPED = LIBRARY.rounds()
NOW = HandClock().now
CARD = VehicleCard(
    "van.yaml",
    "van",
    facts=(Finding("build", "campervan"), Finding("use", "hired"), Finding("fridge-sources", "compressor")),
    dates={
        "gas-hose": date(2022, 1, 31),
        "tyres": date(2017, 2, 28),
        "alarm": date(2027, 3, 31),
        "extinguisher": date(2026, 11, 29),
        "gas-check": date(2026, 2, 1),
        "licence": date(2026, 12, 31),
        "road-test": date(2027, 1, 15),
        "water-filter": date(2026, 4, 1),
        "leisure-battery": date(2019, 8, 1),
    },
)
RECKONED = """
const [given, done] = [JSON.parse(arguments[0]), arguments[arguments.length - 1]];
const { roundsReading: R, roundsVerdict: V } = Diagnose;
const words = ({ headline, parts, closing }) => [headline, ...parts, ...closing];
done(JSON.stringify(given.map(each => {
  const of = R.round(each.round);
  const read = R.past(of, each.lines, Diagnose.data.rounds.facts);
  const there = R.there(of, read.facts);
  const verdict = V.judged(of, each.marks, read.facts, new Set(each.settled), each.stopped, each.today);
  const state = R.state(of, read, new Set(), 0);
  return {
    marks: [...read.marks.values()].map(({ task, end }) => [task, end]), facts: read.facts,
    dropped: read.dropped, stopped: read.stoppedBy, there,
    ask: there.map(id => R.toAsk(of.byId[id], read.facts)?.id ?? null),
    held: Object.fromEntries(R.heldBack(of, there, read.marks)), open: state.open,
    waits: [...state.waits.keys()],
    verdict: verdict.verdict, reasons: verdict.reasons.map(({ about, why, counts }) => [about, why, counts]),
    mustNotUse: verdict.mustNotUse, told: words(V.told(of, verdict, each.today)),
    dangers: R.dangerReferrals(of.byId[each.at]), cautions: R.cautions(of.byId[each.at]).map(({ id }) => id),
  };
})));
"""


def lines_at_random(chance, round):
    """Marks, facts, what is taken back, danger and clearances, as a round may have them."""
    facts = sorted({fact for task in round.tasks.values() for fact in task.applies_to})
    lines = []
    for number in range(1, chance.randint(1, 40)):
        time = NOW + timedelta(minutes=number)
        kind = chance.choices(["mark", "fact", "back", "danger", "cleared"], [60, 8, 8, 1, 2])[0]
        if kind == "mark":
            task = chance.choice([*round.tasks, "gone-by-now"])
            lines.append(RoundLine(time, kind, task, chance.choice(TASK_ENDS), number=number))
        elif kind == "fact" and facts:
            fact = chance.choice(facts)
            answer = chance.choice([*COMMON.facts[fact].answer_ids(), "not-sure"])
            lines.append(RoundLine(time, kind, fact, answer, number=number))
        elif kind == "danger":
            lines.append(RoundLine(time, kind, chance.choice(list(round.tasks)), "gas-escape", number=number))
        elif kind == "cleared":
            lines.append(RoundLine(time, kind, "", chance.choice(["yes", "no"]), number=number))
        else:
            lines.append(RoundLine(time, "back", str(chance.randint(1, number)), number=number))
    return lines


def case_at_random(seed, card):
    """A round, its lines, and marks of which some opened a case that may have ended well."""
    chance = random.Random(seed)
    round = SHIPPED[chance.choice(ROUNDS)]
    lines = lines_at_random(chance, round)
    weights = chance.choice([[8, 2, 1, 2], [60, 1, 0, 0]])
    marks = [
        TaskMark(
            chance.choice([*round.tasks, "gone-by-now"]) if chance.random() < weights[1] / 5 else id,
            end,
            NOW + timedelta(minutes=at),
            case=at if end == "wrong" and chance.random() < 0.6 else None,
        )
        for at, id in enumerate(round.tasks, 1)
        for end in chance.choices(TASK_ENDS, weights)
        if chance.random() < 0.95 + weights[0] / 1000
    ]
    marks = [replace(mark, of_date=mark.end == "wrong" and mark.case is None) for mark in marks]
    settled = [mark.case for mark in marks if mark.case and chance.random() < 0.5]
    today = date(2026, 1, 1) + timedelta(days=chance.randint(0, 1500))
    return round, lines, marks, settled, chance.random() < 0.1, today, chance.choice(list(round.tasks)), card


def for_the_page(round, lines, marks, settled, stopped, today, at, _):
    return {
        "round": round.id,
        "lines": [
            {
                "time": each.time.isoformat(),
                "noted": each.noted,
                "subject": each.subject,
                "answer": each.answer,
            }
            for each in lines
        ],
        "marks": [
            {
                "task": each.task,
                "end": each.end,
                "walk": str(each.case) if each.case else None,
                "ofDate": each.of_date,
                "time": each.time.isoformat(),
            }
            for each in marks
        ],
        "settled": [str(each) for each in settled],
        "stopped": stopped,
        "today": today.isoformat(),
        "at": at,
    }


def in_the_room(round, lines, marks, settled, stopped, today, at, card):
    carded = card.facts if card else ()
    past = past_of(round, lines, carded)
    there = tasks_there(round, past.facts)
    verdict = judged(round, marks, card, today, facts=past.facts, settled=settled, stopped=stopped)
    words = told(verdict)
    sitting = Sitting(round, COMMON, LooseBook(), HandClock())
    return {
        "marks": [[mark.task, mark.end] for mark in past.marks.values()],
        "facts": dict(past.facts),
        "dropped": list(past.dropped),
        "stopped": past.stopped_by,
        "there": list(there),
        "ask": [to_ask(task, past.facts, COMMON.facts) for task in there.values()],
        "held": {id: list(why) for id, why in held_back(round, there, past.marks).items()},
        "verdict": verdict.verdict,
        "reasons": [[each.about, each.why, each.counts] for each in verdict.reasons],
        "mustNotUse": list(verdict.must_not_use),
        "told": [
            words.headline,
            *([heading, [of_walks(line) for line in lines]] for heading, lines in words.parts()),
            *words.closing,
        ],
        "dangers": list(sitting.danger_referrals(at)),
        "cautions": [caution.id for caution in sitting.cautions_of(round.tasks[at])],
    }


def of_walks(line):
    """A sentence of the program about a case, as the page says it of a walk."""
    line = re.sub(r"( \(case \d+\))?\.$", ".", line)
    line = re.sub(r"case \d+ that it opened", "the walk that it opened", line)
    return re.sub(r"case \d+ came to", "its walk came to", line)


@pytest.mark.parametrize("card", [None, CARD])
def test_150_sets_of_marks_come_to_what_the_program_says_of_them(browser, tmp_path, card):
    file = tmp_path / "page.html"
    file.write_text(offline_page(Page(COMMON, (), MADE, card=card, rounds=SHIPPED)), encoding="utf-8")
    browser.get(file.as_uri())
    cases = [case_at_random(seed, card) for seed in range(150)]
    browser.set_script_timeout(30)
    sent = json.dumps([for_the_page(*each) for each in cases])
    page = json.loads(browser.execute_async_script(RECKONED, sent))
    seen = set()
    for case, found in zip(cases, page, strict=True):
        room = in_the_room(*case)
        for key, expected in room.items():
            assert found[key] == expected, (case[0].id, key)
        assert set(found["held"]) <= set(found["waits"])
        round, marked = case[0], dict(found["marks"])
        for id in found["open"]:
            before = {each for each in round.after.get(id, ()) if each in found["there"]}
            assert all(each in marked or each in found["held"] for each in before), id
            task = round.tasks[id]
            assert not any(marked.get(each) in holding_ends(round.tasks[each], task) for each in before), id
        seen |= {why for _, why, _ in found["reasons"]} | {found["verdict"]}
    # Danger, wrong, cases open and closed, and the rest of `verdict.Why` all came up.
    assert {"danger", "wrong", "case-open", "case-closed", "not-done", "no-alarm", "unchecked"} <= seen
    assert {"gone", "limited", "not-ready"} <= seen
    assert ("over" in seen) == ("renewed" in seen) == (card is not None)


def test_nothing_is_ready_before_everything_was_looked_at_and_both_checks_are_on_the_card(browser, tmp_path):
    for dates, verdict in (
        ({"gas-check": date(2026, 6, 1), "mains-check": date(2026, 6, 1)}, "ready"),
        ({"gas-check": date(2026, 6, 1)}, "limited"),
        ({}, "limited"),
    ):
        card = VehicleCard(
            "van.yaml", dates={**dates, **{id: date(2026, 6, 1) for id in ("gas-hose", "tyres")}}
        )
        assert set(card.dates) <= set(DATES)
        file = tmp_path / "page.html"
        file.write_text(offline_page(Page(COMMON, (), MADE, card=card, rounds=SHIPPED)), encoding="utf-8")
        browser.get(file.as_uri())
        found = browser.execute_script(
            "const of = Diagnose.roundsReading.round('wake-up');"
            "const { judged } = Diagnose.roundsVerdict;"
            "const judge = marks => judged(of, marks, {}, new Set(), false, '2026-11-29').verdict;"
            "const fine = of.tasks.map(task => ({ task, end: 'fine', walk: null }));"
            "return [judge(fine), judge(fine.slice(1))]"
        )
        assert found == [verdict, "limited"]
