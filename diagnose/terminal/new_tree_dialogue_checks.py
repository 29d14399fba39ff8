"""The steps of that talk about checks: what is asked, what may be seen, and which cause shows what."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy

from diagnose.knowledge.checks import OTHERWISE
from diagnose.knowledge.common import NONE, Common
from diagnose.revising.drafting import Draft, Part
from diagnose.revising.extending_offers import answer_id
from diagnose.revising.rendering import Value
from diagnose.revising.sheet_of_causes_cells import USUAL_WEIGHT
from diagnose.terminal.extend_dialogue_asking import Asker, BackOne
from diagnose.terminal.extend_dialogue_checks import NO_ANSWER
from diagnose.terminal.extend_dialogue_more import OF_A_CHECK, Known, ask_for_more
from diagnose.terminal.extend_dialogue_reading import bands_in_words
from diagnose.terminal.extend_dialogue_remedy import ask_who
from diagnose.terminal.new_tree_dialogue_words import free_id
from diagnose.walking.views import Choice

Trouble = Callable[[Draft], Sequence[str]]
MOST_ANSWERS = 7
WEIGHTS_LEFT = (
    f"expect: every answer that was picked is written as {USUAL_WEIGHT}; be more exact where you know more"
)
A_CHECK: dict[str, Value] = {
    "ask": "Is it so?", "by": "owner", "hands": "look", "minutes": 1, "answers": {"so": "So", "not": "Not"},
}  # fmt: skip
"""A check of which nothing can be wrong."""


def ask_for_checks(asker: Asker, draft: Draft, common: Common, trouble: Trouble) -> None:
    """Checks one after the other, put into the draft; back takes the one before back."""
    while True:
        try:
            check = _check(asker, draft, common, trouble)
        except BackOne:
            if draft.checks:
                taken = draft.checks.pop()
                first = draft.head.values.get("ask_first", ())
                if isinstance(first, list) and taken.id in first:
                    first.remove(taken.id)
                asker.say(f"Taken back, to be told once more: {taken.values['ask']}")
            continue
        if check is None:
            break
        wrong = _wrong_with(check, draft, trouble)
        for sentence in wrong:
            asker.say(sentence)
        if not wrong:
            draft.checks.append(check)
            if "stop_on" in check.values:
                _ask_first(check.id, draft)
    if draft.checks:
        draft.left.append(WEIGHTS_LEFT)


def _check(asker: Asker, draft: Draft, common: Common, trouble: Trouble) -> Part | None:
    def judge(key: str) -> Callable[[str], Sequence[str]]:
        return lambda text: _wrong_with(Part("the-new-check", A_CHECK | {key: text}), draft, trouble)

    first = not draft.checks
    ask = asker.line(
        "Which question, look or measurement tells these causes apart?" if first else "Which other one?",
        "As a question to the owner, or Enter when that is all.",
        judge=judge("ask"),
    )
    if not ask:
        return None
    try:
        how = asker.line("How does one look, measure or try?", "Step by step, or Enter.", judge=judge("how"))
        by, hands = ask_who(asker, frozenset())
        minutes = asker.number("How many minutes does it take?", "Enter takes 2.", usual=2, most=10_000)
        who: dict[str, Value] = {"by": by, "hands": hands, "minutes": minutes}
        more = ask_for_more(
            asker, "this check", OF_A_CHECK, Known(common.places),
            lambda more: _wrong_with(_measured(A_CHECK | who | dict(more)), draft, trouble),
        )  # fmt: skip
        answers = bands_in_words(more) if "bands" in more else _answers(asker)
        stop = _stop(asker, answers, common) if by == "owner" else {}
        expect = _expect(asker, draft, answers)
    except BackOne:
        return _check(asker, draft, common, trouble)
    named = frozenset[str]().union(*(part.hazards() for part in draft.events if part.id in expect)) - {NONE}
    values: dict[str, Value] = {"ask": ask, **({"how": how} if how else {})}
    values |= {**who, **more, **({} if "bands" in more else {"answers": dict(answers)}), **stop}
    # A check that only looks inherits no hazard; its caution is shown all the same.
    values |= {"hazard": sorted(named)} if named and hands == "look" else {}
    return Part(free_id(ask, draft, common) or "check-2", values, expect=expect)


def _measured(values: dict[str, Value]) -> Part:
    """A check with these values, whose answers are its bands where it has some."""
    return Part(
        "the-new-check",
        {key: each for key, each in values.items() if key != "answers" or "bands" not in values},
    )


def _stop(asker: Asker, answers: Mapping[str, str], common: Common) -> dict[str, Value]:
    """The answer at which everybody stops, and to whom it refers; nothing where there is none."""
    stop = asker.choose(
        "Does one of these mean that everybody must stop at once?",
        [Choice(id, says) for id, says in answers.items()],
        how="It is then asked before anything else. Enter for none.",
        usual="",
    )
    if not stop:
        return {}
    referrals = [Choice(each.id, each.to) for each in common.referrals.values()]
    return {"stop_on": stop, "refer": asker.choose("Who is called then?", referrals)}


def _ask_first(id: str, draft: Draft) -> None:
    further = draft.head.values.get("ask_first", ())
    before = [] if isinstance(further, str) or not isinstance(further, Sequence) else list(further)
    draft.head.values["ask_first"] = [*before, id]


def _wrong_with(check: Part, draft: Draft, trouble: Trouble) -> Sequence[str]:
    changed = deepcopy(draft)
    changed.checks.append(check)
    return trouble(changed)


def _answers(asker: Asker) -> Mapping[str, str]:
    """Two answers or more, by id."""
    found: dict[str, str] = {}
    asks = ["What is one answer?", "What is another answer?"]
    while len(found) < MOST_ANSWERS:
        needed = len(found) < 2
        text = asker.line(
            asks[len(found)] if needed else "Yet another answer?",
            "A few words." if needed else "A few words, or Enter when that is all.",
            needed=needed,
            judge=lambda text: () if answer_id(text, found) else (NO_ANSWER,),
        )
        if not text:
            break
        found[answer_id(text, found)] = text
    return found


def _expect(asker: Asker, draft: Draft, answers: Mapping[str, str]) -> dict[str, Mapping[str, Value]]:
    choices = [Choice(id, says) for id, says in answers.items()]
    expect: dict[str, Mapping[str, Value]] = {}
    for part in draft.causes():
        answer = asker.choose(
            f"{part.values['says']}: what would it show then?",
            choices,
            how="Enter if it tells nothing about this cause.",
            usual="",
        )
        expect |= {part.id: {answer: USUAL_WEIGHT}} if answer else {}
    other = asker.choose(
        "And if it is anything else?", choices, how="Enter if that cannot be said.", usual=""
    )
    return expect | ({OTHERWISE: {other: USUAL_WEIGHT}} if other else {})
