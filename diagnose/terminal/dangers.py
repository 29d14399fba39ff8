"""Danger told in somebody's own words: it stops at once, before anything is searched or reckoned.

Where the words deny it ("no smell of gas"), or name danger without saying which ("4: danger"), the person is
asked, and only a whole *no* goes on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from diagnose.terminal.console import Console
from diagnose.terminal.layout import Page
from diagnose.terminal.understanding import Chosen, Ordered, meaning, plain_words
from diagnose.terms import Referral
from diagnose.walking.danger_words import ANY_DANGER, Heard, danger_in, stop_text
from diagnose.walking.views import Choice, Stopped

YES_OR_NO = (Choice("yes", "Yes"), Choice("no", "No"))


class DangerTold(Exception):
    """Somebody told of a danger outside a walk."""

    def __init__(self, heard: Heard) -> None:
        super().__init__(heard.words)
        self.heard = heard


def told_danger(console: Console, typed: str) -> Heard | None:
    """The danger that a line tells of, once it is sure or was confirmed; None where there is none."""
    if plain_words(typed) == "danger":
        return ANY_DANGER
    heard = danger_in(typed)
    if heard is None and "danger" in plain_words(typed).split():
        heard = replace(ANY_DANGER, words=" ".join(typed.split()), sure=False)
    if heard is None or heard.sure:
        return heard
    page = Page(console.width())
    page.say(heard.ask, "strong").say("Type the whole word: yes or no. If you are not sure, type yes.")
    console.show(page.lines)
    while True:
        meant = meaning(console.ask(), YES_OR_NO, whole=True)
        if isinstance(meant, Chosen):
            return heard if meant.choice.id == "yes" else None
        if isinstance(meant, Ordered) and meant.command in ("not sure", "danger"):
            return heard
        console.show(Page(console.width()).say("Here it has to be the whole word: yes or no.").lines)


def stop_before_a_walk(
    heard: Heard,
    referrals: Mapping[str, Referral],
    numbers: tuple[str, ...],
    own_numbers: Mapping[str, str] | None = None,
) -> Stopped:
    """The end that such a danger makes; there is no case yet."""
    text = stop_text(heard, referrals, numbers[0])
    return Stopped(
        symptom="Danger, told before any question",
        state="stopped",
        numbers=numbers,
        referrals=text.referrals,
        because=f'You wrote "{heard.words}".',
        first=text.first,
        own_numbers=own_numbers or {},
    )
