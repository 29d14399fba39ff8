"""The vehicle of an exercise: it has one hidden fault, and answers as vehicles with that fault do.

Each answer is drawn from what the tree expects of the fault, so now and then it misleads, as a real one
does; as often as the tree says it cannot be told at all (*not sure*). A reading lies in the band that was
drawn, and comes with the meter's standard uncertainty. A remedy cures if it is that of the fault,
and with the chance that the tree gives it. Asked again, the vehicle says the same again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import floor

from diagnose.practising.chance import Chance
from diagnose.reasoning.model import Model
from diagnose.terms import NOT_SURE, Band, Check, Finding, Reading

MOST_PLACES = 6


@dataclass(frozen=True, slots=True)
class Vehicle:
    """A vehicle with a hidden fault; `said` and `cured` hold what a trainer says in its place."""

    model: Model
    fault: int
    """The fault's place in the model's order."""
    seed: int
    said: Mapping[str, Finding] = field(default_factory=dict)
    cured: Mapping[str, bool] = field(default_factory=dict)

    @property
    def fault_id(self) -> str:
        """The hypothesis that is hidden."""
        return self.model.ids[self.fault]

    def finding(self, check: str) -> Finding:
        """What a check of the tree finds on this vehicle."""
        return self.said[check] if check in self.said else self.drawn(check)

    def again(self, check: str, remedy: str) -> Finding:
        """What it says to a check once more after a remedy: the same again, or a trainer's word."""
        said = self.said.get(after(check, remedy))
        return self.finding(check) if said is None else said

    def drawn(self, check: str) -> Finding:
        """The same, whatever a trainer says."""
        asked = self.model.tree.checks[check]
        chance = Chance(self.seed, f"check {check}")
        if chance.part() < asked.not_sure:
            return Finding(check, NOT_SURE)
        place = chance.among(self.model.rows[check][self.fault].tolist())
        answer = asked.answer_ids()[place]
        if asked.reading is None:
            return Finding(check, answer)
        value = reading_in(asked.bands[place], asked.reading, chance.part())
        return Finding(check, answer, value, asked.reading.uncertainty)

    def how_likely(self, check: str) -> tuple[tuple[str, float], ...]:
        """Every answer that such a vehicle may give, with its chance; *not sure* last."""
        asked = self.model.tree.checks[check]
        row = self.model.rows[check][self.fault].tolist()
        told = [(id, (1 - asked.not_sure) * part) for id, part in zip(asked.answer_ids(), row, strict=True)]
        return (*told, (NOT_SURE, asked.not_sure)) if asked.not_sure > 0 else tuple(told)

    def cures(self, remedy: str) -> bool:
        """Whether a remedy, by its hypothesis, cures this vehicle."""
        if remedy in self.cured:
            return self.cured[remedy]
        if remedy != self.fault_id or remedy not in self.model.remedy_index:
            return False
        return Chance(self.seed, f"remedy {remedy}").part() < self.model.hypotheses[self.fault].cures

    def facts(self) -> dict[str, str]:
        """What holds for every vehicle that the tree is for: fact -> answer, one of those it applies to."""
        applies = self.model.tree.applies_to
        return {
            fact: answers[Chance(self.seed, f"fact {fact}").below(len(answers))]
            for fact, answers in applies.items()
        }


def after(check: str, remedy: str) -> str:
    """Under what a trainer's word for a check after a remedy is kept among what was `said`."""
    return f"{check} after {remedy}"


def reading_in(band: Band, reading: Reading, part: float) -> float:
    """A value within a band, by a part of one, with as many decimal places as a meter of its kind shows.

    Evenly over a band between two others. A band at an end of the range is mostly wide beyond all that is
    ever read (up to 16 V while an engine is cranked), so there it lies nearer the next band: by the cube of
    the part. Where a narrow band leaves no such value, it has more decimal places.

    >>> volts = Reading("V", 0, 16, 0.05)
    >>> [reading_in(band, volts, 0.25) for band in (Band("low", 11.9, 12.4), Band("good", 12.4, 16))]
    [12.02, 12.45]
    """
    width = band.high - band.low
    if band.low <= reading.low and band.high < reading.high:
        left = 1 - part
        value = band.high - left * left * left * width
    elif band.high >= reading.high and band.low > reading.low:
        value = band.low + part * part * part * width
    else:
        value = band.low + part * width
    for places in range(shown_places(reading.uncertainty), MOST_PLACES + 1):
        ten = 10.0**places
        cut = floor(value * ten) / ten
        if band.low <= cut < band.high:
            return cut
    return value if band.low <= value < band.high else band.low + width / 2


def shown_places(uncertainty: float) -> int:
    """How many decimal places a meter of that standard uncertainty shows: a step is no larger than it.

    >>> shown_places(0.05), shown_places(1), shown_places(0.15), shown_places(3)
    (2, 0, 1, 0)
    """
    places = 0
    while places < MOST_PLACES and 10.0**-places > uncertainty * (1 + 1e-9):
        places += 1
    return places


def shown(finding: Finding, check: Check) -> str:
    """A finding as a person reads it: the answer's text, or the value with unit and uncertainty.

    >>> from diagnose.terms import Answer
    >>> shown(Finding("hum", "yes"), Check("hum", "?", "", "look", "owner", 1, (Answer("yes", "It hums"),)))
    'It hums'
    """
    if finding.answer == NOT_SURE:
        return "It cannot be told"
    if finding.value is not None and check.reading is not None:
        places = max(shown_places(check.reading.uncertainty), _places_of(finding.value))
        doubt = "" if finding.uncertainty is None else f" (give or take {finding.uncertainty:g})"
        return f"{finding.value:.{places}f} {check.reading.unit}{doubt}"
    return {answer.id: answer.says for answer in check.answers}.get(str(finding.answer), str(finding.answer))


def _places_of(value: float) -> int:
    return next((places for places in range(MOST_PLACES) if round(value, places) == value), MOST_PLACES)
