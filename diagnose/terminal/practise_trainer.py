"""The trainer's side: the hidden fault, what such vehicles answer, and what the trainer says instead."""

from __future__ import annotations

from dataclasses import replace

from diagnose.practising.choosing import Choice
from diagnose.practising.practice import Practice
from diagnose.practising.vehicle import after, shown
from diagnose.practising.words import fault_in_words
from diagnose.terminal.console import Console
from diagnose.terminal.figures import share_in_words
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.practise_danger import real_danger
from diagnose.terminal.sentences import ended, inside
from diagnose.terminal.understanding import Chosen, Ordered, meaning, plain_words
from diagnose.terms import NOT_SURE, Check, Finding
from diagnose.walking import views
from diagnose.walking.past import SMELL_OF_GAS, remedy_hazards
from diagnose.walking.readings import BadReading, band_of, in_range, parse_reading


def for_the_trainer(practice: Practice, width: int) -> Page:
    """The hidden fault, and how it goes with a class."""
    page = Page(width).say("FOR THE TRAINER ALONE", "strong")
    page.say(f"Hidden is: {inside(fault_in_words(practice))}.", "strong")
    return page.say(
        "The class says what to do, and you type its number. Then you see what such a vehicle answers; "
        "Enter takes what was drawn, or type another answer."
    )


def answer_for_the_vehicle(
    practice: Practice, choice: Choice, console: Console, numbers: tuple[str, ...]
) -> None:
    """Asks the trainer what the vehicle says to a check or a remedy, and has it say so."""
    if choice.kind == "check":
        check = practice.exercise.model.tree.checks[choice.id]
        said = _finding(practice, check, console, numbers)
        told = {**practice.vehicle.said, check.id: said}
        practice.vehicle = replace(practice.vehicle, said=told)
    elif choice.kind == "remedy":
        cured = {**practice.vehicle.cured, choice.id: _cured(practice, choice, console, numbers)}
        practice.vehicle = replace(practice.vehicle, cured=cured)
        tree = practice.exercise.model.tree
        if SMELL_OF_GAS in tree.checks and "gas" in remedy_hazards(tree, choice.id):
            _show(console, Page(console.width()).say("Hands were on the gas, so this is asked again."))
            smelt = _finding(practice, tree.checks[SMELL_OF_GAS], console, numbers)
            told = {**practice.vehicle.said, after(SMELL_OF_GAS, choice.id): smelt}
            practice.vehicle = replace(practice.vehicle, said=told)


def _finding(practice: Practice, check: Check, console: Console, numbers: tuple[str, ...]) -> Finding:
    drawn = practice.vehicle.drawn(check.id)
    says = {answer.id: answer.says for answer in check.answers} | {NOT_SURE: "It cannot be told"}
    page = Page(console.width()).say(check.ask, "strong").say("Such a vehicle answers:", "quiet")
    page.listing(
        [
            (id.replace("-", " "), f"{ended(says.get(id, id))} ({share_in_words(part)})")
            for id, part in practice.vehicle.how_likely(check.id)
        ]
    )
    page.say(f"Drawn: {ended(shown(drawn, check))} Enter takes it, or type another answer.")
    _show(console, page)
    offered = [views.Choice(id, says.get(id, id)) for id in (*check.answer_ids(), NOT_SURE)]
    while True:
        typed = console.ask()
        if not typed.strip():
            return drawn
        meant = meaning(typed, offered, numbered=False)
        if isinstance(meant, Chosen):
            return Finding(check.id, meant.choice.id)
        if isinstance(meant, Ordered) and meant.command == "not sure":
            return Finding(check.id, NOT_SURE)
        if real_danger(typed, practice, console, numbers):
            continue
        try:
            return _reading(check, typed)
        except BadReading as refusal:
            _show(console, Page(console.width()).say(str(refusal)))


def _reading(check: Check, typed: str) -> Finding:
    if check.reading is None:
        raise BadReading("Type one of the answers, or just Enter.")
    value = in_range(parse_reading(typed, check.reading), check.reading)
    return Finding(check.id, band_of(check, value), value, check.reading.uncertainty)


def _cured(practice: Practice, choice: Choice, console: Console, numbers: tuple[str, ...]) -> bool:
    vehicle = practice.vehicle
    drawn = vehicle.cures(choice.id)
    page = Page(console.width()).say(f"Put right: {inside(choice.says)}.", "strong")
    if choice.id == vehicle.fault_id:
        cures = practice.exercise.model.hypotheses[vehicle.fault].cures
        page.say(f"That is the hidden fault. It cures {share_in_words(cures)}.")
    else:
        page.say("That is not the hidden fault, so it changes nothing.")
    page.say(f"Drawn: {'cured' if drawn else 'not cured'}. Enter takes it, or type: cured, not cured.")
    _show(console, page)
    while True:
        typed = console.ask()
        words = plain_words(typed)
        if words in ("", "cured", "not cured"):
            return drawn if not words else words == "cured"
        if real_danger(typed, practice, console, numbers):
            continue
        _show(console, Page(console.width()).say("Type: cured, or: not cured, or just Enter."))


def _show(console: Console, page: Page) -> None:
    console.show([Line(""), *page.lines])
