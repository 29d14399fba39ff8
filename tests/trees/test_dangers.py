"""Every danger of the trade, tree by tree: each answer that tells of one ends in a stop, and nothing follows.

The lists below are the test's own and are not read off the trees or off the program's ear for danger. What is
dangerous, and whose it is, is common practice, no source; the project's own list of dangers says the same.
"""

from __future__ import annotations

from io import StringIO

import pytest

from diagnose.terminal.console import PlainConsole
from diagnose.terminal.conversation import Conversation
from diagnose.terminal.understanding import Chosen, Ordered, meaning
from diagnose.terms import NOT_SURE, Finding, Step
from diagnose.walking.answers import Answers
from diagnose.walking.danger_words import danger_in
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.reckoning import next_for
from diagnose.walking.views import Choice, Question, Stopped, Unsure
from diagnose.walking.walk import NotNow, Walk
from tests.trees.shipped import COMMON, EVERY_TREE, ROLES, TREES, route_of, tree_of
from tests.walking.small_trees import HandClock, Order

GAS = {"gas-engineer", "gas-escape", "co-suspected"}
CO = {"co-suspected"}
ESCAPE = {"gas-escape"}
MAINS = {"electrician", "mains-danger"}
LIVE = {"mains-danger"}
BATTERY = {"auto-electrician", "mains-danger"}
ROAD = {"recovery"}
WORKSHOP = {"workshop", "co-suspected", "gas-escape", "recovery"}
AMMONIA = WORKSHOP | {"ammonia-escape"}
"""Whom a danger leads to: the one that the trade names, or a firmer one."""

DANGERS = [
    # tree, words that stand in the question or the answer, whom it leads to
    ("engine-no-crank", "lithium, 24 v", BATTERY),
    ("engine-no-crank", "colder than -5", BATTERY),
    ("engine-no-crank", "smoke, sparks", BATTERY),
    ("engine-no-start", "smell of fuel", WORKSHOP),
    ("engine-no-start", "drip", WORKSHOP),
    ("heater-no-fire", "lay-up cover, tried with it on", CO),
    ("heater-no-fire", "nest, web, soot, dent, loose pipe", GAS),
    ("heater-no-fire", "bang, smoke, soot, smell", CO),
    ("heater-no-fire", "yellow, sooty", GAS),
    ("heater-no-fire", "cut-off, again, knock, hose is harmed", GAS),
    ("hook-up-trips", "polarity lamp, wrong", MAINS),
    ("hook-up-trips", "plug, brown, melted, burnt", MAINS),
    ("hook-up-trips", "lead, gnawed", MAINS),
    ("water-heater-no-fire", "lay-up cover, tried with it on", CO),
    ("water-heater-no-fire", "nest, web, soot, dent, loose", GAS),
    ("water-heater-no-fire", "yellow, sooty", GAS),
    ("water-heater-no-fire", "fired while it was empty", GAS),
    ("wet-heating-cold", "lay-up cover, tried with it on", CO),
    ("wet-heating-cold", "nest, web, soot", GAS),
    ("hob-goes-out", "yellow, sooty", GAS),
    ("hob-goes-out", "flame had gone out, hissing", ESCAPE),
    ("gas-gone", "gauge, fall, every gas appliance off", ESCAPE),
    ("gas-gone", "gas gone, nobody was burning", ESCAPE),
    ("gas-gone", "cut-off, again, knock, hose is harmed", GAS),
    ("gas-gone", "hose, crack, kink", GAS),
    ("absorption-fridge", "sharp smell", AMMONIA),
    ("absorption-fridge", "run on gas, winter cover", CO),
    ("absorption-fridge", "yellow or sooty", GAS),
    ("leak-inside", "water near a socket, charger, fuse box", LIVE),
    ("damp-musty", "water near a socket, charger, fuse box", LIVE),
    ("wet-after-washing", "water near a socket, charger, fuse box", LIVE),
    ("wet-after-washing", "fridge, vents, jet", GAS),
    ("wet-after-washing", "behind the fridge", GAS),
    ("water-pump", "near a socket, charger, fuse box", LIVE),
    ("toilet-no-flush", "near a socket, charger, fuse box", LIVE),
    ("frost-valve-opens", "near a socket, charger, fuse box", LIVE),
    ("no-hot-water", "cover, tried with it on", CO),
    ("tyres-soft-old", "cord", ROAD),
    ("tyres-soft-old", "bulge", ROAD),
    ("tyres-soft-old", "split", ROAD),
    ("tyres-soft-old", "nail in the side", ROAD),
    ("brakes-drag", "no chocks, creeps", ROAD),
    ("brakes-drag", "pedal that sinks", ROAD),
    ("alarm-sounded-earlier", "full alarm", GAS),
    ("alarm-sounded-earlier", "stain, flue", CO),
    ("alarm-sounded-earlier", "rotten eggs", BATTERY),
    ("lights-dim", "melted, smell burnt", BATTERY),
    ("habitation-dead", "melted, clamp", BATTERY),
    ("habitation-dead", "trips, buzzes, smells burnt", MAINS),
    ("leisure-battery-weak", "colder than -5", BATTERY),
    ("leisure-battery-weak", "24 v, cannot be read", BATTERY),
    ("compressor-fridge", "hiss, smell sharp", WORKSHOP),
    ("mouse-signs", "gas hose, gnawed", GAS),
    ("mouse-signs", "mains, sheath, gnawed", MAINS),
    ("mouse-signs", "engine belt, brake line, chewed", ROAD),
    ("mouse-signs", "seat belt, chewed, mount", {"belt-workshop", "workshop", "recovery"}),
    ("hob-hisses-on", "hiss now", ESCAPE),
    ("hob-hisses-on", "went on for longer", GAS),
    ("hob-hisses-on", "knob turned off", GAS),
    ("roof-light-or-step", "hang loose", WORKSHOP),
    ("cassette-blade", "bleach", WORKSHOP | {"poison-fumes"}),
    ("bits-in-water", "smell of fuel", WORKSHOP),
]

FIXED_DANGERS = {
    "smell-of-gas": (("smell gas", "hissing", "locker", "low down outside"), "gas-escape"),
    "co-alarm": (("alarm sounding", "pet", "sick", "giddy", "drowsy", "headache"), "co-suspected"),
    "mains-harmed": (("wet", "scorched", "buzzing", "broken", "gnawed", "tingle"), "mains-danger"),
    "battery-harmed": (
        ("cracked", "swollen", "hot", "leaking", "frozen", "rotten eggs"),
        "auto-electrician",
    ),
}
G, C, M, B = FIXED_DANGERS
ASKED_FIRST = {
    "engine-no-crank": (B,),
    "engine-no-start": (B,),
    "heater-no-fire": (G, C, B),
    "habitation-dead": (M, B),
    "leisure-battery-weak": (M, B),
    "hook-up-trips": (M,),
    "water-heater-no-fire": (G, C, B),
    "wet-heating-cold": (G, C, B),
    "hob-goes-out": (G, C),
    "gas-gone": (G, C),
    "absorption-fridge": (G, C, M, B),
    "compressor-fridge": (B,),
    "water-pump": (M, B),
    "no-hot-water": (G, C, M),
    "frost-valve-opens": (B,),
    "leak-inside": (G, C, M),
    "wet-after-washing": (G, C, M),
    "toilet-no-flush": (B,),
    "alarm-sounded-earlier": (G, C, B),
    "lights-dim": (M, B),
    "mouse-signs": (G, C, M, B),
    "roof-light-or-step": (B,),
    "hob-hisses-on": (G, C),
}
"""Which of the four danger questions a tree asks at least, by the hazards of what is behind its symptom."""


def stop_answers(tree):
    """(check, answer) of every answer that stops."""
    return [
        (check, answer)
        for check in tree.checks.values()
        for answer in check.answers
        if answer.id in check.stop_on
    ]


def told_by(tree, words):
    """The stop answers of a tree whose question or answer has all these words."""
    return [
        (check, answer)
        for check, answer in stop_answers(tree)
        if all(word in f"{check.ask} {answer.says}".lower() for word in words.split(", "))
    ]


def harmless(check):
    """An answer that does not stop."""
    return next(answer.id for answer in check.answers if answer.id not in check.stop_on)


def asked(tree, check):
    """A walk that stands at a check, all danger questions before it answered harmlessly."""
    steps = (Step("check", check), Step("referral", tree.refer_to))
    journal = MemoryJournal()
    facts = [Finding(fact, answers[0]) for fact, answers in tree.applies_to.items()]
    walk = Walk.begin(tree, Order(tree, steps), journal, HandClock(), facts=facts)
    while walk.view().check != check:
        walk.answer(harmless(tree.checks[walk.view().check]))
    assert isinstance(walk.view(), Question)
    return walk, journal


EVERY_STOP = [(id, check.id, answer.id) for id in EVERY_TREE for check, answer in stop_answers(tree_of(id))]
every_stop = pytest.mark.parametrize(("id", "check", "answer"), EVERY_STOP)


# The list


@pytest.mark.parametrize(("id", "words", "whom"), DANGERS)
def test_each_danger_of_the_trade_is_an_answer_that_stops(id, words, whom):
    found = told_by(tree_of(id), words)
    assert found, f"nothing in {id} that stops speaks of: {words}"
    assert {check.refer for check, _ in found} <= whom


def test_the_list_speaks_of_every_tree():
    assert {id for id, _, _ in DANGERS} | set(ASKED_FIRST) == set(EVERY_TREE)


def test_words_that_no_tree_has_are_not_found():
    assert told_by(tree_of("hob-goes-out"), "polarity lamp, wrong") == []


@pytest.mark.parametrize("fixed", FIXED_DANGERS)
def test_the_four_danger_questions_name_every_danger_and_stop_on_it(fixed):
    words, referral = FIXED_DANGERS[fixed]
    check = COMMON.checks[fixed]
    told = f"{check.ask} {check.how} {check.answers[-1].says}".lower()
    assert [word for word in words if not all(part in told for part in word.split())] == []
    assert check.stop_on == {check.answers[-1].id}
    assert (check.refer, check.not_sure, check.hands) == (referral, 0, "look")


@pytest.mark.parametrize("id", ASKED_FIRST)
def test_a_tree_asks_the_danger_questions_of_its_hazards_before_anything_else(id):
    first = tree_of(id).ask_first
    wanted = [check for check in FIXED_DANGERS if check in first]
    assert set(ASKED_FIRST[id]) <= set(wanted)
    assert list(first[: len(wanted)]) == wanted


# What such an answer leads to


@every_stop
def test_a_walk_that_is_told_so_stops_with_that_referral_and_nothing_after_it(id, check, answer):
    tree = tree_of(id)
    walk, journal = asked(tree, check)
    stopped = walk.answer(answer)
    assert isinstance(stopped, Stopped)
    assert [referral.id for referral in stopped.referrals] == [tree.checks[check].refer]
    assert (journal.state, journal.referral) == ("stopped", tree.checks[check].refer)
    assert tree.checks[check].ask in stopped.because
    assert stopped.first.startswith("Stop here.")
    for onward in (
        walk.back,
        walk.not_sure,
        walk.leave_off,
        lambda: walk.answer(harmless(tree.checks[check])),
    ):
        with pytest.raises(NotNow):
            onward()
    assert walk.view() == stopped


@every_stop
def test_told_ahead_it_stops_the_walk_before_any_question(id, check, answer):
    tree = tree_of(id)
    found = Finding(check, answer)
    walk = Walk.begin(tree, Order(tree), MemoryJournal(), HandClock(), findings=[found])
    assert isinstance(walk.view(), Stopped)
    assert [referral.id for referral in walk.view().referrals] == [tree.checks[check].refer]
    # The same file of answers, reckoned and not walked; no arithmetic is asked before a stop.
    assert next_for(tree, None, Answers((found,)))[0] == Step("stop", tree.checks[check].refer)


@pytest.mark.parametrize("id", [id for id in EVERY_TREE if tree_of(id).ask_first])
def test_not_sure_at_a_danger_question_stops_too(id):
    tree = tree_of(id)
    for check in tree.ask_first:
        walk, _ = asked(tree, check)
        assert isinstance(walk.answer(NOT_SURE), Unsure)
        stopped = walk.answer(NOT_SURE)
        assert isinstance(stopped, Stopped)
        assert [referral.id for referral in stopped.referrals] == [tree.checks[check].refer]


@pytest.mark.parametrize("id", EVERY_TREE)
def test_the_word_danger_stops_at_every_danger_question_and_after_them(id):
    tree = tree_of(id)
    for check in (*tree.ask_first, next(each for each in tree.checks if each not in tree.ask_first)):
        if not tree.checks[check].fact:
            walk, journal = asked(tree, check)
            assert isinstance(walk.danger(), Stopped)
            assert journal.state == "stopped"


@pytest.mark.parametrize(
    "id", [pytest.param(id, marks=[] if id in TREES else pytest.mark.long) for id in EVERY_TREE]
)
@pytest.mark.long
@pytest.mark.parametrize("role", ROLES)
def test_on_every_route_such_an_answer_leads_to_its_stop(id, role):
    tree, route = tree_of(id), route_of(id, role)
    stops = {(check.id, answer.id): check.refer for check, answer in stop_answers(tree)}
    seen = set()
    for node in route.nodes:
        if node.kind == "check":
            for answer, edge in node.edges.items():
                if (node.of, answer) in stops:
                    end = route.nodes[edge.to]
                    assert (end.kind, end.of, dict(end.edges)) == ("stop", stops[node.of, answer], {})
                    seen.add((node.of, answer))
    assert {pair for pair in stops if pair[0] in tree.ask_first} <= seen


@pytest.mark.parametrize("id", ["hob-hisses-on", "alarm-sounded-earlier"])
def test_what_is_dangerous_whatever_the_cause_lights_no_gas(id):
    tree = tree_of(id)
    assert all(check.hands == "look" and not check.starts for check in tree.checks.values() if not check.fact)
    if id == "hob-hisses-on":
        assert {node.of for node in route_of(id).nodes if not node.edges} <= GAS


@pytest.mark.parametrize("id", ["absorption-fridge", "damp-musty"])
def test_ammonia_sends_everybody_out(id):
    text = tree_of(id).referrals["ammonia-escape"].until_help
    assert text.startswith("All out into fresh air")
    assert "Nobody goes back in" in text


def test_a_stop_that_sends_everybody_out_says_so_first():
    for id, check, answer in EVERY_STOP:
        tree = tree_of(id)
        walk, _ = asked(tree, check)
        stopped = walk.answer(answer)
        if any(referral.until_help.startswith("All out") for referral in stopped.referrals):
            assert "Everybody out" in stopped.first, (id, check, answer)


def test_a_stop_wins_over_everything_else_that_was_found():
    tree = tree_of("heater-no-fire")
    found = [Finding(id, harmless(tree.checks[id])) for id in tree.ask_first]
    found += [Finding("panel-shows", "idle"), Finding("hob-flame", "yellow")]
    assert next_for(tree, None, Answers(tuple(found)))[0] == Step("stop", "gas-engineer")


# What somebody may type at any prompt

PHRASES = {
    "gas-escape": """
        smell of gas | i can smell gas | smells of gas in the locker | it stinks of gas | whiff of gas
        gas smell | gas leak | gas is leaking | gas is escaping | the regulator leaks
        leaking gas bottle | the cylinder leaks | hissing | something hisses | a hiss from the bottle
        hissing noise outside | smell of rotten eggs | eggy smell | smell of propane | butane smell
        lpg smell | smells gassy | gas hose is gnawed | chewed gas hose | split gas hose""",
    "co-suspected": """
        alarm going off | the alarm is sounding | alarm | co alarm | the detector went off
        alarm keeps beeping | carbon monoxide | monoxide | dizzy | i feel dizzy | giddy | headache
        we all have a headache | my head hurts | i feel sick | feeling sick | sick | drowsy
        the dog is drowsy | sleepy | faint | she fainted | nausea | vomiting | unconscious
        he collapsed | i feel ill | the cat is poorly | passed out | she wont wake up | cannot wake him
        i cannot breathe | short of breath | fumes | exhaust fumes inside | smell of exhaust
        soot on the flue | sooty flame""",
    "mains-danger": """
        tingle | i felt a tingle | a tingle from the tap | tingling | electric shock | i got a shock
        it zapped me | electrocuted | sparks from the socket | it is sparking | arcing
        the plug is buzzing | buzzing socket | scorched plug | the inlet is scorched | melted plug
        burnt socket | hot plug | the socket is wet | water in the socket | water near the sockets
        water on the charger | water by the consumer unit | the mains cable is gnawed
        chewed hookup lead | bare wires | live wire""",
    "fire": """
        smoke | there is smoke | smoke coming out | smoking | fire | it is on fire | flames
        burning smell | smell of burning | something is burning | it smells burnt | burning plastic
        smouldering | melting | explosion | it exploded | it went bang | a loud bang""",
    "auto-electrician": """
        bulging battery | battery is bulging | swollen battery | the battery has swollen
        cracked battery | battery is leaking | battery leaks | battery acid | hot battery
        the battery is hot | frozen battery | battery boiling | battery is fizzing""",
    "workshop": """
        smell of ammonia | ammonia | sharp smell at the fridge | smell of petrol | petrol smell
        smell of diesel | smell of fuel | fuel is dripping | petrol leak | diesel drips""",
}
"""What an owner would type, by the danger that it tells of; `|` and the end of a line part them."""
TYPED = [
    (phrase.strip(), danger)
    for danger, lines in PHRASES.items()
    for line in lines.strip().splitlines()
    for phrase in line.split("|")
]


@pytest.mark.parametrize(("phrase", "danger"), TYPED)
@pytest.mark.parametrize("written", [str, str.upper, lambda text: f"Help, {text}!"])
def test_what_an_owner_would_type_is_heard_for_sure(phrase, danger, written):
    heard = danger_in(written(phrase))
    assert heard is not None
    assert danger in heard.dangers
    assert heard.sure


@pytest.mark.parametrize("id", EVERY_TREE)
def test_no_such_words_are_taken_for_a_harmless_answer(id):
    tree = tree_of(id)
    for check in tree.checks.values():
        choices = tuple(Choice(answer.id, answer.says) for answer in check.answers)
        for phrase, _ in TYPED:
            meant = meaning(phrase, choices, whole=check.id in tree.ask_first)
            assert not isinstance(meant, Chosen) or meant.choice.id in check.stop_on, (check.id, phrase)
            assert not isinstance(meant, Ordered) or meant.command == "danger", (check.id, phrase)


@pytest.mark.parametrize(
    "phrase", ["gas smell since 5 minutes", "2 of us have a headache", "smoke, 12 V gone"]
)
def test_danger_is_heard_where_a_figure_is_asked_for(phrase):
    tree = tree_of("engine-no-crank")
    walk, journal = asked(tree, "rest-volts")
    console = PlainConsole(StringIO(f"{phrase}\n"), StringIO())
    assert isinstance(Conversation(walk, console).run(), Stopped)
    assert journal.state == "stopped"
