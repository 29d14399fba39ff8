"""The steps of that talk about what is done: by whom, with what in hand, how long, or by referral."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from diagnose.knowledge.hazards import NO_OPENING, tools_forbidden
from diagnose.revising.rendering import Value
from diagnose.terminal.extend_dialogue_asking import Asker
from diagnose.terminal.extend_dialogue_more import OF_A_REMEDY, ask_for_more, known_of
from diagnose.terms import Tree
from diagnose.walking.views import Choice

HANDS = (
    Choice("look", "Looking is enough"),
    Choice("controls", "Only what has a handle, knob or switch, by hand"),
    Choice("tools", "Tools"),
)
BY = (Choice("owner", "The owner can do it"), Choice("technician", "Only a technician"))
Judge = Callable[[Mapping[str, Value]], Sequence[str]]


def ask_for_remedy(asker: Asker, tree: Tree, hazards: frozenset[str], judge: Judge) -> Mapping[str, Value]:
    """A remedy as a tree has it; what a hazard forbids is told as soon as it is typed."""
    kind = asker.choose(
        "What is done about it?",
        (
            Choice("do", "Something that can be done on the spot"),
            Choice("refer", "It is handed over to somebody qualified"),
            Choice("see", "Another tree knows it better"),
        ),
    )
    if kind == "refer":
        return {"refer": _referral(asker, tree, hazards)}
    if kind == "see":
        other = asker.line("Which tree? Type its id.", needed=True, judge=lambda id: judge({"see": id}))
        return {"see": other}
    return _to_do(asker, tree, hazards, judge)


def _referral(asker: Asker, tree: Tree, hazards: frozenset[str]) -> str:
    """To whom, those first whom the hazards call for; under gas and mains those alone that are fixed."""
    fixed = bool(hazards & set(NO_OPENING))
    wanted = [hazard.referral for hazard in tree.hazards.values() if hazard.id in hazards and hazard.referral]
    everybody = [each for each in tree.referrals.values() if each.fixed or not fixed]
    ordered = sorted(everybody, key=lambda each: (each.id not in wanted, each.id != tree.refer_to))
    choices = [Choice(each.id, each.to) for each in ordered][:9]
    return asker.choose("To whom?", choices, how="Enter takes the first.", usual=choices[0].id)


def _to_do(asker: Asker, tree: Tree, hazards: frozenset[str], judge: Judge) -> Mapping[str, Value]:
    easy: dict[str, Value] = {"by": "owner", "hands": "look", "minutes": 1}
    do = asker.line(
        "What has to be done?",
        "As you would tell an owner, one step after the other.",
        needed=True,
        judge=lambda text: judge({"do": text, **easy}),
    )
    how = asker.line(
        "What has to be minded while doing it?",
        "One or two sentences, or Enter.",
        judge=lambda text: judge({"do": do, **easy, "how": text}),
    )
    by, hands = ask_who(asker, hazards)
    minutes = asker.number("How many minutes of work?", usual=None, most=10_000)
    price = asker.line("What do the parts cost?", "A figure, or Enter for nothing.", judge=_price)
    remedy: dict[str, Value] = {"do": do, "by": by, "hands": hands, "minutes": minutes}
    remedy |= {"how": how} if how else {}
    remedy |= {"price": float(price)} if price and float(price) > 0 else {}
    wrong = judge(remedy)
    for sentence in wrong:
        asker.say(sentence)
    if wrong:
        return _to_do(asker, tree, hazards, judge)
    more = ask_for_more(
        asker, "this remedy", OF_A_REMEDY, known_of(tree), lambda more: judge({**remedy, **more})
    )
    return {**remedy, **more}


def ask_who(asker: Asker, hazards: frozenset[str]) -> tuple[str, str]:
    """By whom, and what it takes; tools are not taken where a hazard forbids them."""
    while True:
        by = asker.choose("Who can do it?", BY)
        hands = asker.choose("What does it take?", HANDS)
        forbidden = tools_forbidden(hazards, by, hands)
        if not forbidden:
            return by, hands
        asker.say(
            f"Nobody here takes tools to {forbidden}: it has to be a referral (type back), or a way with "
            "look or controls."
            if tools_forbidden(hazards, "technician", hands)
            else f"An owner takes no tools where the hazard is {forbidden}; a technician may."
        )


def _price(text: str) -> Sequence[str]:
    try:
        return () if 0 <= float(text) < 1e6 else ("It has to be 0 or more.",)
    except ValueError:
        return (f'"{text[:20]}" is no number.',)
