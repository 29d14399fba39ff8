"""The command line: one file a command, loaded when it is used.

Only click is imported here, so that `--version`, `--help` and a mistyped command answer at once. A command's
module holds its click command under the name `command`; the line that `--help` shows stands here, so that
listing the commands loads none of them.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib import import_module
from keyword import iskeyword
from typing import Any

import click

COMMANDS: dict[str, str] = {
    "walk": "Find out what is wrong, one question at a time.",
    "symptoms": "List the symptoms that can be walked.",
    "card": "Make and print the card of a vehicle.",
    "cases": "Look at past cases and say what they turned out to be.",
    "trees": "Check the files that hold the knowledge.",
    "sheet": "Put a case on one page for the engineer who was called.",
    "draw": "Draw a symptom's fault tree or its route.",
    "page": "Make one file that walks the trees on a phone, without a network.",
    "round": "Wake a vehicle up, hand it over or lay it up, task by task.",
    "practise": "Practise on a made-up vehicle with a hidden fault.",
    "gauge": "Turn readings into what they mean: volts into charge, weight into hours of gas.",
}
"""A command's name -> its line in `--help`. Its module is `diagnose.cli.<name>`."""

HELP = """Find out what is wrong with a motorhome, campervan or caravan that stood unused.

Without a command it asks what is wrong, then asks one thing at a time and ends with what to do, or with
whom to call. It never certifies that a vehicle is safe.

\b
Examples:
  diagnose                       be asked what is wrong
  diagnose walk no warm air      say it at once
  diagnose walk --resume         go on where you left off
  diagnose symptoms              see what it knows about

Help for one command: diagnose walk --help
"""


class LazyGroup(click.Group):
    """A group that imports a command's module when that command is named, and not before."""

    def __init__(self, *args: Any, lazy: dict[str, str], package: str, hint: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.hint = hint
        self.lazy = lazy
        self.package = package

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names of the commands, in the order in which a newcomer meets them."""
        return list(self.lazy)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, imported now; None if there is none."""
        if cmd_name not in self.lazy:
            return None
        # A word that Python keeps for itself cannot be imported by that name: `import` stands in `import_`.
        module = f"{cmd_name}_" if iskeyword(cmd_name) else cmd_name
        command: click.Command = import_module(f"{self.package}.{module}").command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does it, with a hint for somebody who typed something else than a command."""
        if args and args[0] not in self.lazy and not args[0].startswith("-"):
            ctx.fail(f'There is no command "{args[0]}". {self.hint.format(words=" ".join(args))}'.strip())
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the commands with the lines that stand beside their names; loads none of them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(self.lazy.items()))


def _say_version(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    if wanted and not ctx.resilient_parsing:
        from diagnose import __version__

        click.echo(f"diagnose {__version__}")
        ctx.exit()


@click.group(
    cls=LazyGroup,
    lazy=COMMANDS,
    package=__name__,
    hint="To say what is wrong, write: diagnose walk {words}",
    help=HELP,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_say_version,
    help="Show the version and stop.",
)
@click.option(
    "--debug",
    is_flag=True,
    expose_value=False,
    help="If something goes wrong inside the program, show where (for whoever mends it).",
)
@click.pass_context
def group(ctx: click.Context) -> None:
    """The program; on its own it asks what is wrong."""
    if ctx.invoked_subcommand is None:
        walk = group.get_command(ctx, "walk")
        assert walk is not None
        # Made with a context of its own, so that the environment's settings count as they do for `walk`.
        with walk.make_context("walk", [], parent=ctx) as own:
            walk.invoke(own)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the program and exit: 0 done, 1 the work failed, 2 wrong usage, 130 Ctrl-C.

    `--debug` may stand anywhere before `--`; without it nobody ever sees a traceback.
    """
    words = list(sys.argv[1:] if arguments is None else arguments)
    options = words[: words.index("--")] if "--" in words else words
    debug = "--debug" in options
    if debug:
        words.remove("--debug")
    try:
        # Not click's own `main`, which would end a closed pipe with an exit code of its own.
        with group.make_context("diagnose", words) as context:
            group.invoke(context)
        sys.stdout.flush()
    except click.exceptions.Exit as leave:
        sys.exit(leave.exit_code)
    except Exception as error:
        from diagnose.cli.failing import exit_code

        sys.exit(exit_code(error, as_json="--json" in options, debug=debug))
    except KeyboardInterrupt:
        click.echo(err=True)  # closes the line on which the terminal has shown ^C
        sys.exit(130)
    sys.exit(0)
