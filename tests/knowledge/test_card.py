"""A vehicle's card: what it holds, and every flaw of it with its place and the nearest right word."""

from __future__ import annotations

import json
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.card import Axle, VehicleCard, load_card, read_card
from diagnose.knowledge.card_fields import CARD_TABLES, DATES, INSTRUMENTS
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.collection import Library
from diagnose.terms import Finding, FlawedKnowledge

TODAY = date(2026, 3, 1)
WORDS = CardWords(Library())

WHOLE = """\
# a card
label: the blue van
country: uk
facts: {build: campervan, heater-fuel: gas, months-laid-up: 5, drained: partly}
where:
  gas-cut-off: in the gas locker,   green button
  flue: "left side: low"
instruments: {V: 0.3, "%": damp-meter, rest-volts: {uncertainty: 0.02}}
cannot: [smell, kneel]
dates: {gas-hose: 2021-06, tyres: 1321, spare-tyre: 2014-09-01, alarm: 2027-03, gas-check: 2025-11-30}
tyres:
  front: {pressure: 65 psi, load: 1.6 t}
  rear: {pressure: "4,5 bar"}
numbers: {gas-engineer: "+44 1632 960001", recovery: 01632 960002}
"""


def read(text: str | bytes) -> VehicleCard:
    return read_card(text, "van.yaml", WORDS, TODAY)


def flaws(text: str | bytes) -> list[str]:
    with pytest.raises(FlawedKnowledge) as error:
        read(text)
    return [str(flaw).removeprefix("van.yaml:") for flaw in error.value.flaws]


def test_a_whole_card_is_read_with_all_that_stands_on_it():
    card = read(WHOLE)
    assert (card.label, card.name, card.country) == ("the blue van", "the blue van", "uk")
    assert {each.check: each for each in card.facts} == {
        "build": Finding("build", "campervan"),
        "country": Finding("country", "uk"),
        "heater-fuel": Finding("heater-fuel", "gas"),
        "months-laid-up": Finding("months-laid-up", "season", 5, 0.5),
        "drained": Finding("drained", "partly"),
    }
    assert card.where == {"gas-cut-off": "in the gas locker, green button", "flue": "left side: low"}
    assert card.instruments == {"V": 0.3, "%": 3.0, "rest-volts": 0.02}
    assert card.cannot == {"smell", "kneel"}
    assert card.dates == {
        "gas-hose": date(2021, 6, 1),
        "tyres": date(2021, 3, 29),
        "spare-tyre": date(2014, 9, 1),
        "alarm": date(2027, 3, 31),
        "gas-check": date(2025, 11, 30),
    }
    # 65 psi by the exact factor (0.45359237 kg, 9.80665 m/s2, 0.0254 m): 4.4816 bar.
    assert card.tyres["front"].bar == pytest.approx(4.4816, abs=1e-4)
    assert card.tyres["front"].kg == pytest.approx(1600)
    assert card.tyres["rear"] == Axle(4.5, None)
    assert card.numbers == {"gas-engineer": "+44 1632 960001", "recovery": "01632 960002"}
    assert card.advice == ()


def test_the_order_of_the_facts_is_that_of_the_common_file_whatever_the_card_says():
    one = read("facts: {heater-fuel: gas, build: caravan}")
    other = read("facts: {build: caravan, heater-fuel: gas}")
    assert one.facts == other.facts


@pytest.mark.parametrize("text", ["", "# nothing yet\n", "\ufeff\n  # a comment\n\n"])
def test_a_card_that_holds_nothing_is_no_flaw(text):
    assert read(text) == VehicleCard("van.yaml")


def test_without_a_label_the_vehicle_is_called_by_its_file():
    assert read("country: de").name == "van"


def test_norway_is_a_country_and_no_truth_value():
    assert read("country: no").country == "no"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("labl: x", '1:1: key "labl" is not known in the card (did you mean "label"?)'),
        ("label: 5", "1:8: label wants a text, not the number 5; quote it if it is meant as a text"),
        ("label: [a]", "1:8: label wants a text, not a list"),
        (f"label: {'x' * 61}", "1:8: label has 61 characters; 60 at most"),
        ("country: gb", '1:10: country is "gb", which is not known; known are uk, '),
        ("country: atlantis", '1:10: country is "atlantis", which is not known; known are uk, '),
        ("country: 44", "1:10: country wants a text, not the number 44"),
        (
            "facts:\n  heater-fual: gas",
            '2:3: facts names "heater-fual", which is no fact (did you mean "heater-fuel"?)',
        ),
        (
            "facts:\n  heater-fuel: gaz",
            '2:16: "gaz" is no answer of heater-fuel: gas, diesel, electric (did you mean "gas"?)',
        ),
        ("facts:\n  heater-fuel:", "2:3: nothing is no answer of heater-fuel: gas, diesel, electric"),
        (
            "facts:\n  heater-fuel: not-sure",
            "2:16: heater-fuel is not sure: leave it off the card, then it is asked",
        ),
        ("facts:\n  months-laid-up: 61", "2:19: months-laid-up is 61; it lies between 0 and 60 months"),
        (
            "facts:\n  months-laid-up: lots",
            '2:19: "lots" is no answer of months-laid-up: a number in months, or one of short, season, long',
        ),
        ("facts:\n  country: uk", "2:3: country has a key of its own, at the top level: country: uk"),
        ("facts:\n  smell-of-gas: no", '2:3: facts names "smell-of-gas", which is no fact'),
        ("facts: gas", '1:8: facts wants a mapping, not "gas"'),
        (
            "where:\n  gas-cutoff: low",
            '2:3: where names "gas-cutoff", a part that no tree names (did you mean "gas-cut-off"?)',
        ),
        ("where:\n  flue: 5", "2:9: flue wants a text that says where flue is"),
        ("where:\n  flue:", "2:3: flue wants a text that says where flue is"),
        (f"where:\n  flue: {'x' * 121}", "2:9: flue has 121 characters; 120 at most"),
        (
            "instruments:\n  volt: 0.1",
            '2:3: instruments names "volt", which is no unit and no check with a reading',
        ),
        ("instruments:\n  V: 0", "2:6: V wants a number above 0, or a kind of instrument"),
        (
            "instruments:\n  V: hand-metre",
            "2:6: V wants how far the instrument may be out, or one of panel-meter",
        ),
        ("instruments:\n  V: damp-meter", '2:6: "damp-meter" shows %, and V is to be read in V'),
        ("instruments:\n  V: {uncertainty: 1, doubt: 1}", '2:23: key "doubt" is not known in instrument "V"'),
        ("instruments:\n  V: {uncertainty: -1}", "2:20: uncertainty is -1; it wants a number above 0"),
        ("cannot: kneel", '1:9: cannot wants a list of words [in brackets], not "kneel"'),
        (
            "cannot: [kneal]",
            '1:10: cannot wants kneel, climb, lift, reach, hear or smell, not "kneal" (did you mean',
        ),
        ("cannot: [lift, lift]", '1:16: "lift" stands twice in cannot'),
        (
            "dates:\n  gas-hoze: 2021-06",
            '2:3: dates names "gas-hoze", which is not known (did you mean "gas-hose"?)',
        ),
        (
            "dates:\n  gas-hose: 06/2021",
            '2:13: gas-hose wants a date such as 2021-06-30, or a month such as 2021-06, not "06/2021"',
        ),
        (
            "dates:\n  gas-hose: 2021-02-30",
            '2:13: gas-hose is "2021-02-30", which cannot be: it wants a day of the calendar',
        ),
        ("dates:\n  gas-hose: 2021-13", '2:13: gas-hose is "2021-13", which cannot be'),
        ("dates:\n  alarm: 9999-12-31", '2:10: alarm is "9999-12-31", which cannot be'),
        ("dates:\n  alarm: 0001-01", '2:10: alarm is "0001-01", which cannot be'),
        ("dates:\n  gas-hose: 2026-03-02", '2:13: gas-hose is "2026-03-02", which is still to come'),
        ("dates:\n  gas-hose: 1321", "2:13: gas-hose wants a date such as 2021-06-30"),
        (
            "dates:\n  tyres: 5421",
            '2:10: tyres is "5421", which cannot be: it wants a week from 01 to 53 and a year',
        ),
        (
            "dates:\n  tyres: 0021",
            '2:10: tyres is "0021", which cannot be: it wants a week from 01 to 53 and a year',
        ),
        ("dates:\n  tyres: 4026", '2:10: tyres is "4026", which is still to come'),
        (
            "dates:\n  tyres: 137",
            "2:10: tyres wants the four figures of the date code (1321 is week 13 of 2021)",
        ),
        (
            "dates:\n  alarm:",
            "2:3: alarm wants a date such as 2021-06-30, or a month such as 2021-06, not nothing",
        ),
        ("tyres:\n  left: {pressure: 4 bar}", '2:3: tyres names "left"; axles are front, middle, rear'),
        (
            "tyres:\n  rear: {pressure: 4.5}",
            "2:20: pressure wants a number with its unit, such as 4.5 bar or 65 psi; not the number 4.5",
        ),
        (
            "tyres:\n  rear: {pressure: 4 V}",
            '2:20: pressure wants a number with its unit, such as 4.5 bar or 65 psi; not "4 V"',
        ),
        (
            "tyres:\n  rear: {pressure: 65 bar}",
            '2:20: pressure is "65 bar", which cannot be: above 0 and up to 10 bar',
        ),
        ("tyres:\n  rear: {load: 0 kg}", '2:16: load is "0 kg", which cannot be: above 0 and up to 12000 kg'),
        ("tyres:\n  rear: 4 bar", '2:9: axle "rear" holds "4 bar"; it takes a mapping of pressure, load'),
        (
            "numbers:\n  gas-enginer: 01632 960001",
            '2:3: numbers names "gas-enginer", which is nobody to call (did you mean "gas-engineer"?)',
        ),
        ("numbers:\n  recovery: ask Jo", '2:13: recovery wants a telephone number in figures, not "ask Jo"'),
        ("numbers:\n  recovery:", "2:3: recovery wants a telephone number in figures, not nothing"),
    ],
)
def test_each_flaw_is_told_at_its_place_with_what_would_be_right(text, told):
    found = flaws(text)
    assert len(found) == 1, found
    assert found[0].startswith(told)


@pytest.mark.parametrize(("said", "meant"), [("gb", "uk"), ("Germany", "de"), ("United Kingdom", "uk")])
def test_a_country_by_its_name_is_pointed_to_its_id(said, meant):
    assert flaws(f"country: {said}")[0].endswith(f'(did you mean "{meant}"?)')


def test_all_flaws_are_told_at_once_and_in_order():
    text = "label: 5\ncountry: gb\nfacts: {bild: caravan}\ndates: {tyres: 9999}\nnumbers: {recovery: x}\n"
    assert [line.split(":")[0] for line in flaws(text)] == ["1", "2", "3", "4", "5"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("label: &a x\ncountry: uk", "anchor"),
        ("label: !!python/object:os.system x", "tag"),
        ("label: a\n---\nlabel: b", "second document"),
        ("label: a\nlabel: b", "twice"),
        ('label: "a\\u001b[31mb"', "control"),
        ('label: "a\\u202eb"', "direction"),
        ("where: {flue: " + "[" * 50 + "]" * 50 + "}", "nesting"),
        (b"\xff\xfe", "UTF-8"),
    ],
)
def test_what_is_refused_in_a_tree_is_refused_on_a_card(text, told):
    assert any(told in line for line in flaws(text)), flaws(text)


def test_a_bomb_of_aliases_is_refused_before_it_grows():
    bomb = "a: &a [x,x,x,x,x,x,x,x,x]\n" + "\n".join(
        f"{name}: &{name} [{','.join(['*' + before] * 9)}]"
        for before, name in zip("abcdefgh", "bcdefghi", strict=True)
    )
    assert flaws(bomb)


def test_a_card_over_the_largest_file_is_refused(tmp_path):
    path = tmp_path / "van.yaml"
    path.write_text("# " + "x" * 1024 * 1024 + "\n")
    with pytest.raises(FlawedKnowledge):
        load_card(path, WORDS, TODAY)


def test_a_card_that_is_not_there_is_told_with_its_name(tmp_path):
    with pytest.raises(FlawedKnowledge, match=r"van\.yaml:1:1: there is no such file"):
        load_card(tmp_path / "van.yaml", WORDS, TODAY)


@pytest.mark.parametrize("label", ["AB12 CDE", "my van AB12CDE", "B-XY 1234", "AB-123-CD", "131-D-12345"])
def test_what_looks_like_a_number_plate_is_advised_against_and_taken(label):
    # The outer forms of marks in the United Kingdom, Germany, France and Ireland; from memory.
    card = read(f'label: "{label}"')
    assert [advice.name for advice in card.advice] == ["number-plate"]
    assert card.name == label


@pytest.mark.parametrize("label", ["the blue van", "Van 2", "hire 14", "Old faithful"])
def test_an_ordinary_name_is_not_advised_against(label):
    assert read(f"label: {label}").advice == ()


def test_every_kind_of_instrument_and_every_date_may_stand_on_a_card():
    for name, kind in INSTRUMENTS.items():
        card = read(f'instruments: {{"{kind.unit}": {name}}}')
        assert card.instruments == {kind.unit: kind.uncertainty}
    for id in DATES:
        assert set(read(f"dates: {{{id}: 2020-02-29}}").dates) == {id}


def test_the_own_uncertainty_of_a_check_wins_over_that_of_its_unit():
    card = read("instruments: {V: 0.3, rest-volts: 0.02}")
    tree = Library().tree("engine-no-crank")
    assert card.uncertainty_of(tree.checks["rest-volts"]) == 0.02
    others = [check for check in tree.checks.values() if check.reading and check.id != "rest-volts"]
    assert {card.uncertainty_of(check) for check in others if check.reading.unit == "V"} <= {0.3}
    assert card.uncertainty_of(tree.checks["battery-harmed"]) is None


def test_a_week_53_that_a_year_does_not_have_counts_as_its_last():
    # 2020 had 53 weeks by ISO 8601, 2021 had 52.
    assert read("dates: {tyres: 5320}").dates["tyres"] == date(2020, 12, 28)
    assert read("dates: {tyres: 5321}").dates["tyres"] == date(2021, 12, 27)


def test_no_key_of_a_card_asks_for_somebodys_name_or_address():
    keys = {line.key for table in CARD_TABLES.values() for line in table}
    assert keys.isdisjoint({"name", "owner", "address", "plate", "registration", "email", "phone"})
    assert flaws("owner: Jo")[0].startswith('1:1: key "owner" is not known')


NAMES = sorted(
    {line.key for table in CARD_TABLES.values() for line in table}
    | {*DATES, *INSTRUMENTS, *WORDS.facts, *WORDS.units, *WORDS.parts, *WORDS.referrals, "front", "rear"}
)
PLAIN = (
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20) | st.sampled_from(NAMES)
)
ANY = st.recursive(
    PLAIN,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(NAMES), inner, max_size=5),
    max_leaves=20,
)


def read_or_told(text):
    """The card, or the places of its flaws."""
    try:
        return read(text), []
    except FlawedKnowledge as error:
        return None, [(flaw.line, flaw.column) for flaw in error.flaws]


@given(st.dictionaries(st.sampled_from([line.key for line in CARD_TABLES["card"]]), ANY, max_size=9))
def test_whatever_stands_on_a_card_it_is_read_or_its_flaws_are_told(content):
    card, places = read_or_told(json.dumps(content))
    assert (card is None) == bool(places)
    assert all(line >= 1 and column >= 1 for line, column in places)


@given(st.text(max_size=200) | st.binary(max_size=200))
def test_any_text_is_a_card_or_flawed(text):
    card, places = read_or_told(text)
    assert (card is None) == bool(places)
