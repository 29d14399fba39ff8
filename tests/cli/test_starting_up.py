from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = (
    "networkx",
    "numpy",
    "sqlalchemy",
    "prompt_toolkit",
    "rich",
    "graphviz",
    "yaml",
    "rapidfuzz",
    "platformdirs",
)


def modules_after(arguments: list[str]) -> set[str]:
    code = (
        "import sys\n"
        "from diagnose.cli import main\n"
        f"try:\n    main({arguments!r})\nexcept SystemExit:\n    pass\n"
        "print('|' + ' '.join(sorted(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.rsplit("|", 1)[1].split())


@pytest.mark.parametrize("arguments", [["--version"], ["--help"], ["no-such-command"]])
def test_what_needs_nothing_loads_nothing(arguments):
    loaded = modules_after(arguments)
    assert not [name for name in HEAVY if name in loaded]
    ours = {name for name in loaded if name.startswith("diagnose.")}
    ours -= {name for name in ours if name.startswith("diagnose.terms.")}
    assert ours <= {"diagnose.cli", "diagnose.cli.failing", "diagnose.terms"}


@pytest.mark.parametrize("command", ["walk", "symptoms", "trees", "cases", "draw"])
def test_the_help_of_a_command_loads_nothing_heavy(command):
    loaded = modules_after([command, "--help"])
    assert not [
        name for name in ("networkx", "numpy", "sqlalchemy", "prompt_toolkit", "rich") if name in loaded
    ]


def test_the_version_is_the_packages(run):
    from diagnose import __version__

    ran = run("--version")
    assert (ran.code, ran.out, ran.err) == (0, f"diagnose {__version__}\n", "")


def test_the_help_names_every_command_with_its_line_and_examples(run):
    from diagnose.cli import COMMANDS

    ran = run("--help")
    assert ran.code == 0
    for name, line in COMMANDS.items():
        assert f"  {name}" in ran.out
        assert line in " ".join(ran.out.split())
    assert "diagnose walk no warm air" in ran.out
    assert "It never certifies that a vehicle is safe." in " ".join(ran.out.split())


@pytest.mark.parametrize("command", ["walk", "symptoms", "trees", "trees check", "cases", "draw"])
def test_the_help_of_every_command_has_an_example(run, command):
    ran = run(*command.split(), "--help")
    assert ran.code == 0
    assert f"  diagnose {command}" in ran.out
