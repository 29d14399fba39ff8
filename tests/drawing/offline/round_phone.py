"""A phone with rounds on its page: what is pressed on them, and what it keeps of them."""

from __future__ import annotations

import json
from datetime import date

from diagnose.drawing.offline.data import Page
from diagnose.drawing.offline.page import offline_page
from diagnose.knowledge.card import VehicleCard
from diagnose.terms import Finding
from tests.drawing.offline.phone import MADE
from tests.trees.shipped import COMMON, LIBRARY, model_of, route_of

KEY = "diagnose.page.rounds"
WAKE = LIBRARY.rounds()["wake-up"]
COVERS, MICE, TYRES, BELTS, FLUIDS, GAS = (
    WAKE.tasks[id].what for id in ("w3-uncover", "w1-mice", "w4-tyres", "w6-belts", "w8-fluids", "w14-gas")
)
CARD = VehicleCard(
    "van.yaml",
    "the van",
    facts=(Finding("stored", "outdoors"),),
    where={"flue": "behind the left rear wheel"},
    dates={"tyres": date(2012, 3, 1), "gas-check": date(2026, 5, 1)},
    numbers={"gas-engineer": "01632 960001"},
)
MIND = "Before you go on"
CLEARED = "Danger stopped this vehicle. Has somebody qualified looked at that since, and cleared it?"
AGAIN = "its walk ended in a cure: look at it once more"


def page_with_rounds(folder, card=CARD, worth=None):
    """The file of a page with all rounds and two of the trees that they open, for one vehicle."""
    file = folder / "page.html"
    walks = tuple((model_of(id), route_of(id)) for id in ("heater-no-fire", "water-pump"))
    page = Page(COMMON, walks, MADE, card=card, country="uk", rounds=LIBRARY.rounds(), worth=worth)
    file.write_text(offline_page(page), encoding="utf-8")
    return file


def kept(phone):
    """The rounds that the phone keeps, newest first."""
    return json.loads(phone.run(f"return localStorage.getItem('{KEY}')") or '{"rounds": []}')["rounds"]


def read_on(phone):
    """Past the cautions of a task and what is asked of the vehicle."""
    while phone.heading == MIND:
        phone.press("I have read this")
    return phone.heading


def opened(phone, what=COVERS):
    """A task of the wake-up round, its cautions read."""
    if phone.heading == "What is wrong?":
        phone.press("Waking it up")
    phone.press(what)
    return read_on(phone)


def noted(kind, subject, answer, at=0):
    """A line of a round."""
    return {"time": f"2026-11-28T08:{at:02}:00.000Z", "noted": kind, "subject": subject, "answer": answer}


def hold(phone, lines, **more):
    """Opens the page as on a phone that keeps a round with these lines."""
    held = {
        "id": "one",
        "round": "wake-up",
        "digest": WAKE.digest,
        "vehicle": "the van",
        "opened": "2026-11-28T08:00:00.000Z",
        "changed": "2026-11-28T08:00:00.000Z",
        "stage": "left-off",
        "lines": lines,
        "revision": 1,
    } | more
    phone.run(
        "localStorage.setItem(arguments[0], arguments[1])", KEY, json.dumps({"form": 1, "rounds": [held]})
    )
    phone.reload()


def mark_all_before(phone, task):
    """The round of a phone on which everything that comes before a task was found fine."""
    before, ahead = [], [task]
    while ahead:
        more = [each for each in WAKE.after.get(ahead.pop(), ()) if each not in before]
        before += more
        ahead += more
    hold(phone, [noted("mark", id, "fine", at) for at, id in enumerate(before)])
    phone.press("Go on with the round", WAKE.tasks[task].what)
