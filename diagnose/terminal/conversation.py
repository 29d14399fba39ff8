"""One walk at a prompt: shows a view, understands what is typed, and says it to the walk.

Everything that a walk refuses is said in a sentence and asked again. Ctrl-C and the end of the input leave
the walk off where it stands; each answer was durable before the next question was shown.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field

from diagnose.reasoning.learning import Return
from diagnose.terminal.console import Console
from diagnose.terminal.dangers import told_danger
from diagnose.terminal.endings import (
    cured_end,
    left_off_end,
    not_for_this_end,
    referred_end,
    stopped_end,
)
from diagnose.terminal.explaining import help_page, wants_the_word, what_would_be_right, why_page
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.questions import (
    cleared_page,
    cured_page,
    question_page,
    remedy_page,
    reminder_page,
    unsure_page,
)
from diagnose.terminal.returning import rests_on_cases, still_missing
from diagnose.terminal.understanding import Chosen, Command, Ordered, Unclear, command_of, meaning
from diagnose.walking.readings import BadReading, parse_reading
from diagnose.walking.views import (
    Choice,
    ClearedQuestion,
    Cured,
    CuredQuestion,
    End,
    HandedOver,
    LeftOff,
    NotForThis,
    Question,
    Referred,
    RemedyOffered,
    Stopped,
    Unsure,
    View,
)
from diagnose.walking.walk import NotNow, Walk


@dataclass(slots=True)
class Conversation:
    """A walk and the console at which it is walked."""

    walk: Walk
    console: Console
    shipped: bool = True
    when_shown: Callable[[], None] = lambda: None
    """Called once, when the first question is on the screen: the time to load what the second needs."""
    again: str = ""
    """The command by which this walk is taken up again."""
    confirm: str = ""
    """The command by which it is said what the case turned out to be."""
    code: Callable[[], str] = str
    """The code by which the engineer's answer comes back, once the walk has ended."""
    returned: Callable[[], Sequence[Return]] = tuple
    """How the outcomes of past cases came back, by ending."""
    been: set[str] = field(default_factory=set)
    """The places where somebody has been in this walk."""

    def run(self) -> End:
        """Ask until the walk ends; returns the end, which has been shown (a hand-over is left to the caller).

        Raises KeyboardInterrupt and EOFError as the console does; all that was answered is kept then.
        """
        view, first = self.walk.view(), True
        while not isinstance(view, End):
            self._ask(view, first)
            if first:
                self.when_shown()
            view, first = self._until_it_moves_on(view), False
        if not isinstance(view, HandedOver):
            self._show(self._end_page(view))
        return view

    def _end_page(self, view: End) -> Page:
        code = self.code() if isinstance(view, Referred | Stopped) else ""
        return end_page(
            view,
            self.console.width(),
            shipped=self.shipped,
            again=self.again,
            confirm=self.confirm,
            code=code,
        )

    def _ask(self, view: View, first: bool) -> None:
        """Show a view that asks something; a caution that has left a small screen is pointed to."""
        missing = still_missing(self.returned()) if rests_on_cases(view.ranking) else ""
        width, shipped = self.console.width(), self.shipped
        page = page_of(view, width, shipped=shipped, first=first, been=self.been, missing=missing)
        height = self.console.height()
        if view.cautions and height is not None and len(page.lines) > height - 2:
            page.say("The cautions stand above: scroll up to read them.", "strong")
        self._show(page)

    def _until_it_moves_on(self, view: View) -> View:
        """Read lines until one of them takes the walk on; returns the next view."""
        while True:
            try:
                following = self._take(view, self.console.ask())
            except (NotNow, BadReading) as refusal:
                self._show(Page(self.console.width()).say(str(refusal)))
                continue
            if following is not None:
                self._remember_place(view)
                return following

    def _take(self, view: View, typed: str) -> View | None:
        """Say one line to the walk; None if the same question stands."""
        meant = self._meant(view, typed)
        if isinstance(meant, Chosen):
            return self.walk.answer(meant.choice.id)
        if isinstance(meant, Ordered):
            return self._order(view, meant.command, meant.times)
        if told_danger(self.console, typed) is not None:
            return self.walk.danger()
        measures = view.measures if isinstance(view, Question | Unsure) else None
        if measures is not None and any(letter.isdigit() for letter in typed):
            value = parse_reading(typed, measures)
            following = self.walk.reading(value)
            assert isinstance(view, Question | Unsure), "nothing else measures"
            self._say_what_it_means(view.check, value)
            return following
        self._show(what_would_be_right(view, meant, self.console.width()))
        return None

    def _meant(self, view: View, typed: str) -> Chosen | Ordered | Unclear:
        choices = choices_of(view)
        if not choices:
            return command_of(typed) or Unclear()
        measured = isinstance(view, Question | Unsure) and view.measures is not None
        return meaning(typed, choices, whole=wants_the_word(view), numbered=not measured)

    def _order(self, view: View, command: Command, times: int) -> View | None:
        match command:
            case "danger":
                return self.walk.danger()
            case "leave off":
                return self.walk.leave_off()
            case "back":
                return self.walk.back(times)
            case "not sure":
                return self.walk.not_sure()
            case "could not":
                return self.walk.could_not() if isinstance(view, RemedyOffered) else self.walk.not_sure()
            case "why":
                reason = self.walk.why()
                assert isinstance(view, Question | RemedyOffered), "others are not reckoned"
                width = self.console.width()
                self._show(why_page(reason, view, width, self.been, self.returned()))
            case "help":
                self._show(help_page(view, self.console.width()))
        self._show(reminder_page(view, self.console.width()))
        return None

    def _say_what_it_means(self, check: str, value: float) -> None:
        from diagnose.walking.reading_meanings import meaning_of_reading

        tree = self.walk.tree
        known = tree.checks.get(check) or tree.facts[check]
        meaning = meaning_of_reading(known, tree.system, value, self.walk.situation.findings)
        if meaning:
            self._show(Page(self.console.width()).say(meaning))

    def _remember_place(self, view: View) -> None:
        if isinstance(view, Question):
            self.been.add(view.where.place)
        elif isinstance(view, RemedyOffered):
            self.been.update(where.place for where in view.where)

    def _show(self, page: Page) -> None:
        self.console.show([Line(""), *page.lines])


def choices_of(view: View) -> tuple[Choice, ...]:
    """The answers that a view takes."""
    if isinstance(view, Question | Unsure | RemedyOffered | CuredQuestion | ClearedQuestion):
        return view.choices
    return ()


def page_of(
    view: View,
    width: int,
    *,
    shipped: bool,
    first: bool = False,
    been: Collection[str] = (),
    missing: str = "",
) -> Page:
    """The screen of a view that asks something."""
    match view:
        case Question():
            return question_page(view, width, shipped=shipped, first=first, been=been, missing=missing)
        case Unsure():
            return unsure_page(view, width, shipped=shipped)
        case RemedyOffered():
            return remedy_page(view, width, shipped=shipped, first=first, been=been, missing=missing)
        case CuredQuestion():
            return cured_page(view, width, shipped=shipped)
        case ClearedQuestion():
            return cleared_page(view, width, shipped=shipped)
    raise TypeError(f"no screen asks {type(view).__name__}")


def end_page(
    view: End, width: int, *, shipped: bool, again: str = "", confirm: str = "", code: str = ""
) -> Page:
    """The screen of an end; `again` and `confirm` are commands to go on with it and to say what it was."""
    match view:
        case Cured():
            return cured_end(view, width, shipped=shipped, confirm=confirm)
        case Referred():
            return referred_end(view, width, shipped=shipped, code=code)
        case Stopped():
            return stopped_end(view, width, shipped=shipped, code=code)
        case LeftOff():
            return left_off_end(view, width, shipped=shipped, again=again)
        case NotForThis():
            return not_for_this_end(view, width, shipped=shipped)
    raise TypeError(f"no screen ends with {type(view).__name__}")
