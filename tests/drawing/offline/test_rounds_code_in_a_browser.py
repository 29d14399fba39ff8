"""The code that the page's script writes of a round is the program's, sign by sign, and is read again."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from importlib.resources import files

import pytest

from diagnose.cases.rounds_records import RoundLine
from diagnose.drawing.offline.code_data import code_format
from diagnose.drawing.offline.rounds_code_data import round_code_format, round_code_places
from diagnose.rounds.again import NOTHING_ELSE
from diagnose.rounds.brought import facts_of
from diagnose.rounds.code_parts import read_head
from diagnose.rounds.past import past_of
from diagnose.rounds.phone_code import DayMark, PhoneRound, Stop, phone_code, read_phone, texts_tag
from diagnose.rounds.presence import is_never_missing
from diagnose.terms.rounds import ROUNDS, TASK_ENDS
from tests.trees.shipped import COMMON, LIBRARY

pytestmark = pytest.mark.long

SHIPPED = LIBRARY.rounds()
STOPS = ("gas-escape", "mains-danger", "recovery", "workshop", "gas-engineer")
WRITTEN = """
const [format, codes, given] = JSON.parse(arguments[0]);
Diagnose.data = { code: format, rounds: { ends: codes[""].ends.slice(0, -1) } };
return given.map(({ of, kept, stop, origin }) => {
  const task = id => ({ id, was: [], neverMissing: of.never.includes(id) });
  of.byId = Object.fromEntries(of.tasks.map(id => [id, task(id)]));
  const read = Diagnose.roundsReading.past(of, kept.lines, { build: "caravan" });
  return Diagnose.roundsCode.written(codes[kept.vehicle], of, kept, read, stop, origin);
});
"""


@pytest.fixture(scope="module")
def scripts(browser):
    """The browser with the scripts loaded that a round's code needs."""
    folder = files("diagnose.drawing.offline") / "scripts"
    names = ("namespace", "past", "code", "rounds_reading", "rounds_code")
    texts = [(folder / f"{name}.js").read_text(encoding="utf-8") for name in names]
    browser.get("about:blank")
    browser.execute_script("\n".join(texts) + "\nwindow.Diagnose = Diagnose;")
    return browser


def lines_at_random(chance, round, began):
    """Marks over minutes or months, facts, what is taken back, danger and clearances."""
    lines, time = [], began
    step = chance.choice([90, 20_000, 4_000_000])
    for number in range(1, chance.randint(1, 45)):
        time += timedelta(seconds=chance.randint(0, step))
        kind = chance.choices(["mark", "fact", "back", "danger", "cleared"], [60, 9, 6, 1, 2])[0]
        asked = facts_of(round, COMMON.facts)
        if kind == "mark":
            task, end = chance.choice(list(round.tasks)), chance.choice(TASK_ENDS)
            note = NOTHING_ELSE if end == "wrong" and chance.random() < 0.3 else ""
            lines.append(RoundLine(time, kind, task, end, note=note, number=number))
        elif kind == "fact" and asked:
            fact = chance.choice(list(asked))
            answer = chance.choice([*asked[fact].answer_ids(), "not-sure"])
            lines.append(RoundLine(time, kind, fact, answer, number=number))
        elif kind == "danger":
            lines.append(RoundLine(time, kind, "", chance.choice(STOPS), number=number))
        elif kind == "cleared":
            lines.append(RoundLine(time, kind, "", chance.choice(["yes", "no"]), number=number))
        else:
            lines.append(RoundLine(time, "back", str(chance.randint(1, number)), number=number))
    return lines


def minute(time):
    return time.replace(second=0, microsecond=0)


def as_told(round, began, lines, stop, origin):
    """What the program makes of a round's lines for its code."""
    past = past_of(round, lines)
    dangers = [Stop(line.answer, minute(line.time)) for line in past.lines if line.noted == "danger"]
    return PhoneRound(
        origin,
        minute(began),
        max([minute(began), *(minute(line.time) for line in lines)]),
        dangers[-1] if dangers else stop,
        texts_tag(round),
        past.facts,
        {id: DayMark(mark.end, mark.time.date(), mark.of_date) for id, mark in past.marks.items()},
    )


def round_at_random(seed):
    chance = random.Random(seed)
    round = SHIPPED[chance.choice(ROUNDS)]
    began = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(seconds=chance.randrange(9 * 365 * 86400))
    lines = lines_at_random(chance, round, began)
    stop = Stop("co-suspected", minute(began + timedelta(hours=1))) if chance.random() < 0.1 else None
    return round, began, lines, stop, f"{chance.randrange(16**4):04x}", chance.choice(["", "Van 7"])


def as_json(time):
    return time.isoformat().replace("+00:00", "Z")


def test_the_page_and_the_program_write_the_same_code_and_all_of_it_is_read_again(scripts):
    given = [round_at_random(seed) for seed in range(400)]
    sent = [
        {
            "of": {
                "id": round.id,
                "tasks": list(round.tasks),
                "never": [id for id, task in round.tasks.items() if is_never_missing(task)],
                "code": round_code_places(round, COMMON),
            },
            "kept": {
                "vehicle": vehicle,
                "opened": as_json(began),
                "lines": [
                    {
                        "time": as_json(line.time),
                        "noted": line.noted,
                        "subject": line.subject,
                        "answer": line.answer,
                        "ofDate": line.note == NOTHING_ELSE,
                    }
                    for line in lines
                ],
            },
            "stop": {"referral": stop.referral, "time": as_json(stop.time)} if stop else None,
            "origin": f"{origin}1c0d7e526b84",
        }
        for round, began, lines, stop, origin, vehicle in given
    ]
    formats = {vehicle: round_code_format(vehicle) for vehicle in ("", "Van 7")}
    codes = scripts.execute_script(WRITTEN, json.dumps([code_format(), formats, sent]))
    for code, (round, began, lines, stop, origin, vehicle) in zip(codes, given, strict=True):
        told = as_told(round, began, lines, stop, origin)
        if not code:
            with pytest.raises(ValueError, match="more than any code holds"):
                phone_code(told, round, COMMON.facts, vehicle)
            continue
        assert code == phone_code(told, round, COMMON.facts, vehicle)
        head = read_head(code)
        head.of_vehicle(vehicle)
        known = told.stop
        if known is not None and known.referral == "gas-engineer":
            known = replace(known, referral="workshop")
        later = told.changed + timedelta(days=3)
        assert read_phone(head, round, COMMON.facts, later) == replace(told, stop=known)
    assert 350 < len({code for code in codes if code}) < len(codes)
