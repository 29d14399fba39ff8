"""Fleets made up for tests: cards in a folder, rounds and cases in a store. All vehicles are invented."""

from datetime import UTC, date, datetime, timedelta

from diagnose.cases.rounds_records import RoundLine
from diagnose.cases.rounds_store import begin_round, note
from diagnose.cases.store import open_store
from diagnose.knowledge.card_words import CardWords
from diagnose.knowledge.collection import Library
from diagnose.rounds.fleet_cards import load_cards
from diagnose.rounds.fleet_gather import Gathering
from diagnose.rounds.fleet_walks import Walks

NOW = datetime(2026, 11, 29, 9, tzinfo=UTC)
TODAY = NOW.date()
CHECKED = "gas-check: 2026-10-01, mains-check: 2026-10-01"
"""Qualified people's checks that hold."""
LIBRARY = Library()


def write_card(folder, name, facts="build: campervan", dates=CHECKED, label=None):
    """A card's file."""
    folder.mkdir(exist_ok=True)
    said = label if label is not None else name
    text = f'label: "{said}"\nfacts: {{{facts}}}\ndates: {{{dates}}}\n'
    path = folder / f"{name.replace(' ', '-')}.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def gathering(round="wake-up", now=NOW, trees=LIBRARY.tree):
    """What a fleet is read with, without past cases."""
    walks = Walks(trees, frozenset(LIBRARY.ids()))
    return Gathering(LIBRARY.round(round), LIBRARY.common(), walks, trees, now, now.date())


def fleet_in(folder, store=None, round="wake-up", now=NOW):
    """The fleet whose cards stand in a folder."""
    cards = load_cards(folder, CardWords(LIBRARY), now.date())
    return gathering(round, now).fleet(cards, store)


def kept(tmp_path):
    """A new store."""
    return open_store(str(tmp_path / "cases.sqlite"))


def begun(store, vehicle, marks, round="wake-up", at=NOW - timedelta(hours=1)):
    """A round of a vehicle with marks: task -> its end, or (its end, its case)."""
    record = begin_round(store, round, LIBRARY.round(round).digest, vehicle, "", at)
    pairs = {task: end if isinstance(end, tuple) else (end, None) for task, end in marks.items()}
    note(
        store,
        record.number,
        [RoundLine(at, "mark", task, end, case=case) for task, (end, case) in pairs.items()],
    )
    return record.number


def case_of(store, vehicle, symptom, state=None, referral="", at=NOW - timedelta(hours=1)):
    """A case, ended if a state is given."""
    number = store.open_case(symptom, LIBRARY.tree(symptom).digest, "technician", vehicle, at)
    if state is not None:
        store.end_case(number, state, at, referral=referral)
    return number


def day(days):
    """So many days from the day of these tests."""
    return TODAY + timedelta(days=days)


__all__ = ["CHECKED", "LIBRARY", "NOW", "TODAY", "date"]
