"""Danger told in somebody's own words, at any prompt.

The phrases are the test's own and are not read off the program's ear for danger; whose each danger is, is
common practice, no source.
"""

from __future__ import annotations

from io import StringIO

import pytest

from diagnose.terminal.console import PlainConsole
from diagnose.terminal.conversation import Conversation
from diagnose.terminal.understanding import Chosen, Ordered, meaning
from diagnose.walking.danger_words import danger_in
from diagnose.walking.views import Choice, Stopped
from tests.trees.asked import asked
from tests.trees.shipped import EVERY_TREE, tree_of

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
