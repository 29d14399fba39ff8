"""An exercise at a prompt: the learner chooses, the vehicle answers, and at the end it is told how it went.

With a trainer the screen is the trainer's (`practise_trainer`): the class says what to do, and the trainer
answers for the vehicle.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diagnose.practising.choosing import Choice
from diagnose.practising.practice import Practice
from diagnose.practising.scoring import Score, scored
from diagnose.practising.words import HEADINGS
from diagnose.terminal.console import Console
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.practise_danger import real_danger
from diagnose.terminal.practise_debrief import debrief_page
from diagnose.terminal.practise_page import (
    help_page,
    list_page,
    naming_page,
    opening_page,
    outcome_page,
    prompt_page,
    so_far_page,
)
from diagnose.terminal.practise_trainer import answer_for_the_vehicle, for_the_trainer
from diagnose.terminal.understanding import Chosen, Ordered, meaning, plain_words
from diagnose.walking import views

Said = Literal["choice", "stay", "leave off"]


@dataclass(slots=True)
class PractiseDialogue:
    """One exercise and the console at which it is done."""

    practice: Practice
    console: Console
    learner: str = ""
    trainer: bool = False
    numbers: tuple[str, ...] = ("112",)
    """Whom to call if it turns out that somebody means a real danger."""

    def run(self) -> Score:
        """Goes on until an end is reached, the learner leaves off or the input ends; tells how it went."""
        practice = self.practice
        self._show(opening_page(practice, self.console.width()))
        if self.trainer:
            self._show(for_the_trainer(practice, self.console.width()))
        self._show(list_page(practice, self.console.width()))
        try:
            self._go_on()
            self._ask_for_the_name()
        except EOFError:
            pass
        score = scored(practice)
        page = debrief_page(score, self.console.width(), learner=self.learner, code=not self.trainer)
        self._show(page)
        return score

    def _go_on(self) -> None:
        first = True
        while not self.practice.over and self.practice.left():
            self._show(prompt_page(self.practice, self.console.width(), first))
            first = False
            choice = self._chosen()
            if choice is None:
                return
            if self.trainer:
                answer_for_the_vehicle(self.practice, choice, self.console, self.numbers)
            turn = self.practice.choose(choice)
            self._show(outcome_page(self.practice, turn, self.console.width()))

    def _chosen(self) -> Choice | None:
        """The choice that is typed; None for leaving off."""
        while True:
            typed = self.console.ask()
            said = self._understood(typed)
            if isinstance(said, Choice):
                return said
            if said == "leave off":
                return None

    def _understood(self, typed: str) -> Choice | Said:
        words, width = plain_words(typed), self.console.width()
        groups = {name: name for name in HEADINGS}
        if words.isdecimal():
            return self._by_number(int(words)) if len(words) < 4 else self._say_what_is_wanted()
        if words == "list":
            self._show(list_page(self.practice, width))
        elif words in groups:
            self._show(list_page(self.practice, width, groups[words]))
        elif words == "so far":
            self._show(so_far_page(self.practice, width))
        else:
            return self._by_words(typed)
        return "stay"

    def _by_number(self, number: int) -> Choice | Said:
        fitting = next((each for each in self.practice.left() if each.number == number), None)
        if fitting is not None:
            return fitting
        done = number <= len(self.practice.choices) and number > 0
        text = f"Number {number} has been done; nothing is done twice." if done else f"There is no {number}."
        self._show(Page(self.console.width()).say(f"{text} To see what is left, type: list."))
        return "stay"

    def _by_words(self, typed: str) -> Choice | Said:
        left = self.practice.left()
        offered = [views.Choice(each.id, each.says) for each in left]
        # Whole words alone: nothing can be taken back, so nothing is guessed from first letters.
        meant = meaning(typed, offered, whole=True, numbered=False)
        if isinstance(meant, Chosen):
            return next(each for each in left if each.id == meant.choice.id)
        if isinstance(meant, Ordered):
            return self._ordered(meant)
        return "stay" if self._real_danger(typed) else self._say_what_is_wanted()

    def _ordered(self, meant: Ordered) -> Said:
        width = self.console.width()
        match meant.command:
            case "leave off":
                return "leave off"
            case "danger":
                self._real_danger(meant.command)
            case "help":
                self._show(help_page(width))
            case "back":
                self._show(Page(width).say("Nothing can be taken back, as on a real vehicle."))
            case "why":
                self._show(Page(width).say("Why one thing was better than another is told at the end."))
            case "not sure" | "could not":
                self._say_what_is_wanted()
        return "stay"

    def _real_danger(self, typed: str) -> bool:
        return real_danger(typed, self.practice, self.console, self.numbers)

    def _say_what_is_wanted(self) -> Said:
        text = "Type the number of one of the choices. To see them, type: list."
        self._show(Page(self.console.width()).say(text))
        return "stay"

    def _ask_for_the_name(self) -> None:
        """What the learner thinks it is, where somebody else has to find out or nobody asked to stop."""
        practice = self.practice
        if not practice.over or practice.turns[-1].became not in ("handed-over", "stopped") or practice.stop:
            return
        model = practice.exercise.model
        self._show(naming_page([each.says for each in model.hypotheses], self.console.width()))
        offered = [views.Choice(each.id, each.says) for each in model.hypotheses]
        while True:
            typed = self.console.ask()
            meant = meaning(typed, offered)
            if isinstance(meant, Chosen):
                practice.named = meant.choice.id
                return
            if not typed.strip() or (
                isinstance(meant, Ordered) and meant.command in ("not sure", "leave off")
            ):
                return
            if self._real_danger(typed):
                continue
            page = Page(self.console.width())
            self._show(page.say(f"Type a number from 1 to {len(offered)}, or just Enter."))

    def _show(self, page: Page) -> None:
        self.console.show([Line(""), *page.lines])
