"""A visit from the first screen to the last: what is wrong, the walk, where it goes on, the sheet."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

from diagnose.cases.peek import Peek, peek
from diagnose.terminal.ahead import load_ahead
from diagnose.terminal.console import Console
from diagnose.terminal.dangers import DangerTold, stop_before_a_walk, told_danger
from diagnose.terminal.desk import Desk, Opened
from diagnose.terminal.layout import Page
from diagnose.terminal.offering import card_in_use
from diagnose.terminal.round_offer import rounds_left
from diagnose.terminal.starting import SomethingNew, ask_symptom, is_named, offer_to_resume, symptom_meant
from diagnose.terms import DiagnoseError, Tree
from diagnose.walking.views import End, HandedOver, Referred, Stopped

if TYPE_CHECKING:
    from diagnose.cases.rounds_records import RoundHead
    from diagnose.walking.answers import Answers

CTRL_C = 130
NEEDED_NEXT = (
    "diagnose.terminal.conversation",
    "diagnose.cases.store",
    "diagnose.walking.walk",
    "diagnose.reasoning.planning",
    "diagnose.reasoning.ranking",
    "diagnose.walking.shelf",
)
"""What is slow to import and wanted as soon as a symptom is chosen, in that order."""


@dataclass(slots=True)
class Visit:
    """One sitting at the prompt; `run` returns the exit code."""

    console: Console
    desk: Desk
    known: Callable[[Tree], Answers] | None = None
    """What is known ahead of a symptom, from a file of answers."""
    opened: Opened | None = None
    """The walk that is going on."""
    last: Opened | None = None
    """The walk that was opened last, also after its end."""
    rounds: tuple[RoundHead, ...] = ()
    """Rounds that are not at their end, told of where somebody says what is wrong."""
    spoken: bool = False
    """Whether the card and what is due by it were spoken of."""

    def run(self, words: str = "", resume: int | None = None) -> int:
        """Ask what is wrong (unless `words` say it or `resume` names a case) and walk to an end.

        Returns 0, or 130 after Ctrl-C; both leave what was answered in its case and say how to go on. Raises
        RoundWanted where somebody would rather go on with a round.
        """
        try:
            self._from_the_start(words, resume)
        except DangerTold as told:
            return self._stop(told)
        except EOFError:
            return self.interrupted(0)
        except KeyboardInterrupt:
            return self.interrupted(CTRL_C)
        except DiagnoseError:
            self._say_how_to_go_on()
            raise
        return 0

    def _from_the_start(self, words: str, resume: int | None) -> None:
        if words and not is_named(self.desk, words) and (heard := told_danger(self.console, words)):
            raise DangerTold(heard)
        if resume is not None:
            self._take_up(self.desk.resume_walk(resume, words))
            return
        symptom = self._meant(words)
        if not symptom:
            try:
                waiting = self._older_cases()
            except SomethingNew as new:
                waiting, symptom = None, self._meant(new.words)
            if waiting is not None:
                self._take_up(self.desk.resume_walk(waiting))
                return
        if not symptom:
            self._speak_of_the_card()
            symptom = ask_symptom(self.console, self.desk, self.rounds)
        if symptom and self.known is not None:
            known = self.known(self.desk.tree(symptom))
            self.walk(self.desk.open_walk(symptom, findings=known.findings, tried=known.tried))
        elif symptom:
            self.walk(self.desk.open_walk(symptom))

    def _take_up(self, opened: Opened) -> None:
        """Go on with a walk; what a round has opened is noted on that round as well."""
        from diagnose.terminal.round_of_walk import noted_on_its_rounds, tell_of_its_round

        try:
            self.walk(opened)
        finally:
            round = noted_on_its_rounds(self.desk, opened, self.last or opened)
        if round is not None:
            tell_of_its_round(self.console, self.desk, round, self.last or opened)

    def _meant(self, words: str) -> str:
        """The symptom that words mean; nothing where there are none, or none of those offered is meant."""
        if not words:
            return ""
        self._speak_of_the_card()
        return symptom_meant(self.console, self.desk, words)

    def _older_cases(self) -> int | None:
        """Ask about the outcome of an older case; returns a case to go on with, if one is wanted."""
        seen = peek(self.desk.url)
        self.rounds = rounds_left(self.desk, seen)
        # A store on a server cannot be looked into in passing, so there the store itself is asked.
        on_server = "://" in self.desk.url and seen == Peek()
        if seen.awaits_outcome or on_server:
            from diagnose.terminal.outcomes import ask_outcome

            ask_outcome(self.console, self.desk)
        resumable = seen.resumable or (on_server and bool(self.desk.waiting_cases()))
        return offer_to_resume(self.console, self.desk) if resumable else None

    def walk(self, opened: Opened) -> tuple[End, tuple[Opened, ...]]:
        """Walk to the end, in other trees as well where one hands over, and offer the sheet.

        Returns the end and the walks that led there, the last of them last.
        """
        from diagnose.terminal.conversation import end_page
        from diagnose.terminal.endings import handed_over_page
        from diagnose.terminal.handing_over import offer_sheet
        from diagnose.terminal.keeping_facts import offer_to_keep

        self._speak_of_the_card()
        walked = [opened]
        while True:
            self.opened = self.last = opened
            end = self._converse(opened)
            if not isinstance(end, HandedOver):
                break
            following = self.desk.hand_over(opened, end)
            page = handed_over_page(
                end, following.tree.symptom, self.console.width(), shipped=opened.tree.shipped
            )
            self.console.show(page.lines)
            opened = following
            walked.append(opened)
        self.opened = None
        to_print = self.desk.sheet_command(opened.case)
        while isinstance(end, Referred | Stopped) and offer_sheet(self.console, end, opened, to_print):
            stopped = opened.walk.danger()
            assert isinstance(stopped, End)
            end = stopped
            page = end_page(end, self.console.width(), shipped=opened.tree.shipped, code=opened.code())
            self.console.show(page.lines)
        if not isinstance(end, Stopped):
            offer_to_keep(self.console, self.desk, walked, end)
        return end, tuple(walked)

    def _speak_of_the_card(self) -> None:
        """Once, before the first question: that a card is used which nobody named, and what is due by it."""
        if self.spoken:
            return
        self.spoken = True
        page = Page(self.console.width())
        if self.desk.by_default and self.desk.card is not None:
            page = card_in_use(self.desk.card.name, self.console.width())
        due = self.desk.overdue()
        if due:
            page.say("NOTICE", "strong")
            for sentence in due:
                page.say(sentence, indent=2)
            page.gap()
        self.console.show(page.lines)

    def _converse(self, opened: Opened) -> End:
        from diagnose.terminal.conversation import Conversation

        return Conversation(
            opened.walk,
            self.console,
            shipped=opened.tree.shipped,
            again=self.desk.resume_command(opened.case),
            confirm=self.desk.confirm_command(opened.case),
            code=opened.code,
            when_shown=opened.get_ready,
            returned=opened.reasoner.returned,
        ).run()

    def _stop(self, told: DangerTold) -> int:
        """The stop for a danger told before any walk."""
        from diagnose.terminal.endings import stopped_end

        referrals = self.desk.trees.common().referrals
        numbers, own = self.desk.calling.numbers, self.desk.own_numbers
        end = stop_before_a_walk(told.heard, referrals, numbers, own)
        self.console.show(stopped_end(end, self.console.width()).lines)
        return 0

    def interrupted(self, code: int) -> int:
        """Leave the walk off where it stands and say how to go on."""
        if self.opened is not None and not isinstance(self.opened.walk.view(), End):
            self.opened.walk.leave_off()
        self._say_how_to_go_on()
        return code

    def _say_how_to_go_on(self) -> None:
        from diagnose.terminal.endings import interrupted_page

        if self.opened is not None:
            again = self.desk.resume_command(self.opened.case)
            self.console.show(interrupted_page(self.opened.case, again, self.console.width()).lines)


def warm_up() -> None:
    """Load, in a thread of its own, what a walk needs, while the first screen is being read."""
    load_ahead(_import_quietly)


def _import_quietly() -> None:
    with suppress(ImportError):
        for module in NEEDED_NEXT:
            import_module(module)
