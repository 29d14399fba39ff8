"""The code that the page's script writes is the code that the program writes, sign by sign."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache
from importlib.resources import files
from pathlib import Path

import pytest

from diagnose.cases.codes import spelled
from diagnose.cases.records import CaseRecord, Entry
from diagnose.drawing.offline.code_data import code_format, code_places
from diagnose.drawing.offline.tree_data import CHECK, check_data
from diagnose.knowledge.collection import Library
from diagnose.terms import CURED
from diagnose.walking.case_codes import code_of
from diagnose.walking.past import check_of, read_past
from diagnose.walking.returned import look_up
from tests.walking.small_trees import heater

pytestmark = pytest.mark.long

LIBRARY = Library()
DOCUMENT = Path(__file__).parents[3] / "docs" / "codes.md"
ENDS = ("referred", "stopped", "cured")
ORIGINS = ("3fa91c0d7e526b84", "0000c0d7e526b840", "ffff1c0d7e526b84")
CASES = (1, 7, 16, 17, 272, 273, 16656, 16657, 2**31 - 1)


@cache
def tree_of(id):
    return LIBRARY.tree(id)


@pytest.fixture(scope="module")
def scripts(browser):
    """The browser with the scripts loaded that a code needs."""
    folder = files("diagnose.drawing.offline") / "scripts"
    names = ("namespace", "past", "code")
    texts = [(folder / f"{name}.js").read_text(encoding="utf-8") for name in names]
    browser.get("about:blank")
    browser.execute_script("\n".join(texts) + "\nwindow.Diagnose = Diagnose;")
    return browser


def lines_at_random(tree, chance, opened):
    """A journal with answers, readings, *not sure*, trials of every kind, and some of it taken back."""
    lines = []
    known = [check_of(tree, id) for id in dict.fromkeys([*tree.checks, *tree.applies_to])]
    for check in chance.sample(known, chance.randint(0, len(known))):
        if chance.random() < 0.1:
            lines.append(("finding", check.id, "not-sure"))
        elif check.reading is not None:
            band = chance.choice(check.bands)
            lines.append(("finding", check.id, band.id, (band.low + band.high) / 2, 0.1))
        else:
            lines.append(("finding", check.id, chance.choice(check.answer_ids())))
    for causes in chance.sample(tree.cut_sets, min(3, len(tree.cut_sets))):
        became = chance.choice(("not-cured", "could-not", "cured"))
        lines.append(("tried", "+".join(causes), became))
        if became == CURED:
            lines.append(("cured-when", "+".join(causes), chance.choice(("yes", "no"))))
    chance.shuffle(lines)
    for _ in range(chance.randint(0, 3)):
        lines.append(("back", str(chance.randint(1, len(lines) + 1))))
        lines.append(chance.choice(lines))
    timed = enumerate(lines, 1)
    return [Entry(opened + timedelta(minutes=n), *line, number=n) for n, line in timed]


def record_at_random(tree, chance):
    opened = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=chance.randrange(9 * 365 * 24 * 60))
    case, state, role = chance.choice(CASES), chance.choice(ENDS), chance.choice(("owner", "technician"))
    entries = tuple(lines_at_random(tree, chance, opened))
    return CaseRecord(case, tree.id, tree.digest, role, state, opened, opened, entries=entries)


def walk_of(record, origin):
    """A case as the page keeps it."""
    journal = [
        {
            "kind": line.kind,
            "subject": line.subject,
            "answer": line.answer,
            "value": line.value,
            "uncertainty": line.uncertainty,
            "ahead": line.ahead,
            "time": line.time.isoformat(),
        }
        for line in record.entries
    ]
    about = {"state": record.state, "role": record.role, "opened": record.opened.isoformat()}
    return {**about, "case": record.case, "origin": origin, "journal": journal}


def tree_as_data(tree):
    """What reading a journal and writing a code need of a tree in the page."""
    hypotheses = ["+".join(causes) for causes in tree.cut_sets]
    return {
        "checks": {id: {"id": id} | CHECK | check_data(check) for id, check in tree.checks.items()},
        "facts": {id: {"id": id} | CHECK | check_data(fact) for id, fact in tree.facts.items()},
        "causes": {cause.id: {"was": cause.was} for cause in tree.causes()},
        "hypotheses": [{"id": id, "causes": id.split("+")} for id in hypotheses],
        "code": code_places(tree),
    }


def in_the_page(scripts, cases):
    """The codes that the script gives (tree, record, origin), and how it reads them out."""
    trees = {tree.id: tree_as_data(tree) for tree, _, _ in cases}
    walks = [[tree.id, walk_of(record, origin)] for tree, record, origin in cases]
    script = """
        const [format, trees, walks] = JSON.parse(arguments[0]);
        Diagnose.data = { code: format };
        return walks.map(([id, walk]) => {
          const code = Diagnose.code.written(format, trees[id], walk);
          return [code, Diagnose.code.spelled(code)];
        });
    """
    return scripts.execute_script(script, json.dumps([code_format(), trees, walks]))


def test_three_hundred_journals_of_all_trees_have_the_program_s_codes_and_can_be_looked_up(scripts):
    chance = random.Random(20261129)
    trees = [tree_of(id) for id in LIBRARY.ids()] * 12
    cases = [(tree, record_at_random(tree, chance), chance.choice(ORIGINS)) for tree in trees]
    assert len(cases) >= 300
    for (tree, record, origin), (code, said) in zip(cases, in_the_page(scripts, cases), strict=True):
        assert code == code_of(record, tree, origin) != ""
        assert said == list(spelled(code))
        back = look_up(code, None, LIBRARY)
        past = read_past(tree, record.entries)
        assert back.tree.id == tree.id
        assert back.code.fits(record)
        assert (back.code.case, back.code.state, back.code.role) == (record.case, record.state, record.role)
        assert back.code.origin == origin[:4]
        assert back.held is not None
        assert dict(back.held.findings) == {id: each.answer for id, each in past.findings.items()}
        # What is never tried by anybody here has no place: a referral, or another tree.
        doable = {id for id, _, _ in code_places(tree)["tried"]}
        assert dict(back.held.tried) == {id: how for id, how in past.tried.items() if id in doable}


def test_the_worked_example_of_the_document(scripts, tmp_path):
    text = DOCUMENT.read_text(encoding="utf-8")
    (tmp_path / "lamp-dark.yaml").write_text(text.split("```yaml\n")[1].split("```")[0], encoding="utf-8")
    tree = Library([tmp_path]).tree("lamp-dark")
    opened = datetime(2026, 5, 3, tzinfo=UTC)
    entries = (
        Entry(opened, "finding", "other-lamps", "burn", number=1),
        Entry(opened, "tried", "bulb-gone", "not-cured", number=2),
    )
    record = CaseRecord(7, tree.id, tree.digest, "owner", "referred", opened, opened, entries=entries)
    [(code, said)] = in_the_page(scripts, [(tree, record, "3fa91c0d7e526b84")])
    assert code == "057R-R84R-R336-8R87-65M8"
    assert said[:2] == ["zero five seven Romeo", "Romeo eight four Romeo"]


def test_a_walk_that_goes_on_or_of_which_too_much_was_found_has_no_code(scripts):
    tree, opened = heater(), datetime(2026, 3, 2, tzinfo=UTC)
    many = {f"check-{n}": replace(tree.checks["volts"], id=f"check-{n}") for n in range(400)}
    huge = replace(tree, checks=tree.checks | many)
    lines = tuple(Entry(opened, "finding", id, "low", number=at) for at, id in enumerate(many, 1))
    open_one = CaseRecord(1, tree.id, "", "owner", "open", opened, opened)
    full = replace(open_one, state="referred", entries=lines)
    few = replace(full, entries=lines[-1:])
    origin = ORIGINS[0]
    got = in_the_page(scripts, [(huge, open_one, origin), (huge, full, origin), (huge, few, origin)])
    assert [code for code, _ in got] == ["", "", code_of(few, huge, origin)]
    assert got[2][0] != ""


def test_a_store_s_name_is_made_once_and_each_walk_has_one_number(scripts):
    made = scripts.execute_script(
        """
        const kept = new Map();
        const [getItem, setItem] = [key => kept.get(key) ?? null, (key, value) => kept.set(key, value)];
        const storage = { getItem, setItem };
        const refuse = () => { throw new Error("refused"); };
        const refusing = { getItem: refuse, setItem: refuse };
        const store = Diagnose.code.store;
        const [one, other] = [store(storage), store(storage)];
        const numbers = [one.caseOf("a"), other.caseOf("b"), one.caseOf("b"), store(storage).caseOf("c")];
        numbers.push(other.caseOf("a"));
        const names = [one, other, store(storage)].map(each => each.name);
        const lost = [refusing, null].map(each => store(each));
        const counted = lost.map(each => [each.caseOf("a"), each.caseOf("b"), each.caseOf("a")]);
        for (const key of kept.keys()) kept.set(key, '{"name": "<b>", "cases": -3}');
        const anew = store(storage);
        return [numbers, names, lost.map(each => each.name), counted, anew.name, anew.caseOf("z")];
        """
    )
    numbers, names, lost, counted, anew, first = made
    assert numbers == [1, 2, 2, 3, 1]
    assert len(set(names)) == 1
    assert counted == [[1, 2, 1], [1, 2, 1]]
    assert first == 1
    every = {names[0], *lost, anew}
    assert len(every) == 4
    assert all(len(name) == 16 and int(name, 16) >= 0 for name in every)
