"""A small tree for the commands over cases, and what their tests call things."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)

Said = Callable[..., tuple[int, str, str]]
"""What the fixture `said` is: words of a command -> exit code, standard output, standard error."""

CHECKS = """\
checks:
  squeak:
    ask: Does it squeak?
    hands: look
    by: owner
    minutes: 1
    answers: {"yes": It squeaks, "no": Silent}
    expect: {grit: {"yes": probable}, otherwise: {"no": probable}}
  volts:
    ask: What does the panel show?
    hands: look
    by: owner
    minutes: 1
    reading: {unit: V, range: [0, 16], uncertainty: 0.1}
    bands: {low: {below: 11.5}, good: {from: 11.5}}
    expect: {grit: {good: probable}, otherwise: {low: fifty-fifty}}
sources: [made up for a test]
"""
FAULTS = """\
symptom: The step will not fold in
system: water
refer_to: workshop
own_cautions: {pinch: {word: CAUTION, say: Keep your fingers away from the hinge.}}
cautions: [pinch]
cured_when: {ask: "Does it fold in and out three times?", minutes: 1}
faults:
  hazard: none
  any_of:
    grit:
      says: Grit holds it
      in_100: 83
      remedy: {do: Brush it clean, by: owner, hands: controls, minutes: 5}
      prevent: Brush it each month
    cold-and-wet:
      says: It froze in the wet
      all_of:
        damp:
          says: Water stands in the hinge
          in_100: 30
          remedy: {do: Dry it, by: owner, hands: controls, minutes: 5}
          prevent: Dry it at lay-up
        frost:
          says: It is below freezing
          in_100: 40
          was: [cold]
          remedy: {do: Wait for a milder day, by: owner, hands: look, minutes: 1}
          prevent: Park under a roof
"""
STEP_STUCK = FAULTS + CHECKS
