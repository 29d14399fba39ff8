"""A fleet on its round, in words: the screen and the printed page say the same."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.knowledge.card_fields import DATES
from diagnose.rounds.due_statements import capital, count
from diagnose.rounds.fleet import Fleet, FleetVehicle, ToBuy, Visit
from diagnose.rounds.fleet_chance import Forecast
from diagnose.rounds.fleet_needs import Errand, OpenWalk, comes
from diagnose.rounds.verdict_statements import WHO_ANSWERS
from diagnose.terms.rounds import RoundId, Verdict
from diagnose.walking.views import NO_CERTIFICATE

ROUND_IN_WORDS: dict[RoundId, str] = {
    "wake-up": "Wake-up",
    "journey": "Before a journey",
    "hand-over": "Hand-over",
    "lay-up": "Lay-up",
}
ON_ONE_PAGE = 12
"""So many vehicles, at most, stand on one printed page with all that they need (judgement)."""
FIRST_UP = 10
"""So many vehicles with the least left are named before the lists."""
VERDICTS: dict[Verdict, str] = {"ready": "ready", "limited": "limited", "not-ready": "not ready"}
VEHICLES, VISITS, TO_BUY, OVERDUE, OUT = "Vehicles", "Whom to call", "To buy", "Dates that are over", "Out by"
EACH = "Each vehicle, and what it waits for"
NOTHING_LEFT = "nothing left to do"
NO_VISIT = "Nobody has to be called for what is known so far."
NOTHING_TO_BUY = "Nothing has to be bought for what is known so far."
NOTHING_OVER = "No date on the cards is over. A date that a card lacks is not known."
MINUTES_ARE = (
    "Minutes are those of one person alone: the open tasks with ways and idle time, and what each open walk "
    "is still expected to take by its planner, with the minutes of a referral where it may come to one."
)
THERE_ARE = "Minutes there are judgement: nobody knows beforehand what somebody qualified will find."
PERHAPS_IS = "Perhaps: something is wrong that it can belong to. Look before you buy."
CLOSING = (WHO_ANSWERS, NO_CERTIFICATE)


def heading(fleet: Fleet) -> str:
    """Which round, and when."""
    return f"{ROUND_IN_WORDS[fleet.round]}: {count(len(fleet.vehicles), 'vehicle')}, {fleet.today}"


def summary(fleet: Fleet) -> list[str]:
    """How many stand how, and what is left in all."""
    told = [f"{fleet.count(verdict)} {VERDICTS[verdict]}" for verdict in VERDICTS]
    lines = [f"{', '.join(told)}. {capital(count(round(fleet.minutes), 'minute'))} of work left in all."]
    stopped = [each.name for each in fleet.vehicles if each.stopped]
    if stopped:
        lines.append(f"DANGER was told, and nobody qualified has cleared since: {', '.join(stopped)}.")
    if fleet.without_card:
        lines.append(f"On this round in the store, and without a card here: {', '.join(fleet.without_card)}.")
    return lines


def figures(vehicle: FleetVehicle, forecast: Forecast | None = None) -> tuple[str, ...]:
    """Verdict, tasks done, minutes left and the chance to be out: a cell each.

    What is out already is said so; for what danger stopped no chance is given.
    """
    cells = (
        VERDICTS[vehicle.verdict].upper() if vehicle.verdict == "not-ready" else VERDICTS[vehicle.verdict],
        f"{vehicle.tasks - len(vehicle.left)} of {vehicle.tasks}",
        f"{vehicle.minutes:,.0f}",
    )
    if forecast is None:
        return cells
    if vehicle.stopped:
        return (*cells, "-")
    return (*cells, "out" if vehicle.out else chance(forecast.chances[vehicle.name]))


def waits(vehicle: FleetVehicle) -> list[str]:
    """What a vehicle waits for besides its tasks, a phrase each."""
    told = (
        ["DANGER was told; nobody uses it until somebody qualified has cleared it"] if vehicle.stopped else []
    )
    told += [_walk(walk) for walk in vehicle.walks]
    for referral in dict.fromkeys(comes(errand.referral) for errand in vehicle.errands):
        work = [errand for errand in vehicle.errands if comes(errand.referral) == referral]
        told.append(f"{called(referral)}: {_work(work)}")
    known = {each.says for each in vehicle.parts if each.sure}
    if known:
        told.append(f"to buy: {', '.join(sorted(known))}")
    if vehicle.out:
        told.append(NOTHING_LEFT)
    return told


def _walk(walk: OpenWalk) -> str:
    begun = f"walk of case {walk.case}" if walk.case is not None else "walk to be begun"
    minutes = f", {walk.ahead.minutes:.0f} minutes" if walk.ahead is not None else ", its tree is not at hand"
    return f"{begun}: {walk.says}{minutes}"


def _work(errands: Sequence[Errand]) -> str:
    return ", ".join(dict.fromkeys(_plainly(errand) for errand in errands))


def _plainly(errand: Errand) -> str:
    case = f", case {errand.case}" if errand.case is not None else ""
    return f"{errand.says.rstrip('.')}{case}"


def called(referral: str) -> str:
    """Whom one calls, short.

    >>> called("gas-engineer")
    'gas engineer'
    """
    return referral.replace("-", " ")


def visit_heading(visit: Visit) -> str:
    """Whom to call, for how many vehicles, and for how long."""
    vehicles = count(len(visit.vehicles), "vehicle")
    return f"{capital(called(visit.referral))}: {vehicles}, about {visit.minutes:,.0f} minutes there"


def visit_lines(visit: Visit) -> list[tuple[str, str]]:
    """(vehicle, what is done there) of a visit."""
    return [
        (name, "; ".join(f"{_plainly(errand)} ({errand.why})" for errand in errands))
        for name, errands in visit.vehicles
    ]


def buy_line(item: ToBuy) -> str:
    """One thing to buy, and for which vehicles."""
    counted = [f"{len(item.sure)} for {', '.join(item.sure)}"] if item.sure else []
    counted += [f"perhaps {len(item.perhaps)} for {', '.join(item.perhaps)}"] if item.perhaps else []
    return "; ".join(counted)


def overdue_lines(fleet: Fleet) -> list[tuple[str, str]]:
    """(what is over, for which vehicles and since when), the longest first."""
    return [
        (DATES[of].says, ", ".join(f"{name} since {due.day}" for name, due in pairs))
        for of, pairs in fleet.overdue.items()
    ]


def in_brief(fleet: Fleet) -> list[tuple[str, list[str]]]:
    """(heading, lines) of what is decided by, before the lists of a fleet that fills more than one page.

    Empty for a smaller one, whose lists are short enough themselves.
    """
    if len(fleet.vehicles) <= ON_ONE_PAGE:
        return []
    first = [each for each in fleet.vehicles if not each.stopped and not each.out][:FIRST_UP]
    parts = [
        ("The least left", [f"{each.name}, {each.minutes:,.0f} minutes" for each in first]),
        (VISITS, [visit_heading(visit) for visit in fleet.visits] or [NO_VISIT]),
        (TO_BUY, [_how_many(item) for item in fleet.to_buy] or [NOTHING_TO_BUY]),
        (
            OVERDUE,
            [
                f"{capital(DATES[of].says)}: {count(len(pairs), 'vehicle')}, first since {pairs[0][1].day}"
                for of, pairs in fleet.overdue.items()
            ]
            or [NOTHING_OVER],
        ),
    ]
    return [(heading, lines) for heading, lines in parts if lines]


def _how_many(item: ToBuy) -> str:
    perhaps = f", perhaps {len(item.perhaps)} more" if item.perhaps and item.sure else ""
    number = f"{len(item.sure)}{perhaps}" if item.sure else f"perhaps {len(item.perhaps)}"
    return f"{capital(item.says)}: {number}"


def outlook(forecast: Forecast, fleet: Fleet) -> list[str]:
    """How many are out by the day, and what that rests on."""
    of = len(fleet.vehicles)
    assumed = forecast.assumptions
    people = "one person" if assumed.people == 1 else f"{assumed.people} people"
    spread = str(forecast.low) if forecast.low == forecast.high else f"{forecast.low} to {forecast.high}"
    told = [
        f"By {forecast.by}, {forecast.mean:.1f} of {of} vehicles are expected to be out, "
        f"with 90 of 100 chances {spread}. All of them: {chance(forecast.all_out)}.",
        f"That is {people} at {assumed.minutes_a_day:g} minutes a day on {count(forecast.days, 'day')}, "
        "the vehicle with the least left first.",
        "Out means: its tasks are done, its walks are over, and whoever it waits for has been"
        f"{_booked(forecast)}, some {assumed.visit_days:g} days after a call. What open tasks will bring to "
        f"light is drawn, parts are taken to be at hand ({assumed.runs:,} runs, judgement). It is no "
        "verdict: whether it may be used, and how, is told by the round alone.",
    ]
    stopped = sum(each.stopped for each in fleet.vehicles)
    if stopped:
        told.append(f"{capital(count(stopped, 'vehicle'))} stopped by danger count as not out.")
    return told


def _booked(forecast: Forecast) -> str:
    told = [f"{called(referral)} on {day}" for referral, day in sorted(forecast.booked.items())]
    return f": {', '.join(told)}; others" if told else ""


def chance(part: float) -> str:
    """A chance in a hundred as it was drawn: never said to be none or certain.

    >>> chance(0.5), chance(1.0), chance(0.0)
    ('50 %', 'over 99 %', 'under 1 %')
    """
    if part < 0.01:
        return "under 1 %"
    return "over 99 %" if part > 0.99 else f"{100 * part:.0f} %"
