"""The steps of that talk about a new check: what is asked, what may be seen, and what that tells."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from diagnose.knowledge.checks import OTHERWISE
from diagnose.knowledge.common import NONE, Common
from diagnose.revising.extending import NewCause, why_not
from diagnose.revising.extending_offers import answer_id, hazards_above, proposed_id
from diagnose.revising.rendering import Value
from diagnose.terminal.extend_dialogue_asking import Asker
from diagnose.terminal.extend_dialogue_expect import how_likely
from diagnose.terminal.extend_dialogue_more import OF_A_CHECK, ask_for_more, known_of
from diagnose.terminal.extend_dialogue_reading import bands_in_words
from diagnose.terminal.extend_dialogue_remedy import ask_who
from diagnose.terms import Tree
from diagnose.walking.views import Choice

Judge = Callable[[Mapping[str, Value]], Sequence[str]]
ALMOST_CERTAIN = "almost certain"
MOST_ANSWERS = 7
NO_ANSWER = "That is no answer, or it is there already."


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
    done: dict[str, Value] = {
        "hands": hands, "by": by, "minutes": minutes, **({"starts": True} if starts == "yes" else {})
    }  # fmt: skip
    more = ask_for_more(
        asker, "this check", OF_A_CHECK, known_of(tree),
        lambda more: judge(_with_bands({**easy, **done, **more}, new)),
    )  # fmt: skip
    answers, expect = _told_apart(asker, more, new.id)
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
        **done,
        # A check that only looks inherits no hazard; its caution is shown all the same.
        **({"hazard": _listed(hazards)} if hands == "look" and hazards else {}),
        **more,
        **answers,
        "expect": expect,
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


def _with_bands(check: dict[str, Value], new: NewCause) -> dict[str, Value]:
    """The check; where it has bands they are its answers, and the first shows the cause."""
    bands = check.get("bands")
    if not isinstance(bands, Mapping):
        return check
    return {key: each for key, each in check.items() if key != "answers"} | {
        "expect": {new.id: {next(iter(bands)): ALMOST_CERTAIN}}
    }


def _told_apart(asker: Asker, more: Mapping[str, Value], cause: str) -> tuple[dict[str, Value], Value]:
    """`answers` where no bands stand for them, and `expect`: what this cause shows, and what others do."""
    answers, this, other = _measured(asker, more) if "bands" in more else _seen(asker)
    rows: dict[str, Value] = {}
    for id, fault, answer in ((cause, "this fault", this), (OTHERWISE, "another fault", other)):
        ask = f'If it is {fault}, how likely is "{answers[answer]}"?'
        word = how_likely(asker, ask, f"Enter takes {ALMOST_CERTAIN}.", usual=ALMOST_CERTAIN)
        rows[id] = {answer: word}
    return {} if "bands" in more else {"answers": answers}, rows


def _measured(asker: Asker, more: Mapping[str, Value]) -> tuple[dict[str, str], str, str]:
    """The bands by id, the one that shows this fault and the one of any other."""
    bands = bands_in_words(more)
    choices = [Choice(id, says) for id, says in bands.items()]
    this = asker.choose("What does it read if it is this fault?", choices)
    others = [choice for choice in choices if choice.id != this]
    return bands, this, asker.choose("And if it is another fault?", others)


def _seen(asker: Asker) -> tuple[dict[str, str], str, str]:
    """The answers by id, the one that shows this fault and the one of any other."""
    answers = _answers(asker)
    this, other = list(answers)[:2]
    return answers, this, other


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
            judge=lambda text: () if answer_id(text, found) else (NO_ANSWER,),
        )
        if not text:
            break
        found[answer_id(text, found)] = text
    return found


def _free_id(tree: Tree, common: Common, new: NewCause) -> str:
    usual = f"{new.id[:50].rstrip('-')}-seen"
    return proposed_id(tree, f"{new.says} seen", common, new.id) if why_not(tree, usual, common) else usual


def _why_not(tree: Tree, id: str, common: Common, new: NewCause) -> str:
    return "the cause has that id" if id == new.id else why_not(tree, id, common)
