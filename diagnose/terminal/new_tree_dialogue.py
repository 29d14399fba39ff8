"""A talk from which a new tree is made: the symptom, its causes, and the checks that tell them apart."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy

from diagnose.knowledge.common import NONE, Common
from diagnose.knowledge.ids import quoted, why_no_id
from diagnose.revising.drafting import Draft, Drafted, Part
from diagnose.revising.rendering import Value
from diagnose.revising.sheet_of_causes_cells import ids_of, number_of
from diagnose.terminal.console import Console
from diagnose.terminal.extend_dialogue_asking import Asker, BackOne
from diagnose.terminal.extend_dialogue_remedy import ask_for_remedy
from diagnose.terminal.layout import Page
from diagnose.terminal.new_tree_dialogue_checks import ask_for_checks
from diagnose.terminal.new_tree_dialogue_words import free_id, from_words
from diagnose.terms import Tree
from diagnose.walking.views import Choice

Step = Callable[[Part], None]
A_CAUSE: dict[str, Value] = {"says": "It is so", "hazard": NONE, "in_100": 1, "remedy": {"refer": "workshop"}}
"""A cause of which nothing can be wrong."""


class NewTreeDialogue:
    """Asks for a tree; raises LeftOff, DangerTold, and as the console does. Nothing is written here.

    `why_not` says why a symptom cannot have an id, `judge` makes a file of a draft and judges it; `fixed` is
    the symptom's id where it is settled already.
    """

    def __init__(
        self,
        console: Console,
        common: Common,
        why_not: Callable[[str], str],
        judge: Callable[[Draft], Drafted],
        fixed: str = "",
    ) -> None:
        self.console, self.common = console, common
        self.why_not, self.judge, self.fixed = why_not, judge, fixed
        self.asker = Asker(console)
        self.draft = Draft(Part(fixed))

    def run(self) -> Draft:
        """The draft, everything told."""
        self.asker.say("A new symptom", "strong")
        self.asker.say("Enter takes what is offered, or passes the question over.")
        self.asker.say("Or type: back, help, leave off, danger.")
        head = self.draft.head
        steps = [self._symptom, *([] if self.fixed else [self._symptom_id])]
        in_turn([*steps, self._system, self._also_said, self._refer_to, self._cured_when], head, first=True)
        self._causes()
        ask_for_checks(self.asker, self.draft, self.common, self._trouble)
        return self.draft

    def agreed(self, drafted: Drafted) -> bool:
        """Whether the file is agreed to, once it and what is left to do were shown."""
        page = Page(self.console.width()).gap()
        for line in drafted.text.splitlines():
            page.say(line.strip(), indent=min(len(line) - len(line.lstrip()), self.console.width() // 3))
        page.gap()
        if drafted.left:
            page.say("Left to do:", "strong").listing([("-", each) for each in drafted.left])
        self.console.show(page.lines)
        return self.asker.agreed("Write this?")

    def _trouble(self, draft: Draft) -> Sequence[str]:
        return [f"{flaw.message}." for flaw in self.judge(draft).flaws]

    def _symptom(self, head: Part) -> None:
        head.values["symptom"] = self.asker.line(
            "What does the owner notice?",
            "As a sentence, such as: The reading lamp stays dark",
            needed=True,
            judge=lambda text: self._trouble(skeleton({"symptom": text})),
        )

    def _symptom_id(self, head: Part) -> None:
        usual = from_words(str(head.values["symptom"]), lambda id: not self.why_not(id))
        head.id = self.asker.line(
            f"Its id: {usual}" if usual else "What shall its id be?",
            "The file is named after it. Enter takes it, or type another." if usual else "",
            usual=usual,
            needed=True,
            judge=lambda text: [f"{each}." for each in [self.why_not(text)] if each],
        )

    def _system(self, head: Part) -> None:
        choices = [Choice(each.id, each.title) for each in self.common.systems.values()]
        head.values["system"] = self.asker.choose("Which part of the vehicle is it?", choices)

    def _also_said(self, head: Part) -> None:
        def phrases(text: str) -> list[str]:
            return list(dict.fromkeys(part.strip() for part in text.split(",") if part.strip()))

        text = self.asker.line(
            "What else do people say for it?",
            "With commas between, or Enter.",
            judge=lambda text: self._trouble(skeleton({"also_said": phrases(text)})),
        )
        head.values |= {"also_said": phrases(text)} if text else {}

    def _refer_to(self, head: Part) -> None:
        choices = [Choice(each.id, each.to) for each in self.common.referrals.values()]
        choices.sort(key=lambda choice: choice.id != "workshop")
        head.values["refer_to"] = self.asker.choose(
            "Who is called when nothing better is left?", choices, how="Enter takes 1.", usual=choices[0].id
        )

    def _cured_when(self, head: Part) -> None:
        ask = self.asker.line(
            "By which question is it known to be cured?",
            "It is asked after each remedy, and yes means cured, such as: Has it run for ten minutes?",
            needed=True,
            judge=lambda text: self._trouble(skeleton({"cured_when": {"ask": text}})),
        )
        minutes = self.asker.number(
            "How many minutes does that take?", "Enter takes 2.", usual=2, most=10_000
        )
        head.values["cured_when"] = {"ask": ask, "minutes": minutes}

    def _causes(self) -> None:
        events = self.draft.events
        while True:
            part = Part("")
            try:
                steps = [self._says, self._id, self._hazard, self._share, self._remedy, self._prevent]
                in_turn(steps, part)
                events.append(part)
            except NoMore:
                return
            except BackOne:
                if events:
                    self.asker.say(f"Taken back, to be told once more: {events.pop().values['says']}")

    def _with(self, part: Part, **values: Value) -> Sequence[str]:
        """What would be wrong with the tree if the cause said this; what it lacks as yet is no matter."""
        draft = deepcopy(self.draft)
        draft.events.append(Part(part.id or "the-new-cause", A_CAUSE | part.values | values))
        return self._trouble(draft)

    def _says(self, part: Part) -> None:
        first = not self.draft.events
        says = self.asker.line(
            "What can be wrong? Begin with what is most frequent." if first else "What else can be wrong?",
            "One cause, in plain words." if first else "One cause, or Enter when that is all.",
            needed=first,
            judge=lambda text: self._with(Part(""), says=text),
        )
        if not says:
            raise NoMore
        part.values["says"] = says

    def _id(self, part: Part) -> None:
        usual = free_id(str(part.values["says"]), self.draft, self.common)
        part.id = self.asker.line(
            f"Its id: {usual}" if usual else "What shall its id be?",
            "Past cases are kept under it. Enter takes it, or type another." if usual else "",
            usual=usual,
            needed=True,
            judge=self._wrong_id,
        )

    def _wrong_id(self, id: str) -> Sequence[str]:
        if reason := why_no_id(id):
            return (f"{quoted(id)} {reason}.",)
        taken = {part.id for part in self.draft.events} | set(self.common.checks) | set(self.common.facts)
        return (f"{quoted(id)} is taken.",) if id in taken else ()

    def _hazard(self, part: Part) -> None:
        listed = "; ".join(f"{each.id} ({each.says})" for each in self.common.hazards.values())
        words = self.asker.line(
            "What can hurt somebody here?",
            f"Type one word or several, with commas between: {listed}.",
            needed=True,
            judge=lambda text: self._with(part, hazard=_hazards(text), remedy={"refer": "workshop"}),
        )
        part.values["hazard"] = _hazards(words)

    def _share(self, part: Part) -> None:
        def judge(text: str) -> Sequence[str]:
            number, wrong = number_of(text)
            return (f"{quoted(text)}{wrong}.",) if wrong else self._with(part, in_100=number)

        part.values.pop("in_100", None)
        text = self.asker.line(
            "Of 100 vehicles with this symptom, how many turn out to be this?",
            "A figure, or Enter: what remains of 100 is spread evenly.",
            judge=judge,
        )
        part.values |= {"in_100": number_of(text)[0]} if text else {}

    def _remedy(self, part: Part) -> None:
        hazards = part.hazards() - {NONE}
        remedy: Mapping[str, Value] = ask_for_remedy(
            self.asker, self._tree(), hazards, lambda remedy: self._with(part, remedy=remedy)
        )
        part.values["remedy"] = remedy

    def _prevent(self, part: Part) -> None:
        text = self.asker.line(
            "How is it kept from happening next winter?",
            "One sentence, or Enter.",
            judge=lambda text: self._with(part, prevent=text),
        )
        part.values |= {"prevent": text} if text else {}

    def _tree(self) -> Tree:
        """A tree with the words that every tree knows."""
        tree = self.judge(skeleton({"refer_to": self.draft.head.values["refer_to"]})).tree
        assert tree is not None
        return tree


class NoMore(Exception):
    """That was all."""


def in_turn(steps: Sequence[Step], part: Part, *, first: bool = False) -> None:
    """Each step in its turn; back goes to the one before, and beyond the first if there is something."""
    at = 0
    while at < len(steps):
        try:
            steps[at](part)
            at += 1
        except BackOne:
            if at == 0 and not first:
                raise
            at = max(at - 1, 0)


def skeleton(head: Mapping[str, Value]) -> Draft:
    """The least tree, with these keys of its head."""
    least: dict[str, Value] = {
        "symptom": "It is so", "system": "body", "refer_to": "workshop", "cured_when": {"ask": "Is it well?"}
    }  # fmt: skip
    return Draft(Part("", least | dict(head)), [Part("a-cause", dict(A_CAUSE))])


def _hazards(text: str) -> Value:
    words = ids_of(text.lower())
    return words[0] if len(words) == 1 else list(dict.fromkeys(words))
