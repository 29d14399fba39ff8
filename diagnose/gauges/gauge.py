"""What a gauge is: what it asks for, how to take that safely, its formula, and what comes out.

A gauge is data and one pure function. The command line, its help and the documents are made from the data, so
whoever adds a gauge writes it once: see `battery` for an example, and add its name to `register`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from diagnose.gauges.measured import Measured, written
from diagnose.gauges.quantities import BadQuantity, plain, read_quantity
from diagnose.terms import Caution, WrongUsage


class NotPossible(WrongUsage):
    """A value that cannot be, or that its gauge cannot judge; the text says why. Exit code 2."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A reading or figure with a unit."""

    name: str
    """One word or words with hyphens; the option on the command line, and the function's argument."""
    says: str
    """What it is, for help and for messages, beginning with a small letter."""
    unit: str
    example: str
    doubt: float = 0.0
    """Standard uncertainty of the usual instrument, in `unit`, where none is written."""
    doubt_share: float = 0.0
    """The same as a part of the value; both together make the uncertainty (root of squares)."""
    doubt_from: str = ""
    """What that default rests on, such as "a meter that may be 0.1 V out"."""
    default: Measured | None = None
    """What is taken where nothing is given; None and not required: the function gets None."""
    required: bool = True
    refuse: Callable[[float], str | None] = lambda value: None
    """The reason why a value in `unit` cannot be; None where it can."""

    def read(self, text: str) -> Measured:
        """The value with its uncertainty; raises BadQuantity or NotPossible."""
        try:
            found = read_quantity(text, self.unit, self.example)
        except BadQuantity as error:
            raise BadQuantity(f"{self.name}: {error}.") from None
        reason = self.refuse(found.value)
        if reason:
            raise NotPossible(f"{self.name}: {found.value:g} {self.unit} cannot be: {reason}.")
        if found.uncertainty is not None:
            self._refuse_what_tells_nothing(found.value, found.uncertainty)
            return Measured(found.value, found.uncertainty)
        return Measured(found.value, (self.doubt**2 + (self.doubt_share * found.value) ** 2) ** 0.5)

    def _refuse_what_tells_nothing(self, value: float, uncertainty: float) -> None:
        """A doubt that reaches beyond what can be on both sides is no reading; no formula has to bear it."""
        if self.refuse(value - uncertainty) and self.refuse(value + uncertainty):
            raise NotPossible(
                f"{self.name}: ± {uncertainty:g} {self.unit} is so wide that it tells nothing; "
                f"write it like {self.example}."
            )


@dataclass(frozen=True, slots=True)
class Choice:
    """One of a few words."""

    name: str
    says: str
    options: Mapping[str, str]
    """Word -> what it means."""
    default: str | None = None
    required: bool = False

    def read(self, text: str) -> str:
        """The word; its first letters will do. Raises BadQuantity."""
        typed = text.strip().casefold()
        fitting = [word for word in self.options if typed and word.startswith(typed)]
        if typed in self.options:
            return typed
        if len(fitting) != 1:
            raise BadQuantity(f'{self.name}: "{plain(text)}" is none of {", ".join(self.options)}.')
        return fitting[0]


@dataclass(frozen=True, slots=True)
class Words:
    """A text that its gauge reads itself, such as a code or a date."""

    name: str
    says: str
    example: str
    parse: Callable[[str], str]
    """The text in its plain form; raises NotPossible or BadQuantity with a whole sentence."""
    default: str | None = None
    required: bool = True

    def read(self, text: str) -> str:
        """The text in its plain form."""
        return self.parse(text)


Asked = Quantity | Choice | Words
Given = Mapping[str, Measured | str | None]


@dataclass(frozen=True, slots=True)
class Also:
    """A second figure that falls out of the same sum."""

    what: str
    measured: Measured
    unit: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a gauge found: the figure, what it means in one sentence, and what to beware of."""

    measured: Measured
    unit: str
    meaning: str
    cautions: tuple[Caution, ...] = ()
    also: tuple[Also, ...] = ()
    notes: tuple[str, ...] = ()
    """What was taken for granted or left out, a sentence each."""

    def in_words(self) -> str:
        """The figure with its uncertainty and unit."""
        return written(self.measured, self.unit)


@dataclass(frozen=True, slots=True)
class Gauge:
    """One calculation on its own."""

    name: str
    title: str
    """What it tells, in one line; begins with a capital, no full stop."""
    asks: tuple[Asked, ...]
    """What is required first, in the order in which it is typed."""
    how: tuple[str, ...]
    """How to come by the readings safely, a sentence or two each."""
    formula: str
    source: str
    """Where formula and figures come from; says so where that is "from memory" or "common practice"."""
    function: Callable[..., Outcome]
    """Takes the inputs by name (hyphens as underscores): Measured, text, or None where not given."""
    examples: tuple[tuple[str, ...], ...] = field(default=())
    """Arguments that show it at work; the documents run them."""

    def outcome(self, texts: Mapping[str, str]) -> tuple[Given, Outcome]:
        """What the texts were taken as, and what comes out.

        Raises BadQuantity for a text that cannot be read, NotPossible for what cannot be, and MissingReading.
        """
        given = self.read(texts)
        return given, self.function(**{name.replace("-", "_"): value for name, value in given.items()})

    def read(self, texts: Mapping[str, str]) -> Given:
        """The inputs by name in the order of `asks`, defaults filled in."""
        given: dict[str, Measured | str | None] = {}
        for asked in self.asks:
            if asked.name in texts:
                given[asked.name] = asked.read(texts[asked.name])
            elif asked.required:
                raise MissingReading(self, asked)
            else:
                given[asked.name] = asked.default
        return given


class MissingReading(WrongUsage):
    """A reading without which the gauge cannot tell anything."""

    def __init__(self, gauge: Gauge, asked: Asked) -> None:
        example = " ".join(_quoted(word) for word in gauge.examples[0]) if gauge.examples else ""
        super().__init__(
            f"{gauge.name} needs {asked.name} ({asked.says}). Such as: diagnose gauge {gauge.name} {example}"
        )


def _quoted(word: str) -> str:
    return f'"{word}"' if " " in word else word


def within(low: float, high: float, below: str, above: str) -> Callable[[float], str | None]:
    """A `refuse` for a Quantity: the reason `below` under `low`, `above` over `high`."""

    def reason(value: float) -> str | None:
        if value < low:
            return below
        return above if value > high else None

    return reason
