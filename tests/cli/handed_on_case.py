"""A case of a stuck step that was handed on: its tree, its store, its code, and what is read of it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from diagnose.cases.records import Entry
from diagnose.cases.store import open_store
from diagnose.knowledge.collection import Library
from diagnose.walking.case_codes import code_of
from tests.cli.cases.step_stuck import CHECKS

MAY = datetime(2026, 5, 3, 9, 30, tzinfo=UTC)
FAULTS = """\
symptom: The step will not fold in
system: water
refer_to: workshop
cured_when: {ask: "Does it fold in and out three times?", minutes: 1}
faults:
  hazard: none
  any_of:
    grit:
      says: Grit holds it
      in_100: 60
      remedy: {do: Brush it clean, by: owner, hands: controls, minutes: 5}
      prevent: Brush it each month
    motor:
      says: Its motor has failed
      in_100: 35
      remedy: {refer: workshop}
      prevent: Have it looked at with the yearly check
"""
STEP_STUCK = FAULTS + CHECKS


def sentences(run):
    """What a run wrote, without the ends of its lines; it has to have gone well."""
    code, out, err = run
    assert (code, err) == (0, "")
    return " ".join(out.split())


def tree_at(place):
    return Library((place / "trees",)).tree("step-stuck")


def handed_on(store, tree, state="referred", opened=MAY):
    case = store.open_case("step-stuck", tree.digest, "owner", "the blue van", opened)
    lines = (("finding", "squeak", "no"), ("finding", "volts", "good"), ("tried", "grit", "not-cured"))
    for number, (kind, subject, answer) in enumerate(lines):
        value = 12.4 if subject == "volts" else None
        store.append(case, Entry(opened + timedelta(minutes=number), kind, subject, answer, value))
    store.end_case(case, state, opened, referral="workshop")
    return case


def code_at(place, case=1):
    with open_store(str(place / "owner.sqlite")) as store:
        return code_of(store.case(case), tree_at(place), store.origin)


def tag_at(place):
    with open_store(str(place / "owner.sqlite")) as store:
        return store.origin[:4]


def tally_of(file):
    with open_store(str(file)) as store:
        return store.tally("step-stuck", MAY)


def case_of(file, case=1):
    with open_store(str(file)) as store:
        return store.case(case)
