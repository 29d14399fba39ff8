"""The views of a walk's ends; what they say of the causes and steps is worked out in `ending.py`."""

from __future__ import annotations

from typing import Any

from diagnose.walking.cautioning import hazards_of
from diagnose.walking.ending import done_so_far, left_alone, prevention
from diagnose.walking.past import check_of
from diagnose.walking.scene import Scene, common, in_words
from diagnose.walking.stops import because, danger_referrals, first_words, only_uncleared, stop_referrals
from diagnose.walking.views import Cured, HandedOver, LeftOff, NotForThis, Referred, Stopped


def _end(scene: Scene, cured: str | None = None) -> dict[str, Any]:
    return common(scene) | {
        "prevention": prevention(scene.past, scene.ranking, cured),
        "left_alone": left_alone(scene.past, scene.ranking, scene.setting.role, scene.setting.cannot),
        "done": done_so_far(scene.past),
    }


def cured(scene: Scene, cause: str) -> Cured:
    """The remedy of `cause` cured."""
    return Cured(**_end(scene, cause), state="cured", cause=cause, says=in_words(scene.past, cause))


def left_off(scene: Scene) -> LeftOff:
    """Put aside."""
    return LeftOff(**_end(scene), state="left-off")


def stopped(scene: Scene, at: str = "") -> Stopped:
    """Danger: every referral that the journal's stops lead to, or the one that a route's stop names."""
    ids = (at,) if at else stop_referrals(scene.past)
    tree = scene.past.tree
    referrals = tuple(tree.referrals[id] for id in ids if id in tree.referrals)
    if not referrals:
        referrals = tuple(tree.referrals[id] for id in danger_referrals(tree))
    return Stopped(
        **_end(scene),
        state="stopped",
        referrals=referrals,
        because=because(scene.past),
        first=first_words(referrals, scene.setting.numbers, not at and only_uncleared(scene.past)),
        own_numbers=scene.setting.own_numbers,
    )


def referred(scene: Scene, id: str) -> Referred:
    """Handed to somebody qualified."""
    gas = id == "gas-engineer" or "gas" in hazards_of(scene.past, scene.step)
    return Referred(
        **_end(scene),
        state="referred",
        referral=scene.past.tree.referrals[id],
        register=scene.setting.register if gas else "",
        own_number=scene.setting.own_numbers.get(id, ""),
    )


def handed_over(scene: Scene, tree: str) -> HandedOver:
    """Handed to another tree, with the cause that led there and what may be taken along."""
    past = scene.past
    causes = [each for each in past.tree.causes() if each.remedy and each.remedy.text == tree]
    leads = [cause for cause in causes if cause.remedy and cause.remedy.kind == "see"]
    shares = {each.cause: each.share for each in scene.ranking}
    leads.sort(key=lambda cause: -shares.get(cause.id, 0.0))
    carry = [finding for id, finding in past.findings.items() if id not in past.tree.ask_first]
    return HandedOver(
        **_end(scene), state="referred", tree=tree, says=leads[0].says if leads else "", carry=tuple(carry)
    )


def misfit(scene: Scene, fact: str) -> NotForThis:
    """The tree is not for this vehicle."""
    past = scene.past
    known = check_of(past.tree, fact)
    says = {answer.id: answer.says for answer in known.answers} if known is not None else {}
    answer = past.findings[fact].answer or ""
    return NotForThis(
        **_end(scene),
        state="left-off",
        fact=fact,
        ask=known.ask if known is not None else fact,
        fits=tuple(says.get(id, id) for id in past.tree.applies_to[fact]),
        has=says.get(answer, answer),
    )
