"""What is said of every exercise alike, at the prompt and on paper."""

from __future__ import annotations

from diagnose.practising.choosing import Group
from diagnose.practising.practice import Practice
from diagnose.walking.views import NOT_CHECKED

HEADINGS: dict[Group, str] = {
    "dangers": "Ask about dangers",
    "look": "Ask and look",
    "controls": "With the controls",
    "tools": "With tools",
    "put right": "Suppose it is this, and put it right",
    "hand over": "Hand over, or stop",
}
ONLY_PRACTICE = (
    "This is practice with a made-up vehicle. Nothing here is to be done on a real one: walk that one "
    "(diagnose walk), which asks what has to be asked first."
)
RULES = (
    "One thing is wrong with it. Find out what, in as few minutes as you can, and end it: put it right, "
    "hand it over, or stop. Like a real vehicle it may mislead you now and then, and nothing can be taken "
    "back."
)
TRAPS_AMONG = "Among the choices stand some that nobody may do. See through them."
THE_WAY = "A figure such as +3 is the minutes of the way to a place; they count once."
NO_CERTIFICATE = (
    "This was practice. It says nothing about any real vehicle, and it certifies nobody. On a real one "
    "nothing of this is done without the walk."
)


def unchecked(practice: Practice) -> str:
    """That nobody of this project has checked the tree; nothing for one that comes with the program."""
    return "" if practice.exercise.model.tree.shipped else NOT_CHECKED


def story(practice: Practice) -> tuple[str, ...]:
    """What holds of the vehicle, a sentence each; nothing where the tree is for every vehicle."""
    facts = practice.exercise.model.tree.facts
    lines = []
    for fact, answer in practice.vehicle.facts().items():
        says = {each.id: each.says for each in facts[fact].answers}.get(answer, answer)
        lines.append(f"{facts[fact].ask} {says.strip().rstrip('.')}.")
    return tuple(lines)


def fault_in_words(practice: Practice) -> str:
    """The hidden fault as a person reads it."""
    return practice.exercise.model.hypotheses[practice.exercise.fault].says
