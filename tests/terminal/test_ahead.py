from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from threading import Event

from diagnose.terminal.ahead import OneAtATime
from diagnose.terms import Finding, Situation
from diagnose.walking.journal import MemoryJournal
from diagnose.walking.reasoner import RoomReasoner
from diagnose.walking.walk import Walk
from tests.reasoning.dearer_trees import after_the_first_questions, first_dearer
from tests.walking.small_trees import HandClock

CHECKOUT = Path(__file__).resolve().parent.parent.parent


def program(*lines):
    """A fresh Python that runs these lines."""
    # Whoever started the tests in the background may have them ignore Ctrl-C; this program heeds it.
    heed = "signal.signal(signal.SIGINT, signal.default_int_handler)"
    load = "from diagnose.terminal.ahead import load_ahead"
    code = "\n".join(["import signal, sys, time", heed, load, *lines])
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
    # What is registered last runs first: it is printed when all that is left is the waiting.
    child = program(
        "import atexit",
        "load_ahead(lambda: time.sleep(60))",
        "atexit.register(print, 'ending')",
        "sys.exit(0)",
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "ending\n"
    time.sleep(0.3)
    child.send_signal(signal.SIGINT)
    output, errors = child.communicate(timeout=30)
    assert (child.returncode, output, errors) == (130, "", "")


def test_of_the_work_that_waits_only_the_latest_is_begun_and_never_two_at_once():
    first_began, go_on, last_done = Event(), Event(), Event()
    done, told = [], []

    def first(given_up):
        first_began.set()
        assert go_on.wait(30)
        told.append(given_up())
        done.append("first")

    def last(given_up):
        told.append(given_up())
        done.append("last")
        last_done.set()

    begin = OneAtATime(pause=0)
    begin(first)
    assert first_began.wait(30)
    for n in range(20):
        begin(lambda given_up, n=n: done.append(n))
    begin(last)
    go_on.set()
    assert last_done.wait(30)
    assert (done, told) == (["first", "last"], [True, False])


def test_work_that_breaks_down_is_passed_over_and_the_next_is_done():
    begin, done = OneAtATime(pause=0), Event()
    broke = Event()

    def breaks(given_up):
        broke.set()
        raise MemoryError

    begin(breaks)
    assert broke.wait(30)
    begin(lambda given_up: done.set())
    assert done.wait(30)


def test_work_is_given_up_at_the_end_of_the_program():
    child = program(
        "from diagnose.terminal.ahead import OneAtATime",
        "def work(given_up):",
        "    print('begun')",
        "    while not given_up():",
        "        time.sleep(0.01)",
        "    print('given up')",
        "OneAtATime(pause=0)(work)",
        "time.sleep(0.5)",
        "print('ending')",
        "sys.exit(3)",
    )
    output, errors = child.communicate(timeout=30)
    assert (child.returncode, output, errors) == (3, "begun\nending\ngiven up\n", "")


def test_a_walk_is_planned_on_in_a_thread_and_goes_on_by_the_better_plan():
    case = first_dearer()
    reasoner = RoomReasoner(case.tree, meanwhile=OneAtATime(pause=0))
    walk = Walk.begin(case.tree, reasoner, MemoryJournal(), HandClock())
    walk.answer("no")
    before = walk.answer("quiet")
    first = after_the_first_questions(case.tree).findings
    after = Situation({**first, before.check: Finding(before.check, case.answer)})
    patience = time.monotonic() + 60
    while reasoner.refinement.step(after, 0, False) is None and time.monotonic() < patience:
        time.sleep(0.02)
    assert walk.view() is before
    view = walk.answer(case.answer)
    shown = view.check if case.best.kind == "check" else view.remedy
    assert shown == case.best.of != case.at_once.of
