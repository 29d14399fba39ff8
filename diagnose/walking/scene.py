"""What a view is made of, and what every view says: cautions, notices, ranking, numbers to call."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from diagnose.terms import NOT_LISTED, Ranked, Role, Step
from diagnose.walking.asking_again import why_again
from diagnose.walking.cautioning import cautions_now
from diagnose.walking.past import BY_TIME, STEPS, Past, causes_of
from diagnose.walking.standing import Standing, asked_again_because
from diagnose.walking.views import NOT_CHECKED, OTHER_LEADS

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
    cannot: frozenset[str] = frozenset()
    """What the person cannot do, by the card: only for what is said; what is offered follows elsewhere."""
    alarm_ended: str = ""
    """The day on which the carbon-monoxide alarm had its end date, by the card; "" while it holds."""
    own_numbers: Mapping[str, str] = field(default_factory=dict)
    """Referral -> the number that the owner set on the card."""
    units: tuple[str, ...] = ()
    """Units that people of this country read, beside those of the checks."""
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
    doubts: tuple[str, ...] = ()
    """What is said before anything is concluded from answers that do not go together."""


def common(scene: Scene) -> dict[str, Any]:
    """The fields that every view has."""
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
    if asking == "again" and not scene.doubts:
        said.append(why_again(past, scene.standing.of))
    return (*said, *scene.doubts)


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


def in_words(past: Past, cut_set: str) -> str:
    """The causes of a cut set as they are said."""
    return " and ".join(cause.says for cause in causes_of(past.tree, cut_set)) or cut_set
