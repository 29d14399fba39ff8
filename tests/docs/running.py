"""Commands of the documents: run by a shell, or, where one is nothing but the program, in this process.

To start Python and to load the libraries takes each command much longer than what it does. The README's are
all run by the shell, as are those anywhere that hold more than the program and its words.
"""

from __future__ import annotations

import io
import os
import re
import shlex
import subprocess
import sys

import pytest

from diagnose.cli import main

NOTHING_BUT_THE_PROGRAM = re.compile(r"diagnose [^|><;&$`\\*?]*")


def by_the_shell(command, typed, folder, environment):
    """What a command prints, errors among it."""
    done = subprocess.run(
        ["bash", "-c", command],
        cwd=folder,
        env=environment,
        input=typed,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=100,
    )
    return done.stdout


def here(command, typed, folder, environment):
    """The same, without a process of its own."""
    printed = io.BytesIO()
    screen = io.TextIOWrapper(printed, encoding="utf-8", newline="\n", write_through=True)
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        for name in os.environ.keys() - environment.keys():
            patch.delenv(name)
        for name, value in environment.items():
            patch.setenv(name, value)
        patch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(typed.encode()), encoding="utf-8"))
        patch.setattr(sys, "stdout", screen)
        patch.setattr(sys, "stderr", screen)
        with pytest.raises(SystemExit):
            main(shlex.split(command)[1:])
    return printed.getvalue().decode()


def way_to_run(command):
    """`here` or `by_the_shell`."""
    return here if NOTHING_BUT_THE_PROGRAM.fullmatch(command) else by_the_shell
