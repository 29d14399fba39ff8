"""Where a stop leads: whom to call, the firmest first, and the very first words.

A stop is shown at once, from the tree alone: nothing is reckoned, and nothing further is asked. Where several
dangers may be meant, the texts of all of them are shown rather than one of them guessed.
"""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.terms import Referral, Tree
from diagnose.walking.past import Past, check_of, stops

FIRMEST = ("gas-escape", "co-suspected", "mains-danger")
"""The order in which stop texts stand: out of the gas first, then the rest (common practice, no source)."""

BY_HAZARD = (
    # Under gas, `danger` may also mean an alarm or somebody unwell: both texts are shown.
    ("gas", "gas-escape"),
    ("gas", "co-suspected"),
    ("mains", "mains-danger"),
    ("high-current", "auto-electrician"),
    ("road", "recovery"),
)

_OUT = "Stop here. Everybody out into the open air now, pets too, touching no switch and no metal on the way."
_HANDS_OFF = "Stop here. Let go of everything, touch nothing more, and keep everybody clear."
_UNCLEARED = "Nobody qualified has cleared the vehicle since its last walk stopped."
UNSURE = "Not sure"
_DANGER_SAID = "You answered: danger."
_NOTHING_USED = "Stop here. Nothing of it is used or tried until somebody qualified has cleared it."
_LEAVE_ALONE = (
    "Stop here. If it is safe to, turn off what you have just lit or started; then leave it alone and keep "
    "everybody clear."
)


def tree_hazards(tree: Tree) -> frozenset[str]:
    """Every hazard that occurs anywhere in the tree."""
    return frozenset().union(
        *(event.hazards for event in tree.events.values()),
        *(event.remedy.hazards for event in tree.causes() if event.remedy is not None),
        *(check.hazards for check in tree.checks.values()),
    )


def danger_referrals(tree: Tree) -> tuple[str, ...]:
    """Whom `danger` leads to without a further question, by the hazards of the tree; firmest first."""
    there = tree_hazards(tree)
    led = [referral for hazard, referral in BY_HAZARD if hazard in there and referral in tree.referrals]
    firm = tuple(referral for referral in led if referral in FIRMEST)
    return firm or tuple(led[:1]) or (tree.refer_to,)


def only_uncleared(past: Past) -> bool:
    """Whether nothing new was found: the vehicle merely was not cleared since its last walk stopped."""
    return all(words == (_UNCLEARED,) for _, words in _stopping(past))


def stop_referrals(past: Past) -> tuple[str, ...]:
    """The referrals of everything that stopped this walk, firmest first; empty while nothing did."""
    return firmest_first(referral for referral, _ in _stopping(past))


def because(past: Past) -> str:
    """What was answered that stopped the walk, in words."""
    return " ".join(f"{' '.join(words)}." if len(words) > 1 else words[0] for words in reasons(past))


def reasons(past: Past) -> tuple[tuple[str, ...], ...]:
    """What stopped the walk, each once: a question and its answer, or one sentence of the program's own."""
    return tuple(dict.fromkeys(words for _, words in _stopping(past)))


def firmest_first(referrals: Iterable[str]) -> tuple[str, ...]:
    """Each once: those that save a life first, the others as they came."""
    there = tuple(dict.fromkeys(referrals))
    return (*(id for id in FIRMEST if id in there), *(id for id in there if id not in FIRMEST))


def first_words(referrals: Iterable[Referral], numbers: tuple[str, ...], uncleared: bool = False) -> str:
    """The first sentences of a stop: what to do this moment, and the number to call."""
    referrals = tuple(referrals)
    ids = {referral.id for referral in referrals}
    if uncleared:
        act = _NOTHING_USED
    elif ids & {"gas-escape", "co-suspected"} or any(_all_out(referral) for referral in referrals):
        act = _OUT
    elif "mains-danger" in ids:
        act = _HANDS_OFF
    else:
        act = _LEAVE_ALONE
    return f"{act} If there is fire, smoke or a shock, or anybody is unwell: call {numbers[0]}."


def _all_out(referral: Referral) -> bool:
    """Whether a tree's own referral sends everybody out, as for poison in the air."""
    return referral.until_help.startswith("All out")


def _stopping(past: Past) -> list[tuple[str, tuple[str, ...]]]:
    """(referral, words) of every line that stops; the words as in `reasons`."""
    found: list[tuple[str, tuple[str, ...]]] = []
    for line in past.live:
        if line.kind == "danger":
            found += [(referral, (_DANGER_SAID,)) for referral in danger_referrals(past.tree)]
        elif line.kind == "cleared" and line.answer != "yes":
            found.append((line.subject, (_UNCLEARED,)))
        elif line.kind == "finding":
            check = check_of(past.tree, line.subject)
            if check is not None and stops(past.tree, check, line.answer):
                says = {answer.id: answer.says for answer in check.answers}.get(line.answer or "", UNSURE)
                found.append((check.refer or past.tree.refer_to, (check.ask, says)))
    return found
