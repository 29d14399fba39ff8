"""A round that danger stops: whom it leads to, what is shown then, and the question whether it is cleared."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diagnose.knowledge.common import Common
from diagnose.rounds.views import ClearedAsked, RoundStopped
from diagnose.terms import Referral
from diagnose.walking.danger_words import ANY_DANGER, FIRE, Heard, stop_text
from diagnose.walking.stops import BY_HAZARD, firmest_first, first_words

ANY = tuple(id for id in ANY_DANGER.dangers if id != FIRE)
"""Whom the bare word `danger` leads to on a round, whatever task is shown: all of it is told."""
OTHERWISE = "workshop"
"""Whom a stop leads to where its own referral is known no more."""


def danger_referrals(common: Common, heard: Heard, hazards: Collection[str]) -> tuple[str, ...]:
    """Whom a danger leads to: what was told of, and what the hazards of the task lead to; never nobody.

    The bare word may mean anything whatever task is shown, so gas, fumes and mains are all told then; so
    they are for a fire, which has no referral of its own.
    """
    own = [referral for hazard, referral in BY_HAZARD if hazard in hazards]
    told = firmest_first((*heard.dangers, *own))
    there = tuple(id for id in told if id in common.referrals)
    return there or tuple(id for id in ANY if id in common.referrals)


def stopped(
    common: Common, heard: Heard, referrals: Sequence[str], numbers: Sequence[str], because: str
) -> RoundStopped:
    """The stop for a danger that was told now; the first of `numbers` is called."""
    known = tuple(common.referrals[id] for id in referrals if id in common.referrals)
    first = stop_text(heard, common.referrals, numbers[0]).first
    return RoundStopped(referrals=known, first=first, because=because)


def uncleared(common: Common, referral: str, numbers: tuple[str, ...]) -> RoundStopped:
    """The stop that still stands, since nobody qualified has cleared the vehicle."""
    known = _known(common, referral)
    return RoundStopped(
        referrals=(known,),
        first=first_words((known,), numbers, uncleared=True),
        because="Nobody qualified has cleared the vehicle since danger stopped it.",
    )


def ask_cleared(common: Common, referral: str) -> ClearedAsked:
    """The question that comes before anything else of a round of a vehicle that was stopped."""
    return ClearedAsked(
        referral=_known(common, referral),
        ask="Danger stopped this vehicle. Has somebody qualified looked at that since, and cleared it?",
    )


def _known(common: Common, referral: str) -> Referral:
    return common.referrals.get(referral) or common.referrals[OTHERWISE]
