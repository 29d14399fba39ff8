"""All gauges by name; a subject's module is loaded when one of its gauges is asked for."""

from __future__ import annotations

from importlib import import_module

from diagnose.gauges.gauge import Gauge
from diagnose.terms import WrongUsage

SUBJECTS: dict[str, tuple[str, ...]] = {
    "battery": ("battery-charge",),
    "drain": ("days-until-half", "days-until-flat", "run-time"),
    "charging": ("charging-time",),
    "winter": ("lay-up-charge", "battery-freezing"),
    "starting": ("cranking", "inner-resistance"),
    "cable": ("cable-drop",),
    "gas": ("gas-pressure", "gas-hours"),
    "climate": ("dew-point", "condensation"),
    "timber": ("timber-moisture", "damp-reading"),
    "water": ("water-head", "tank-dose"),
    "tyres": ("tyre-pressure", "tyre-age", "tyre-load"),
    "licence": ("licence",),
}
"""Subject (a module of this room, whose `GAUGES` holds its gauges) -> the names of its gauges in order."""


class UnknownGauge(WrongUsage):
    """There is no gauge of that name."""

    def __init__(self, name: str) -> None:
        from difflib import get_close_matches

        near = get_close_matches(name, names(), 1)
        hint = f'did you mean "{near[0]}"?' if near else "to see them all: diagnose gauge"
        super().__init__(f'There is no gauge "{name[:60]}" ({hint})')


def names() -> tuple[str, ...]:
    """The names of all gauges, those of one subject together."""
    return tuple(name for each in SUBJECTS.values() for name in each)


def gauge(name: str) -> Gauge:
    """The gauge of that name; raises UnknownGauge."""
    for subject, own in SUBJECTS.items():
        if name in own:
            found: tuple[Gauge, ...] = import_module(f"diagnose.gauges.{subject}").GAUGES
            return next(each for each in found if each.name == name)
    raise UnknownGauge(name)
