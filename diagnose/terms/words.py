"""Words with a fixed meaning: kinds of steps and ends, and the answers that every question knows."""

from __future__ import annotations

from typing import Literal

Hands = Literal["look", "controls", "tools"]
Role = Literal["owner", "technician"]
Gate = Literal["any_of", "all_of"]
StepKind = Literal["check", "remedy", "referral", "stop", "handover"]
State = Literal["open", "left-off", "cured", "referred", "stopped"]

TOP = ""
"""The key under which the top event (the symptom itself) stands among a tree's events."""

NOT_LISTED = "not-listed"
NOT_SURE = "not-sure"
CURED = "cured"
NOT_CURED = "not-cured"
COULD_NOT = "could-not"
