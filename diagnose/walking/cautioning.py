"""Which cautions a step shows: the tree's before the first step, a hazard's before the first that carries it.

A caution is shown in full, and noted as shown, before the step that needs it; who takes a case up again sees
each of them anew. Without a working carbon-monoxide alarm that caution stands before every single start.
"""

from __future__ import annotations

from diagnose.terms import Caution, Step
from diagnose.walking.past import CO_ALARM, NONE_FITTED, Past, check_of, remedy_hazards
from diagnose.walking.standing import Standing

CARBON_MONOXIDE = "carbon-monoxide"
_ASKING_A_STEP = ("unsure", "danger-question", "fact", "reckoned", "again")


def hazards_of(past: Past, step: Step | None) -> frozenset[str]:
    """The hazards that a step carries; the fixed danger questions and facts carry none."""
    if step is None:
        return frozenset()
    if step.kind == "remedy":
        return remedy_hazards(past.tree, step.of)
    check = check_of(past.tree, step.of) if step.kind == "check" else None
    return frozenset() if check is None or check.fixed or check.fact else check.hazards


def due(past: Past, standing: Standing, step: Step | None) -> tuple[str, ...]:
    """The ids of the cautions that must have been shown before this is asked."""
    if standing.asking not in _ASKING_A_STEP:
        return ()
    if step is not None and step.kind not in ("check", "remedy"):
        return ()
    asked = step or Step("check", standing.of)
    here = hazards_of(past, asked)
    carried = [hazard.caution for id, hazard in past.tree.hazards.items() if id in here]
    return tuple(dict.fromkeys(id for id in (*past.tree.cautions, *carried) if id is not None))


def not_yet_shown(past: Past, standing: Standing, step: Step | None) -> tuple[str, ...]:
    """Those of them that nobody has seen since the case was last taken up."""
    seen = {line.subject for line in past.live if line.kind == "shown" and line.number > past.last_resumed}
    return tuple(id for id in due(past, standing, step) if id not in seen)


def cautions_now(past: Past, standing: Standing, step: Step | None) -> tuple[Caution, ...]:
    """The cautions that this view shows: those noted since the last answer, and what every start shows."""
    others = [line.number for line in past.live if line.kind != "shown"]
    lately = [
        line.subject for line in past.live if line.kind == "shown" and line.number > max(others, default=0)
    ]
    here = due(past, standing, step)
    now = [id for id in here if id in lately] + list(not_yet_shown(past, standing, step))
    if _starts_without_an_alarm(past, step):
        now = [CARBON_MONOXIDE, *now]
    texts = past.tree.caution_texts
    return tuple(texts[id] for id in dict.fromkeys(now) if id in texts)


def _starts_without_an_alarm(past: Past, step: Step | None) -> bool:
    alarm = past.findings.get(CO_ALARM)
    if step is None or alarm is None or alarm.answer != NONE_FITTED:
        return False
    check = check_of(past.tree, step.of) if step.kind == "check" else None
    return step.kind == "remedy" or (check is not None and check.starts)
