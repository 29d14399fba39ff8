"""A real danger that somebody tells of at an exercise: what the real thing wants is said first."""

from __future__ import annotations

from diagnose.practising.choosing import STOP
from diagnose.practising.practice import Practice
from diagnose.terminal.console import Console
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.understanding import plain_words
from diagnose.walking.danger_words import ANY_DANGER, danger_in, stop_text


def real_danger(typed: str, practice: Practice, console: Console, numbers: tuple[str, ...]) -> bool:
    """Whether a line tells of a danger; then what to do if it is real has been shown, and whom to call.

    Nobody can know whether it is meant for the exercise, so this is asked wherever anything can be typed.
    """
    heard = ANY_DANGER if plain_words(typed) == "danger" else danger_in(typed)
    if heard is None:
        return False
    page = Page(console.width()).say("If this is real, and not the exercise:", "strong")
    page.say(stop_text(heard, practice.exercise.model.tree.referrals, numbers[0]).first, indent=2).gap()
    stop = practice.by_id(STOP)
    if stop is not None and not practice.over:
        page.say(f"In the exercise, to stop, type {stop.number}.")
    console.show([Line(""), *page.lines])
    return True
