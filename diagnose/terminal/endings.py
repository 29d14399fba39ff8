"""The screens at the end of a walk: cured, referred, stopped, left off.

A stop and a referral are firm: what to do now stands first, then whom to call and what to say. Nothing on
these screens offers a way round, and each of them says that nobody has certified the vehicle as safe.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from diagnose.terminal.figures import basis_in_words, duration_in_words, money_in_words, share_in_words
from diagnose.terminal.layout import Page
from diagnose.terminal.questions import cause_in_words, heading
from diagnose.terminal.sentences import ended, inside
from diagnose.terms import NOT_LISTED, Referral
from diagnose.walking.views import (
    NO_CERTIFICATE,
    OTHER_LEADS,
    Cured,
    End,
    HandedOver,
    LeftOff,
    NotForThis,
    Referred,
    Stopped,
    View,
)


def cured_end(view: Cured, width: int, *, shipped: bool = True, confirm: str = "") -> Page:
    """It works again: what it was, and what keeps it from happening again."""
    page = heading(Page(width), view, shipped=shipped)
    page.say("CURED", "strong").gap()
    page.say(f"By all signs it was this: {inside(view.says)}.").gap()
    _prevention(page, view)
    if view.case is not None:
        page.say(
            f"It is kept as case {view.case}. If it stays cured, say so, and the next vehicle gains by it:"
        )
        page.say(confirm or f"diagnose cases confirm {view.case}", indent=2).gap()
    return _last_word(page, view)


def referred_end(view: Referred, width: int, *, shipped: bool = True, code: str = "") -> Page:
    """Your part ends here: whom to call, what to tell them, what to do until they come; the case's code."""
    page = heading(Page(width), view, shipped=shipped)
    page.say("TO BE HANDED OVER", "strong").gap()
    page.say("You have done your part. The rest is for somebody qualified; do not try any further.").gap()
    if view.ranking:
        page.say(_likeliest(view)).gap()
    page.say("Call:", "strong").say(ended(view.referral.to), indent=2)
    page.say(_own_number(view.own_number), "strong", indent=2)
    if view.register:
        page.say(f"To find one: {ended(view.register)}", indent=2)
    page.say(_what_they_take(view.referral), "quiet", indent=2).gap()
    page.say("Tell them:", "strong").say(view.referral.say, indent=2).gap()
    page.say("Until they come:", "strong").say(view.referral.until_help, indent=2).gap()
    _left_alone(page, view)
    page.say(f"If anybody is in danger, call {_numbers(view.numbers)}.").gap()
    _prevention(page, view)
    _kept(page, view, code)
    return _last_word(page, view)


def stopped_end(view: Stopped, width: int, *, shipped: bool = True, code: str = "") -> Page:
    """Danger: what to do comes before everything else, then whom to call and what to say; the code last."""
    page = Page(width)
    page.say("STOP - DANGER", "danger").gap()
    page.say(view.first, "strong").gap()
    said: set[str] = set()
    for referral in view.referrals:
        act = _unsaid(referral.until_help, said)
        if act:
            page.say("Do this now:", "strong").say(act, indent=2)
        page.say("Call:", "strong").say(ended(referral.to), indent=2)
        page.say(_own_number(view.own_numbers.get(referral.id, "")), "strong", indent=2)
        page.say("Tell them:", "strong").say(referral.say, indent=2).gap()
    page.say(f"Emergency number: {_numbers(view.numbers)}.", "strong").gap()
    heading(page, view, shipped=shipped)
    if view.because:
        page.say(f"Why it stops here: {ended(view.because)}")
    page.say(
        "There is no way on from here. Somebody qualified has to clear this before the vehicle "
        "is walked again."
    ).gap()
    _kept(page, view, code)
    page.say(view.certificate).gap()
    # The top has left a small screen by now, so what matters most stands at the end as well.
    return page.say(view.first, "strong")


def left_off_end(view: LeftOff, width: int, *, shipped: bool = True, again: str = "") -> Page:
    """Left off: how to go on, by the command `again`."""
    page = heading(Page(width), view, shipped=shipped)
    page.say("LEFT OFF", "strong").gap()
    if view.case is not None:
        page.say(f"All that you found is kept as case {view.case}. To go on, type:")
        page.say(again or resume_command(view.case), indent=2).gap()
    if view.ranking:
        page.say(_likeliest(view)).gap()
    return _last_word(page, view)


def not_for_this_end(view: NotForThis, width: int, *, shipped: bool = True) -> Page:
    """The tree is for other vehicles."""
    page = heading(Page(width), view, shipped=shipped)
    page.say(f'"{view.symptom}" is for other vehicles than this one.', "strong").gap()
    page.say(f"{view.ask} This one: {view.has}. It fits: {', '.join(view.fits)}.").gap()
    page.say("To see what else can be walked, type:").say("diagnose symptoms", indent=2).gap()
    return _last_word(page, view)


def handed_over_page(view: HandedOver, symptom: str, width: int, *, shipped: bool = True) -> Page:
    """Between two trees: what led there and where it goes on; `symptom` is the other tree's."""
    page = heading(Page(width), view, shipped=shipped)
    page.say(f"It points to this: {inside(view.says)}.")
    page.say(f'So it goes on with "{symptom}". What you have found comes along.').gap()
    return page.say("The danger questions are asked again first.").gap()


def interrupted_page(case: int, again: str, width: int) -> Page:
    """What is said when the typing ends in mid-walk; `again` is the command to go on with."""
    page = Page(width)
    page.say(f"All that you answered is kept as case {case}. To go on, type:")
    return page.say(again, indent=2).gap().say(NO_CERTIFICATE)


def resume_command(case: int) -> str:
    """The command that takes a case up again."""
    return f"diagnose walk --resume {case}"


def _likeliest(view: View) -> str:
    leader = view.ranking[0]
    if leader.cause == NOT_LISTED:
        return "" if OTHER_LEADS in view.notices else OTHER_LEADS
    told = f"{share_in_words(leader.share)}; {basis_in_words(leader, view.ranking)}"
    return f"The likeliest so far: {inside(cause_in_words(leader))} ({told})."


def _prevention(page: Page, view: End) -> None:
    told = [(entry.says, entry.prevent) for entry in view.prevention if entry.prevent]
    if not told:
        return
    page.say("Before the next lay-up:", "strong")
    for says, prevent in told:
        if len(told) > 1:
            page.hang("- ", f"{says}: {ended(prevent)}")
        else:
            page.say(ended(prevent), indent=2)
    page.gap()


def _left_alone(page: Page, view: Referred) -> None:
    if view.left_alone:
        page.say("Do not work on any of these yourself:", "strong")
        for why in dict.fromkeys(entry.why for entry in view.left_alone):
            for entry in view.left_alone:
                if entry.why == why:
                    page.hang("- ", ended(entry.says))
            page.say(f"({_left_to(why)})", "quiet", indent=4)
        page.gap()


def _left_to(why: str) -> str:
    """Why a cause was left alone, as part of a sentence."""
    reason, colon, whom = why.strip().rstrip(".").partition(": ")
    return f"{reason} {inside(whom)}" if colon else reason


def _own_number(number: str) -> str:
    return f"The number on your card: {number}" if number else ""


def _unsaid(text: str, said: set[str]) -> str:
    """The sentences that this screen has not said yet, so that a second danger does not bury the first."""
    fresh = [sentence for sentence in re.split(r"(?<=[.!?])\s+", text.strip()) if sentence not in said]
    said.update(fresh)
    return " ".join(fresh)


def _kept(page: Page, view: End, code: str) -> None:
    if view.case is not None:
        page.say(f"It is kept as case {view.case}." + (" Code for the engineer's answer:" if code else ""))
    if code:
        # On the narrowest screens it is broken between groups, never within one.
        page.say(code if len(code) + 2 <= page.width else code.replace("-", " "), "strong", indent=2).gap()


def _last_word(page: Page, view: End) -> Page:
    return page.say(view.certificate)


def _what_they_take(referral: Referral) -> str:
    parts = []
    if referral.minutes > 0:
        parts.append(f"Reckon with {duration_in_words(referral.minutes)} of your time.")
    if referral.wait > 0:
        parts.append(f"Waiting: {duration_in_words(referral.wait)}, but not for you to stand by.")
    if referral.price > 0:
        parts.append(f"Costs about {money_in_words(referral.price)}.")
    return " ".join(parts)


def _numbers(numbers: Sequence[str]) -> str:
    return " or ".join(numbers) if numbers else "112"
