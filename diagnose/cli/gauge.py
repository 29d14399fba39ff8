"""`diagnose gauge NAME ...`: one calculation on its own, its help made from the gauge's own data."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Mapping
from typing import Any

import click

from diagnose.cli.options import json_option
from diagnose.gauges.gauge import Asked, Choice, Gauge, Given, Outcome, Quantity
from diagnose.gauges.measured import Measured, written
from diagnose.gauges.quantities import PLUS_MINUS
from diagnose.gauges.register import SUBJECTS, gauge, names
from diagnose.terminal.layout import Page
from diagnose.terms import WrongUsage

HELP = """Turn readings into what they mean: volts into charge, weight into hours of gas.

Write quantities as you would on paper: 12.4 V, 12,4V, 28 psi, 48 F, 10 ± 1 C or 10+-1C. A bare number takes
the gauge's own unit. What stands behind ± is the standard uncertainty: about two times in three the true
value lies within it. Where you write none, the usual doubt of such a reading is taken.

No gauge asks for anything measured on mains or gas parts, and none certifies that something is safe.
"""


class GaugeGroup(click.Group):
    """A group whose commands are the gauges of the register, each made when it is named."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names of all gauges, in the order of the register."""
        return list(names())

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that gauge; raises UnknownGauge, which names the nearest."""
        return GaugeCommand(gauge(cmd_name))

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the gauges by subject, each with what it tells."""
        for subject, own in SUBJECTS.items():
            with formatter.section(subject.replace("_", " ").capitalize()):
                formatter.write_dl([(name, f"{gauge(name).title}.") for name in own])


class GaugeCommand(click.Command):
    """The command of one gauge: readings in the order in which it asks, and an option for each."""

    def __init__(self, own: Gauge) -> None:
        self.own = own
        super().__init__(
            own.name,
            params=[click.Argument(["readings"], nargs=-1, metavar=_usage(own)), *map(_option, own.asks)],
            callback=self.run,
            help=f"{own.title}.",
            context_settings={"terminal_width": min(max(shutil.get_terminal_size().columns, 40), 88) - 2},
        )
        json_option(self)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """As click does it, once `12,4 V` or `10 ± 1 C` in several words are joined, and -5 is no option."""
        return super().parse_args(ctx, joined(args))

    def run(self, readings: tuple[str, ...], as_json: bool, **options: str | None) -> None:
        """Print what the gauge makes of the readings."""
        texts = _texts(self.own, readings, options)
        given, outcome = self.own.outcome(texts)
        if as_json:
            click.echo(json.dumps(document(self.own, given, outcome), ensure_ascii=False, indent=2))
        else:
            click.echo(screen(self.own, given, outcome, shutil.get_terminal_size().columns))

    def format_help(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """What it needs, how to take that safely, the formula, its source, and examples."""
        self.format_usage(ctx, formatter)
        self.format_help_text(ctx, formatter)
        with formatter.section("It asks for"):
            formatter.write_dl([(_shown_name(asked), explained(asked)) for asked in self.own.asks])
        for title, texts in (
            ("How to take it", self.own.how),
            ("Formula", (self.own.formula,)),
            ("Source", (self.own.source,)),
        ):
            with formatter.section(title):
                for text in texts:
                    formatter.write_text(text[0].upper() + text[1:] if title == "How to take it" else text)
        own_names = {asked.name.replace("-", "_") for asked in self.own.asks} | {"readings"}
        with formatter.section("Options"):
            others = [each for each in self.get_params(ctx) if each.name not in own_names]
            formatter.write_dl([record for each in others if (record := each.get_help_record(ctx))])
        with formatter.section("Examples"):
            for words in self.own.examples:
                formatter.write_text(shell_line(self.own, words))


@click.group(
    cls=GaugeGroup, help=HELP, invoke_without_command=True, context_settings={"max_content_width": 88}
)
@json_option
@click.pass_context
def command(ctx: click.Context, as_json: bool) -> None:
    """List the gauges, or hand over to the one that is named."""
    if ctx.invoked_subcommand is not None:
        return
    if as_json:
        entries = [{"name": name, "title": gauge(name).title} for name in names()]
        click.echo(json.dumps({"gauges": entries}, ensure_ascii=False, indent=2))
    else:
        click.echo(listing(shutil.get_terminal_size().columns))


def listing(width: int) -> str:
    """The gauges by subject, each with what it tells."""
    page = Page(width)
    for subject, own in SUBJECTS.items():
        page.gap().say(subject.replace("_", " ").capitalize())
        for name in own:
            page.say(name, indent=2).say(gauge(name).title, indent=4)
    return page.gap().say("What one needs and how to take it: diagnose gauge NAME --help").text()


def screen(own: Gauge, given: Given, outcome: Outcome, width: int) -> str:
    """The result as somebody reads it, with what it was made from and what it rests on."""
    page = Page(width)
    page.say(outcome.in_words(), "strong").say(outcome.meaning)
    if outcome.also:
        page.gap()
        page.listing([(each.what, written(each.measured, each.unit)) for each in outcome.also])
    page.gap().say("From")
    page.listing([(name, text) for name, text in _told(own, given).items()])
    page.gap().hang("Formula: ", own.formula, indent=0).hang("Source: ", own.source, indent=0)
    for note in outcome.notes:
        page.gap().say(note)
    for caution in outcome.cautions:
        page.gap().say(caution.word, "danger").say(caution.say, indent=2)
    return page.text()


def document(own: Gauge, given: Given, outcome: Outcome) -> dict[str, Any]:
    """The result for a program: unrounded, with the inputs as they were taken."""
    return {
        "gauge": own.name,
        "inputs": {asked.name: _entry(asked, given[asked.name]) for asked in own.asks},
        "value": outcome.measured.value,
        "uncertainty": outcome.measured.uncertainty,
        "unit": outcome.unit,
        "formula": own.formula,
        "source": own.source,
        "meaning": outcome.meaning,
        "also": [
            {
                "what": each.what,
                "value": each.measured.value,
                "uncertainty": each.measured.uncertainty,
                "unit": each.unit,
            }
            for each in outcome.also
        ],
        "notes": list(outcome.notes),
        "cautions": [{"word": each.word, "say": each.say} for each in outcome.cautions],
    }


def explained(asked: Asked) -> str:
    """What is asked for, in which form, and what is taken where nothing is said."""
    told = f"{asked.says}; "
    if isinstance(asked, Choice):
        told += "; ".join(f"{word}: {meaning}" for word, meaning in asked.options.items())
        return f"{told}. Else {asked.default}." if asked.default else f"{told}."
    told += f"such as {asked.example}."
    if isinstance(asked, Quantity):
        if asked.doubt_from:
            told += f" Doubt where you write none: {asked.doubt_from} ({_doubt(asked)})."
        if asked.default is not None:
            told += f" Else {written(asked.default, asked.unit)}."
    elif asked.default is not None:
        told += f" Else {asked.default}."
    return told if asked.required or asked.default is not None else f"{told} May be left out."


def shell_line(own: Gauge, words: tuple[str, ...]) -> str:
    """The command as it is typed in a shell."""
    typed = [f'"{word}"' if re.search(r"[^\w.,:%/=+-]", word) else word for word in words]
    return " ".join(["diagnose gauge", own.name, *typed])


def joined(arguments: list[str]) -> list[str]:
    """The arguments with each quantity in one piece: a unit or a ± joins what stands before it.

    >>> joined(["12,4", "V", "--temperature", "-5", "±", "1", "C"])
    ['12,4 V', '--temperature', '−5 ± 1 C']
    """
    pieces: list[str] = []
    for word in arguments:
        if pieces and _goes_on(pieces[-1], word):
            pieces[-1] = f"{pieces[-1]} {word}"
        else:
            # A minus sign proper, which does not look like the start of an option.
            pieces.append(re.sub(r"^-(?=\s*[\d.,])", "\u2212", word))
    return pieces


_ENDS_IN_NUMBER = re.compile(r"(?:^|[\s\d±+\-\u2212])[\d.,]*\d[.,]?$")
_ENDS_IN_PLUS_MINUS = re.compile(rf"\d.*(?:{PLUS_MINUS.pattern})\s*$")
_UNIT = re.compile(r"[^\W\d_]{1,12}[23²³]?(?:/\d*[^\W\d_]{1,10})?|°[CFcf]|%")


def _goes_on(before: str, word: str) -> bool:
    if before.startswith("--"):
        return False
    if _ENDS_IN_PLUS_MINUS.search(before):
        return word[:1].isdigit() or word[:1] in ".,"
    if not any(letter.isdigit() for letter in before):
        return False
    if PLUS_MINUS.match(word):
        return True
    return _ENDS_IN_NUMBER.search(before) is not None and _UNIT.fullmatch(word) is not None


def _texts(own: Gauge, readings: tuple[str, ...], options: Mapping[str, str | None]) -> dict[str, str]:
    """What was written for each input: options by name, the rest in the order in which it is asked."""
    texts = {}
    for asked in own.asks:
        text = options[asked.name.replace("-", "_")]
        if text is not None:
            texts[asked.name] = text
    waiting = [asked.name for asked in own.asks if asked.required and asked.name not in texts]
    if len(readings) > len(waiting):
        raise WrongUsage(
            f'{own.name}: "{readings[len(waiting)]}" is one reading too many; '
            f"its form is: diagnose gauge {own.name} {_usage(own)}"
        )
    return texts | dict(zip(waiting, readings, strict=False))


def _option(asked: Asked) -> click.Option:
    return click.Option([f"--{asked.name}", asked.name.replace("-", "_")], default=None)


def _usage(own: Gauge) -> str:
    return " ".join(asked.name.upper() for asked in own.asks if asked.required) or "[OPTIONS]"


def _shown_name(asked: Asked) -> str:
    return asked.name.upper() if asked.required else f"--{asked.name}"


def _doubt(asked: Quantity) -> str:
    parts = []
    if asked.doubt:
        parts.append(f"{asked.doubt:.2g} {asked.unit}")
    if asked.doubt_share:
        parts.append(f"{asked.doubt_share * 100:.2g} % of it")
    return "±" + " and ±".join(parts)


def _told(own: Gauge, given: Given) -> dict[str, str]:
    """The inputs in words, those that were not given left out."""
    told = {}
    for asked in own.asks:
        value = given[asked.name]
        if isinstance(value, Measured) and isinstance(asked, Quantity):
            told[asked.name] = written(value, asked.unit)
        elif value is not None:
            told[asked.name] = str(value)
    return told


def _entry(asked: Asked, value: Measured | str | None) -> object:
    if isinstance(value, Measured) and isinstance(asked, Quantity):
        return {"value": value.value, "uncertainty": value.uncertainty, "unit": asked.unit}
    return value
