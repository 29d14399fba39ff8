"""A talk by which a technician puts a newly met cause into a tree; each step is judged as it is told."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from diagnose.cases.records import Entry
from diagnose.knowledge.common import NONE, Common
from diagnose.revising.extending import STEPS, NewCause, Step, why_not
from diagnose.revising.extending_offers import (
    causes_alike,
    events_like,
    hazards_above,
    proposed_id,
    trouble,
)
from diagnose.revising.extending_shares import (
    OTHERS,
    Counted,
    Others,
    ShareTooLarge,
    new_shares,
    suggested_share,
    total_share,
    usual_others,
)
from diagnose.revising.rendering import Value
from diagnose.terminal.console import Console
from diagnose.terminal.extend_dialogue_asking import Asker, BackOne
from diagnose.terminal.extend_dialogue_checks import ask_for_check
from diagnose.terminal.extend_dialogue_expect import ask_for_rows
from diagnose.terminal.extend_dialogue_remedy import ask_for_remedy
from diagnose.terms import TOP, Tree
from diagnose.walking.views import Choice

MOST = 8
TOP_WORD = "faults"
"""How the symptom itself is called among events."""
CALLED: Mapping[Step, str] = {
    "says": "The words for the cause",
    "under": "Where it belongs",
    "id": "Its id",
    "in_100": "Its share",
    "hazard": "Its hazards",
    "remedy": "What is done about it",
    "prevent": "How it is prevented",
    "expect": "What existing checks would show",
    "check": "A new check",
}


@dataclass(frozen=True, slots=True)
class Bench:
    """What lies before the technician: the tree with its text, and the case that it did not explain."""

    text: str
    tree: Tree
    common: Common
    case: int
    entries: Sequence[Entry]
    counted: Counted


class ExtendDialogue:
    """Asks for a new cause; raises LeftOff, DangerTold, and as the console does. Nothing is written here."""

    def __init__(self, console: Console, bench: Bench) -> None:
        self.bench, self.tree = bench, bench.tree
        self.asker = Asker(console)
        self.steps: Mapping[Step, Callable[[NewCause], NewCause]] = {
            "says": self._says,
            "under": self._under,
            "id": self._id,
            "in_100": self._share,
            "hazard": self._hazard,
            "remedy": self._remedy,
            "prevent": self._prevent,
            "expect": self._expect,
            "check": self._check,
        }

    def run(self) -> NewCause:
        """The cause, every step told."""
        say = self.asker.say
        say(f"A new cause for: {self.tree.symptom}", "strong")
        say(f"From case {self.bench.case}. Enter takes what is offered.")
        say("Or type: back, help, leave off, danger.")
        new, at = NewCause(), 0
        while at < len(STEPS):
            try:
                new = self.steps[STEPS[at]](new)
                at += 1
            except BackOne:
                at = max(at - 1, 0)
        return new

    def again(self, new: NewCause) -> NewCause:
        """The cause with one step told once more."""
        try:
            step = self.asker.choose("Which step?", [Choice(step, CALLED[step]) for step in STEPS], usual="")
            told = next((each for each in STEPS if each == step), None)
            return self.steps[told](new) if told is not None else new
        except BackOne:
            return new

    def wrong_with(self, new: NewCause) -> Sequence[str]:
        """What would be wrong with the tree, in sentences."""
        flaws = trouble(self.bench.text, self.tree, new, self.bench.common)
        return [flaw.message + "." for flaw in flaws]

    def _says(self, new: NewCause) -> NewCause:
        says = self.asker.line(
            "What was wrong?",
            "In plain words, as an owner would understand them, such as: Water stands in the exhaust pipe",
            needed=True,
            judge=lambda text: self.wrong_with(replace(NewCause(), says=text)),
        )
        alike = causes_alike(self.tree, says)
        if alike:
            self.asker.say("The tree has something like it already:")
            for match in alike:
                self.asker.say(f"{match.cause}: {match.says}", indent=2)
            self.asker.say(
                f"If it is that, type leave off and then: diagnose cases confirm {self.bench.case} "
                f"{alike[0].cause}"
            )
        return replace(new, says=says)

    def _under(self, new: NewCause) -> NewCause:
        words = new.says
        while True:
            picked, words = self._event_picked(words)
            if picked is None:
                continue
            moved = replace(new, under=picked, id="", remedy={}, hazard=(), expect={}, check={})
            wrong = self.wrong_with(moved)
            if not wrong:
                bare = bool(hazards_above(self.tree, picked)) and new.hazard == (NONE,)
                return replace(new, under=picked, hazard=() if bare else new.hazard)
            for sentence in wrong:
                self.asker.say(sentence)

    def _event_picked(self, words: str) -> tuple[str | None, str]:
        """The event, or None and the other words that were typed."""
        other: list[str] = []

        def take(text: str) -> str:
            other.append(text)
            return ""

        picked = self.asker.choose(
            "Where does it belong? It leads to:",
            [Choice(id or TOP_WORD, self._event(id)) for id in events_like(self.tree, words)[:MOST]],
            how="Pick what it brings about, or type other words to look for.",
            other=take,
        )
        if other:
            return None, other[0]
        return (TOP if picked == TOP_WORD else picked), words

    def _event(self, id: str) -> str:
        if id == TOP:
            return f"none of these, straight to: {self.tree.symptom}"
        causes = [each for each in self.tree.causes() if each.chain[:1] == (id,)]
        such = "; ".join(each.says for each in causes[:2])
        return self.tree.events[id].says + (f" (such as: {such})" if such else "")

    def _id(self, new: NewCause) -> NewCause:
        usual = proposed_id(self.tree, new.says, self.bench.common)
        id = self.asker.line(
            f"Its id: {usual}" if usual else "What shall its id be?",
            "Past cases are kept under it. Enter takes it, or type another." if usual else "",
            usual=usual,
            needed=True,
            judge=lambda text: [each + "." for each in [why_not(self.tree, text, self.bench.common)] if each],
        )
        check = {**new.check, "expect": renamed_row(new.check, new.id, id)} if new.check else new.check
        return replace(new, id=id, check=check)

    def _share(self, new: NewCause) -> NewCause:
        counted = self.bench.counted
        usual = suggested_share(self.tree, counted)
        cases = "case" if counted.confirmed == 1 else "cases"
        share = self.asker.number(
            "Of 100 vehicles with this symptom, how many turn out to be this?",
            f"Not listed were {counted.not_listed} of {counted.confirmed} confirmed {cases} of this symptom. "
            f"Enter takes {usual:g}. The cases themselves count on top of the file's figure.",
            usual=usual,
            most=100,
        )
        told = replace(new, in_100=share, others=self._others(share))
        wrong = self.wrong_with(told)
        for sentence in wrong:
            self.asker.say(sentence)
        return self._share(new) if wrong else told

    def _others(self, share: float) -> Others:
        """From where the share is taken."""
        total, left = total_share(self.tree), self.tree.not_listed - share
        choices = [Choice("as-they-are", f"From none; the sum is then {total + share:.4g}")]
        with suppress(ShareTooLarge):
            scaled = new_shares(self.tree, share)
            largest = max(scaled, key=lambda id: scaled[id])
            was = f"{largest} {self.tree.events[largest].in_100:g} -> {scaled[largest]:g}"
            choices.insert(0, Choice("scaled", f"From all others, each a little smaller ({was})"))
        if left > 0:
            was = f"{self.tree.not_listed:g} -> {left:g}"
            choices.insert(0, Choice("not-listed", f"From what is not listed ({was})"))
        usual = usual_others(self.tree, share)
        if usual not in [choice.id for choice in choices]:
            usual = "as-they-are"
        number = [choice.id for choice in choices].index(usual) + 1
        picked = self.asker.choose(
            f"The shares add up to {total:.4g} now. Where is it taken from?",
            choices,
            how=f"Enter takes {number}.",
            usual=usual,
        )
        return next(each for each in OTHERS if each == picked)

    def _hazard(self, new: NewCause) -> NewCause:
        above = hazards_above(self.tree, new.under)
        hazards = self.tree.hazards
        others = [id for id in hazards if id not in above and (id != NONE or not above)]
        inherited = "; ".join(hazards[id].says for id in above)
        listed = ", ".join(others)
        words = self.asker.line(
            "What can hurt somebody here?",
            (f"From above it has: {inherited}. Enter if that is all. " if above else "")
            + f"Type the words, with commas between: {listed}.",
            needed=not above,
            judge=lambda text: self.wrong_with(replace(new, hazard=_words(text), remedy={}, check={})),
        )
        return replace(new, hazard=tuple(word for word in _words(words) if word not in above))

    def _remedy(self, new: NewCause) -> NewCause:
        remedy = ask_for_remedy(
            self.asker,
            self.tree,
            frozenset(hazards_above(self.tree, new.under)) | (frozenset(new.hazard) - {NONE}),
            lambda remedy: self.wrong_with(replace(new, remedy=remedy)),
        )
        return replace(new, remedy=remedy)

    def _prevent(self, new: NewCause) -> NewCause:
        prevent = self.asker.line(
            "How is it kept from happening next winter?",
            "One sentence, or Enter.",
            judge=lambda text: self.wrong_with(replace(new, prevent=text)),
        )
        return replace(new, prevent=prevent)

    def _expect(self, new: NewCause) -> NewCause:
        rows = ask_for_rows(
            self.asker, self.tree, self.bench.entries, new.under,
            lambda rows: self.wrong_with(replace(new, expect=rows, check={})),
        )  # fmt: skip
        return replace(new, expect=rows)

    def _check(self, new: NewCause) -> NewCause:
        check = ask_for_check(
            self.asker, self.tree, self.bench.common, new,
            lambda check: self.wrong_with(replace(new, check=check)),
        )  # fmt: skip
        return replace(new, check=check)


def renamed_row(check: Mapping[str, Value], old: str, new: str) -> Value:
    """What a check expects, with the cause under its new id."""
    expect = check.get("expect")
    return (
        {new if id == old else id: row for id, row in expect.items()} if isinstance(expect, Mapping) else {}
    )


def _words(text: str) -> tuple[str, ...]:
    return tuple(word for word in text.lower().replace(",", " ").split() if word != "and")
