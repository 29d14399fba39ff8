"""From where a walk stands to the view that shows it: the words, the effort, the cautions that are due.

Nothing here decides anything; what comes next is given, and is dressed in what a screen needs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from diagnose.terms import (
    COULD_NOT,
    CURED,
    NOT_CURED,
    NOT_LISTED,
    Check,
    Ranked,
    Remedy,
    Role,
    Step,
)
from diagnose.walking.cautioning import cautions_now, hazards_of
from diagnose.walking.ending import done_so_far, left_alone, prevention
from diagnose.walking.past import BY_TIME, STEPS, Past, causes_of, check_of
from diagnose.walking.standing import Standing, asked_again_because
from diagnose.walking.stops import because, danger_referrals, first_words, stop_referrals
from diagnose.walking.views import (
    NOT_CHECKED,
    OTHER_LEADS,
    Choice,
    ClearedQuestion,
    Cured,
    CuredQuestion,
    Effort,
    HandedOver,
    LeftOff,
    NotForThis,
    Question,
    Referred,
    RemedyOffered,
    Stopped,
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
CHANGED_TREE = "changed-tree"
"""The subject of a `resumed` line that found its tree changed."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What a walk knows about where it takes place."""

    role: Role = "owner"
    case: int | None = None
    numbers: tuple[str, ...] = ("112",)
    register: str = ""
    """The register in which a gas fitter stands in this country."""
    whereabouts: Mapping[str, str] = field(default_factory=dict)
    """Part -> where it is, from the vehicle's card."""
    stopped_by: str | None = None
    """The referral that stopped this vehicle's last walk, while nobody has said that it was cleared."""
    started_before: int = 0
    """Starts used up within the last day by earlier walks of this symptom (see `earlier.py`)."""


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything that a view is made of."""

    past: Past
    setting: Setting
    standing: Standing
    step: Step | None = None
    """The step that was reckoned, where there is one."""
    ranking: tuple[Ranked, ...] = ()
    starts: int = 0
    """Tries used up."""


def show(scene: Scene) -> View:
    """The view of a scene."""
    asking, of = scene.standing.asking, scene.standing.of
    if scene.step is not None:
        return _step(scene, scene.step)
    if asking == "stopped":
        return _stopped(scene, stop_referrals(scene.past))
    if asking == "cleared":
        return _cleared(scene, of)
    if asking == "left-off":
        return LeftOff(**_end(scene), state="left-off")
    if asking == "cured":
        return Cured(**_end(scene, of), state="cured", cause=of, says=_says(scene.past, of))
    if asking == "misfit":
        return _misfit(scene, of)
    if asking == "cured-when":
        return _cured_question(scene, of)
    return _unsure(scene, of) if asking == "unsure" else _question(scene, of)


def _step(scene: Scene, step: Step) -> View:
    if step.kind == "check":
        return _question(scene, step.of)
    if step.kind == "remedy":
        return _remedy(scene, step.of)
    if step.kind == "handover":
        return _handed_over(scene, step.of)
    if step.kind == "stop":
        return _stopped(scene, (step.of,))
    return _referred(scene, step.of)


def _common(scene: Scene) -> dict[str, Any]:
    return {
        "symptom": scene.past.tree.symptom,
        "case": scene.setting.case,
        "cautions": cautions_now(scene.past, scene.standing, scene.step),
        "notices": _notices(scene),
        "ranking": scene.ranking,
        "numbers": scene.setting.numbers,
        "can_go_back": scene.standing.asking not in ("stopped", "left-off") and bool(backwards(scene.past)),
    }


def backwards(past: Past) -> tuple[int, ...]:
    """The numbers of the lines that `back` may take back, latest first.

    What was known before the first answer (a vehicle's card, a file of answers) is no step of this walk.
    """
    steps = [line for line in past.live if line.kind in STEPS]
    first = next((at for at, line in enumerate(steps) if not line.ahead), len(steps))
    return tuple(line.number for line in reversed(steps[first:]))


def _notices(scene: Scene) -> tuple[str, ...]:
    past, asking = scene.past, scene.standing.asking
    said = [] if past.tree.shipped else [NOT_CHECKED]
    if asking not in ("stopped", "cleared"):
        said += _changes(past)
    if asking == "danger-question":
        said += [again] if (again := asked_again_because(past, scene.standing.of)) else []
    if scene.ranking and scene.ranking[0].cause == NOT_LISTED:
        said.append(OTHER_LEADS)
    return tuple(said)


def _changes(past: Past) -> list[str]:
    """That the tree has changed and what was dropped, said until the next answer."""
    resumed = [line for line in past.live if line.kind == "resumed" and line.subject != BY_TIME]
    if not resumed or resumed[-1].subject != CHANGED_TREE:
        return []
    since = [line for line in past.live if line.number > resumed[-1].number]
    if any(line.kind in STEPS for line in since):
        return []
    said = ["This tree has changed since the walk was left off; what still has a place in it was kept."]
    dropped = [
        f"{line.subject}: {line.answer}" if line.answer else line.subject
        for line in since
        if line.kind == "dropped"
    ]
    return [*said, f"No longer in the tree, so dropped: {', '.join(dropped)}."] if dropped else said


def _question(scene: Scene, id: str) -> Question:
    past = scene.past
    check = past.tree.checks.get(id) or past.tree.facts[id]
    asking = scene.standing.asking
    return Question(
        **_common(scene),
        check=id,
        ask=check.ask,
        how=check.how,
        choices=_choices(check),
        measures=check.reading,
        effort=Effort() if asking == "fact" else _effort(past, (check,)),
        where=_where(scene, check),
        needs=check.needs,
        ask_first=asking == "danger-question",
        again=asking == "danger-question" and bool(asked_again_because(past, id)),
        fact=asking == "fact",
        starts=check.starts,
        tries_left=_tries_left(scene) if check.starts else None,
    )


def _unsure(scene: Scene, id: str) -> Unsure:
    check = scene.past.tree.checks[id]
    return Unsure(
        **_common(scene),
        check=id,
        ask=check.ask,
        how=check.how,
        choices=_choices(check),
        measures=check.reading,
    )


def _remedy(scene: Scene, id: str) -> RemedyOffered:
    remedies = [cause.remedy for cause in causes_of(scene.past.tree, id) if cause.remedy is not None]
    return RemedyOffered(
        **_common(scene),
        remedy=id,
        says=_says(scene.past, id),
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
        **_common(scene),
        remedy=id,
        says=_says(scene.past, id),
        ask=cured_when.ask,
        minutes=cured_when.minutes,
        choices=YES_OR_NO,
    )


def _cleared(scene: Scene, referral: str) -> ClearedQuestion:
    tree = scene.past.tree
    by = tree.referrals.get(referral) or tree.referrals[tree.refer_to]
    return ClearedQuestion(
        **_common(scene),
        ask="The last walk of this vehicle was stopped for danger. "
        "Has somebody qualified looked at that since, and cleared it?",
        stopped_by=by,
        choices=YES_OR_NO,
    )


def _end(scene: Scene, cured: str | None = None) -> dict[str, Any]:
    return _common(scene) | {
        "prevention": prevention(scene.past, scene.ranking, cured),
        "left_alone": left_alone(scene.past, scene.ranking, scene.setting.role),
        "done": done_so_far(scene.past),
    }


def _stopped(scene: Scene, ids: tuple[str, ...]) -> Stopped:
    tree = scene.past.tree
    referrals = tuple(tree.referrals[id] for id in ids if id in tree.referrals)
    if not referrals:
        referrals = tuple(tree.referrals[id] for id in danger_referrals(tree))
    return Stopped(
        **_end(scene),
        state="stopped",
        referrals=referrals,
        because=because(scene.past),
        first=first_words(referrals, scene.setting.numbers),
    )


def _referred(scene: Scene, id: str) -> Referred:
    gas = id == "gas-engineer" or "gas" in hazards_of(scene.past, scene.step)
    return Referred(
        **_end(scene),
        state="referred",
        referral=scene.past.tree.referrals[id],
        register=scene.setting.register if gas else "",
    )


def _handed_over(scene: Scene, tree: str) -> HandedOver:
    past = scene.past
    causes = [each for each in past.tree.causes() if each.remedy and each.remedy.text == tree]
    leads = [cause for cause in causes if cause.remedy and cause.remedy.kind == "see"]
    shares = {each.cause: each.share for each in scene.ranking}
    leads.sort(key=lambda cause: -shares.get(cause.id, 0.0))
    carry = [finding for id, finding in past.findings.items() if id not in past.tree.ask_first]
    return HandedOver(
        **_end(scene), state="referred", tree=tree, says=leads[0].says if leads else "", carry=tuple(carry)
    )


def _misfit(scene: Scene, fact: str) -> NotForThis:
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


def _choices(check: Check) -> tuple[Choice, ...]:
    return tuple(Choice(answer.id, answer.says) for answer in check.answers)


def _says(past: Past, cut_set: str) -> str:
    return " and ".join(cause.says for cause in causes_of(past.tree, cut_set)) or cut_set


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
