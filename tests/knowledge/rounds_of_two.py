"""A folder of rounds with few tasks, to be changed in one spot."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from diagnose.knowledge.common import Common
from diagnose.knowledge.rounds import load_rounds
from diagnose.terms import FlawedKnowledge
from diagnose.terms.rounds import Round, RoundId

TREES = ("hob-goes-out", "tyres-soft-old", "water-pump")

FILES = {
    "wants": "daylight: By daylight\ncalm: When it is calm\n",
    "tasks": """
look:
  what: Look at the tyres
  how: Walk round and look.
  at: wheels
  hands: look
  by: owner
  hazard: road
  minutes: 5
  wants: [daylight]
  opens: [tyres-soft-old]
  dates: [tyres]
  safety: true
light:
  what: Light a ring
  how: Open a window. Light it, then turn it off.
  at: kitchen
  hands: controls
  by: owner
  hazard: gas
  minutes: 4
  wait: 30
  for: {heater-fuel: [gas], months-laid-up: [season, long]}
  opens: [hob-goes-out]
  refer: gas-engineer
  must_not_use: The hob
  buy: [matches]
  was: flame
pump:
  what: Run the pump
  how: Open a tap.
  at: water-bay
  hands: controls
  by: owner
  hazard: none
  minutes: 2.5
  wants: [calm, daylight]
  if_wrong: not-ready
""",
    "wake-up": """round: wake-up
says: Before use
tasks:
  look: {}
  light: {after: [look]}
  pump: {after: light}
""",
    "journey": "round: journey\nsays: Before the road\ntasks: {pump: {}, look: {after: [pump]}}\n",
    "hand-over": "round: hand-over\nsays: Before the keys\ntasks: {look: {}}\n",
    "lay-up": "round: lay-up\nsays: Before the winter\ntasks: {light: {}}\n",
}


def written(folder: Path, files: Mapping[str, str] = FILES) -> Path:
    """The folder with these files in it."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in files.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder


def loaded(common: Common, *folders: Path) -> Mapping[RoundId, Round]:
    """The rounds of these folders, named in messages by the last two parts of their paths."""
    return load_rounds(common, TREES, *folders, shown=lambda path: f"{path.parent.name}/{path.name}")


def flaws_of(common: Common, *folders: Path) -> list[str]:
    """What is said of these folders; they have to be refused."""
    with pytest.raises(FlawedKnowledge) as refused:
        loaded(common, *folders)
    return [str(flaw) for flaw in refused.value.flaws]
