"""From where a walk stands to the view that shows it: the words, the effort, what may be answered.

Nothing here decides anything; what comes next is given, and is dressed in what a screen needs.
"""

from __future__ import annotations

from diagnose.terms import COULD_NOT, CURED, NOT_CURED, Check, Remedy, Step
from diagnose.walking.carded import doubt_of_alarm, help_needed
from diagnose.walking.end_views import cured, handed_over, left_off, misfit, referred, stopped
from diagnose.walking.past import Past, causes_of
from diagnose.walking.readings import can_be_read_in
from diagnose.walking.scene import Scene, common, in_words
from diagnose.walking.standing import asked_again_because
from diagnose.walking.views import (
    Choice,
    ClearedQuestion,
    CuredQuestion,
    Effort,
    Question,
    RemedyOffered,
    Unsure,
    View,
    Where,
)

YES_OR_NO = (Choice("yes", "Yes"), Choice("no", "No"))
OUTCOMES = (
    Choice(CURED, "Did that, works now"),
    Choice(NOT_CURED, "Did that, no better"),
    Choice(COULD_NOT, "Could not do that"),
)


def show(scene: Scene) -> View:
    """The view of a scene."""
    asking, of = scene.standing.asking, scene.standing.of
    if scene.step is not None:
        return _step(scene, scene.step)
    if asking == "stopped":
        return stopped(scene)
    if asking == "cleared":
        return _cleared(scene, of)
    if asking == "left-off":
        return left_off(scene)
    if asking == "cured":
        return cured(scene, of)
    if asking == "misfit":
        return misfit(scene, of)
    if asking == "cured-when":
        return _cured_question(scene, of)
    return _unsure(scene, of) if asking == "unsure" else _question(scene, of)


def _step(scene: Scene, step: Step) -> View:
    if step.kind == "check":
        return _question(scene, step.of)
    if step.kind == "remedy":
        return _remedy(scene, step.of)
    if step.kind == "handover":
        return handed_over(scene, step.of)
    if step.kind == "stop":
        return stopped(scene, step.of)
    return referred(scene, step.of)


def _question(scene: Scene, id: str) -> Question:
    past = scene.past
    check = past.tree.checks.get(id) or past.tree.facts[id]
    asking = scene.standing.asking
    return Question(
        **common(scene),
        check=id,
        ask=check.ask,
        how=_how(scene, check),
        choices=_choices(check),
        measures=check.reading,
        also_read_in=_also_read_in(scene, check),
        effort=Effort() if asking == "fact" else _effort(past, (check,)),
        where=_where(scene, check),
        needs=check.needs,
        ask_first=asking == "danger-question",
        again=asking == "again" or (asking == "danger-question" and bool(asked_again_because(past, id))),
        fact=asking == "fact",
        starts=check.starts,
        tries_left=_tries_left(scene) if check.starts else None,
    )


def _unsure(scene: Scene, id: str) -> Unsure:
    check = scene.past.tree.checks[id]
    return Unsure(
        **common(scene),
        check=id,
        ask=check.ask,
        how=_how(scene, check),
        choices=_choices(check),
        measures=check.reading,
    )


def _remedy(scene: Scene, id: str) -> RemedyOffered:
    remedies = [cause.remedy for cause in causes_of(scene.past.tree, id) if cause.remedy is not None]
    return RemedyOffered(
        **common(scene),
        remedy=id,
        says=in_words(scene.past, id),
        do=tuple(remedy.text for remedy in remedies),
        how=tuple(remedy.how for remedy in remedies if remedy.how),
        choices=OUTCOMES,
        effort=_effort(scene.past, tuple(remedies)),
        where=tuple(dict.fromkeys(_where(scene, remedy) for remedy in remedies)),
        needs=tuple(dict.fromkeys(need for remedy in remedies for need in remedy.needs)),
        tries_left=_tries_left(scene),
    )


def _cured_question(scene: Scene, id: str) -> CuredQuestion:
    cured_when = scene.past.tree.cured_when
    return CuredQuestion(
        **common(scene),
        remedy=id,
        says=in_words(scene.past, id),
        ask=cured_when.ask,
        minutes=cured_when.minutes,
        choices=YES_OR_NO,
    )


def _cleared(scene: Scene, referral: str) -> ClearedQuestion:
    tree = scene.past.tree
    by = tree.referrals.get(referral) or tree.referrals[tree.refer_to]
    return ClearedQuestion(
        **common(scene),
        ask="The last walk of this vehicle was stopped for danger. "
        "Has somebody qualified looked at that since, and cleared it?",
        stopped_by=by,
        choices=YES_OR_NO,
    )


def _how(scene: Scene, check: Check) -> str:
    """How to look; a danger question says as well whom to ask, where the card says what cannot be done."""
    if check.id not in scene.past.tree.ask_first:
        return check.how
    told = (
        check.how,
        help_needed(check.id, check.needs, scene.setting.cannot),
        doubt_of_alarm(check.id, scene.setting.alarm_ended),
    )
    return " ".join(text for text in told if text)


def _also_read_in(scene: Scene, check: Check) -> tuple[str, ...]:
    if check.reading is None:
        return ()
    return tuple(unit for unit in scene.setting.units if can_be_read_in(unit, check.reading))


def _choices(check: Check) -> tuple[Choice, ...]:
    return tuple(Choice(answer.id, answer.says) for answer in check.answers)


def _tries_left(scene: Scene) -> int | None:
    tries = scene.past.tree.tries
    return None if tries is None else max(0, tries - scene.starts)


def _effort(past: Past, steps: tuple[Check | Remedy, ...]) -> Effort:
    new = {step.at for step in steps if step.at is not None} - past.places()
    access = sum(past.tree.places[at].access for at in sorted(new) if at in past.tree.places)
    return Effort(
        sum(step.minutes for step in steps) + access,
        sum(step.wait for step in steps),
        sum(step.price for step in steps),
    )


def _where(scene: Scene, step: Check | Remedy) -> Where:
    place = scene.past.tree.places.get(step.at) if step.at is not None else None
    return Where(
        place.says if place is not None else "",
        step.part or "",
        scene.setting.whereabouts.get(step.part or "", ""),
    )
