"""The steps of that talk about a new check: what is asked, what may be seen, and what that tells."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from diagnose.knowledge.checks import OTHERWISE
from diagnose.knowledge.common import NONE, Common
from diagnose.knowledge.ids import as_id
from diagnose.revising.extending import NewCause, why_not
from diagnose.revising.extending_offers import hazards_above, proposed_id, telling_words
from diagnose.revising.rendering import Value
from diagnose.terminal.extend_dialogue_asking import Asker
from diagnose.terminal.extend_dialogue_expect import how_likely
from diagnose.terminal.extend_dialogue_remedy import ask_who
from diagnose.terms import Tree
from diagnose.walking.views import Choice

Judge = Callable[[Mapping[str, Value]], Sequence[str]]
ALMOST_CERTAIN = "almost certain"
MOST_ANSWERS = 7


def ask_for_check(
    asker: Asker, tree: Tree, common: Common, new: NewCause, judge: Judge
) -> Mapping[str, Value]:
    """A check as a tree has it, with its id; empty for none. What a hazard forbids is told at once."""
    easy = _easy(new, f"{new.id[:50]}-seen")
    ask = asker.line(
        "Which new check would show it?",
        "Type the question to be asked, or Enter for none.",
        judge=lambda text: judge({**easy, "ask": text}),
    )
    if not ask:
        return {}
    how = asker.line(
        "How does one look, measure or try?",
        "Step by step, or Enter.",
        judge=lambda text: judge({**easy, "ask": ask, "how": text}),
    )
    hazards = frozenset(hazards_above(tree, new.under)) | (frozenset(new.hazard) - {NONE})
    by, hands = ask_who(asker, hazards)
    minutes = asker.number("How many minutes does it take?", usual=2, how="Enter takes 2.", most=10_000)
    starts = asker.choose(
        "Is the appliance started for it?",
        (Choice("no", "No"), Choice("yes", "Yes; it then uses up one of the tries of a walk")),
    )
    answers = _answers(asker)
    this, other = list(answers)[:2]
    if_this = how_likely(
        asker, f'If it is this fault, how likely is "{answers[this]}"?', f"Enter takes {ALMOST_CERTAIN}.",
        usual=ALMOST_CERTAIN,
    )  # fmt: skip
    if_not = how_likely(
        asker, f'If it is another fault, how likely is "{answers[other]}"?', f"Enter takes {ALMOST_CERTAIN}.",
        usual=ALMOST_CERTAIN,
    )  # fmt: skip
    usual = _free_id(tree, common, new)
    id = asker.line(
        f"The id of the check: {usual}",
        "Enter takes it, or type another.",
        usual=usual,
        needed=True,
        judge=lambda text: [each + "." for each in [_why_not(tree, text, common, new)] if each],
    )
    check: dict[str, Value] = {
        "id": id,
        "ask": ask,
        **({"how": how} if how else {}),
        "hands": hands,
        "by": by,
        "minutes": minutes,
        **({"starts": True} if starts == "yes" else {}),
        # A check that only looks inherits no hazard; its caution is shown all the same.
        **({"hazard": _listed(hazards)} if hands == "look" and hazards else {}),
        "answers": answers,
        "expect": {new.id: {this: if_this}, OTHERWISE: {other: if_not}},
    }
    wrong = judge(check)
    for sentence in wrong:
        asker.say(sentence)
    return ask_for_check(asker, tree, common, new, judge) if wrong else check


def _listed(hazards: frozenset[str]) -> Value:
    return next(iter(hazards)) if len(hazards) == 1 else sorted(hazards)


def _easy(new: NewCause, id: str) -> dict[str, Value]:
    """A check of which nothing but its texts can be wrong."""
    return {
        "id": id, "ask": "Is it so?", "hands": "look", "by": "owner", "minutes": 1,
        "answers": {"so": "So", "other": "Other"}, "expect": {new.id: {"so": ALMOST_CERTAIN}},
    }  # fmt: skip


def _answers(asker: Asker) -> dict[str, str]:
    """The answers by id: the one that shows this fault, the one of any other, then more."""
    found: dict[str, str] = {}
    asks = ["What does one see if it is this fault?", "And what if it is another fault?"]
    while len(found) < MOST_ANSWERS:
        needed = len(found) < 2
        text = asker.line(
            asks[len(found)] if needed else "Anything else that one may see?",
            "A few words." if needed else "A few words, or Enter when that is all.",
            needed=needed,
            judge=lambda text: (
                () if _answer_id(text, found) else ("That is no answer, or it is there already.",)
            ),
        )
        if not text:
            break
        found[_answer_id(text, found)] = text
    return found


def _answer_id(text: str, found: Mapping[str, str]) -> str:
    if text.casefold() in (other.casefold() for other in found.values()):
        return ""
    words = telling_words(text) or text.split()
    for many in (1, 2, 3, 4):
        id = as_id(" ".join(words[:many]))
        if id and id not in found and id not in ("not-sure", "otherwise"):
            return id
    return ""


def _free_id(tree: Tree, common: Common, new: NewCause) -> str:
    usual = f"{new.id[:50].rstrip('-')}-seen"
    return proposed_id(tree, f"{new.says} seen", common, new.id) if why_not(tree, usual, common) else usual


def _why_not(tree: Tree, id: str, common: Common, new: NewCause) -> str:
    return "the cause has that id" if id == new.id else why_not(tree, id, common)
