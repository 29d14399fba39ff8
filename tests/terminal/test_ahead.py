from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parent.parent.parent


def program(*lines):
    """A fresh Python that runs these lines."""
    code = "\n".join(["import sys, time", "from diagnose.terminal.ahead import load_ahead", *lines])
    return subprocess.Popen(
        [sys.executable, "-u", "-c", code],
        env=os.environ | {"PYTHONPATH": str(CHECKOUT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_the_end_waits_for_what_is_being_loaded_and_keeps_its_exit_code():
    child = program(
        "def work():",
        "    time.sleep(0.5)",
        "    print('loaded')",
        "load_ahead(work)",
        "sys.exit(7)",
    )
    output, errors = child.communicate(timeout=30)
    assert (child.returncode, output, errors) == (7, "loaded\n", "")


def test_ctrl_c_while_it_waits_leaves_at_once_and_shows_no_traceback():
    child = program("load_ahead(lambda: time.sleep(60))", "print('ending')", "sys.exit(0)")
    assert child.stdout is not None
    assert child.stdout.readline() == "ending\n"
    time.sleep(0.3)
    child.send_signal(signal.SIGINT)
    output, errors = child.communicate(timeout=30)
    assert (child.returncode, output, errors) == (130, "", "")
