"""`diagnose round NAME --fleet FOLDER`: the vehicles of a fleet on one round, and what they need together."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

import click

from diagnose.cli.dates import any_day
from diagnose.cli.options import Figure
from diagnose.terms import DiagnoseError, Tally, Tree, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.store import CaseStore
    from diagnose.knowledge.collection import Library
    from diagnose.rounds.fleet import Fleet, FleetVehicle
    from diagnose.rounds.fleet_chance import Forecast, Work
    from diagnose.rounds.fleet_gather import Gathering
    from diagnose.terms import Settings
    from diagnose.terms.rounds import Round, Task

F = TypeVar("F", bound=Callable[..., Any])
LATEST = timedelta(days=730)


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked for on the command line."""

    folder: Path
    by: date | None = None
    minutes_a_day: float = 240
    people: int = 1
    visits: tuple[str, ...] = ()
    as_json: bool = False
    target: Path | None = None


def fleet_options(command: F) -> F:
    """The options of a fleet; they reach the command as `fleet: Asked | None`."""

    @wraps(command)
    def taken(
        *args: Any,
        fleet_folder: Path | None,
        out_by: date | None,
        minutes_a_day: float | None,
        people: int | None,
        visits: tuple[str, ...],
        **others: Any,
    ) -> Any:
        if fleet_folder is None:
            if out_by is not None or minutes_a_day is not None or people is not None or visits:
                raise WrongUsage("--out-by, --minutes-a-day, --people and --visit go with --fleet")
            return command(*args, fleet=None, **others)
        if out_by is None and (minutes_a_day is not None or people is not None or visits):
            raise WrongUsage("--minutes-a-day, --people and --visit are for --out-by; say which day")
        asked = Asked(fleet_folder, out_by, minutes_a_day or 240, people or 1, visits)
        return command(*args, fleet=asked, **others)

    for option in _OPTIONS:
        taken = option(taken)
    return cast(F, taken)


_OPTIONS = (
    click.option(
        "--visit",
        "visits",
        multiple=True,
        metavar="WHO=DATE",
        help="With --out-by: a visit that is settled, such as gas-engineer=2027-03-10; more than once.",
    ),
    click.option(
        "--people",
        type=click.IntRange(1, 50),
        metavar="N",
        help="With --out-by: how many work at once; else 1.",
    ),
    click.option(
        "--minutes-a-day",
        type=Figure(1, 1440),
        metavar="MIN",
        help="With --out-by: what each of them spends in a day; else 240.",
    ),
    click.option(
        "--out-by",
        type=any_day,
        metavar="DATE",
        help="With --fleet: how many vehicles are likely to be out by the morning of that day.",
    ),
    click.option(
        "--fleet",
        "fleet_folder",
        type=click.Path(path_type=Path),
        metavar="FOLDER",
        help="Show all vehicles that have a card in a folder; -o FILE.pdf: as a page to be printed.",
    ),
)


def show_fleet(
    name: str | None,
    folders: tuple[Path, ...],
    asked: Asked,
    given_store: str | None,
    others: Iterable[object],
) -> None:
    """Print the fleet's page or document, or write it as PDF where a file is named.

    `others` are what the command was given besides, none of which goes with it. Raises FlawedKnowledge with
    every flaw of every card, WrongUsage for a folder without cards or a day that is no day to come. Nothing
    is recorded.
    """
    from diagnose.cli.cases.at_hand import kept_store, library_at_hand
    from diagnose.knowledge.card_words import CardWords
    from diagnose.rounds.fleet_cards import load_cards

    today = date.today()
    if name is None:
        raise WrongUsage("which round? Write: diagnose round wake-up --fleet FOLDER")
    if any(others):
        raise WrongUsage("--fleet shows all vehicles at once; it goes with -o, --json and --out-by only")
    if asked.as_json and asked.target is not None:
        raise WrongUsage("--json prints its document; -o is for the page to be printed")
    if asked.target is not None and str(asked.target) != "-" and asked.target.suffix.lower() != ".pdf":
        raise WrongUsage(f"the fleet's page is a PDF; write -o {asked.target.with_suffix('.pdf')}")
    if asked.by is not None and not today < asked.by <= today + LATEST:
        raise WrongUsage(f"--out-by {asked.by} is not within the two years to come")
    library = library_at_hand(folders)
    round = library.round(name)
    booked = _booked(asked.visits, library, today)
    cards = load_cards(asked.folder, CardWords(library), today)
    for advice in (advice for card in cards for advice in card.advice):
        click.echo(str(advice), err=True)
    with kept_store(given_store) as store:
        gathering = _gathering(round, library, store, today)
        fleet = gathering.fleet(cards, store)
        expected = _forecast(fleet, gathering, store, asked, booked) if asked.by is not None else None
    _put_out(fleet, expected, library, asked)


def _booked(visits: tuple[str, ...], library: Library, today: date) -> Mapping[str, date]:
    """Whoever is called -> the settled day; raises WrongUsage for what is none."""
    from diagnose.knowledge.ids import nearest, quoted

    known = library.common().referrals
    booked: dict[str, date] = {}
    for each in visits:
        who, _, day = each.partition("=")
        if who not in known:
            meant = nearest(who, known)
            hint = f' (did you mean "{meant}"?)' if meant else f"; there are {', '.join(known)}"
            raise WrongUsage(f"--visit names {quoted(who)}, which is nobody to call{hint}")
        if who in booked:
            raise WrongUsage(f"--visit names {who} twice; a forecast takes the first visit of each alone")
        try:
            booked[who] = date.fromisoformat(day)
        except ValueError:
            raise WrongUsage(f"--visit {who} wants a day such as {who}=2027-03-10") from None
        if not today <= booked[who] <= today + LATEST:
            raise WrongUsage(f"--visit {who}={day} is not within the two years to come")
    return booked


def _gathering(round: Round, library: Library, store: CaseStore | None, today: date) -> Gathering:
    from diagnose.cli.settings import read_settings
    from diagnose.rounds.fleet_gather import Gathering
    from diagnose.rounds.fleet_walks import Walks

    now, settings, trees = datetime.now(UTC), read_settings(), _trees(library)
    others = frozenset(library.ids())
    walks = Walks(trees, others, settings, _tallies(store, settings, now))
    return Gathering(round, library.common(), walks, trees, now, today)


def _trees(library: Library) -> Callable[[str], Tree | None]:
    """Each tree is read once; one that is not at hand, or broken, is None."""
    known: dict[str, Tree | None] = {}

    def tree_of(id: str) -> Tree | None:
        if id not in known:
            try:
                known[id] = library.tree(id)
            except DiagnoseError:
                known[id] = None
        return known[id]

    return tree_of


def _tallies(store: CaseStore | None, settings: Settings, now: datetime) -> Callable[[Tree], Tally]:
    if store is None:
        return lambda _: Tally()
    return lambda tree: store.tally(tree.id, now, settings.half_life)


def _forecast(
    fleet: Fleet, gathering: Gathering, store: CaseStore | None, asked: Asked, booked: Mapping[str, date]
) -> Forecast:
    from diagnose.rounds.fleet_chance import Assumptions, forecast, work_of

    assert asked.by is not None
    wrong = _chances(gathering, store, len(fleet.vehicles))
    tasks = gathering.round.tasks

    def work(vehicle: FleetVehicle) -> Work:
        chances = wrong(vehicle.facts)
        return work_of(vehicle, tasks, gathering.walks, lambda task: chances.get(task.id, 0.0))

    assumed = Assumptions(people=asked.people, minutes_a_day=asked.minutes_a_day)
    return forecast(fleet, [work(each) for each in fleet.vehicles], asked.by, assumed, booked)


def _chances(
    gathering: Gathering, store: CaseStore | None, vehicles: int
) -> Callable[[Mapping[str, str]], Mapping[str, float]]:
    """Facts of a vehicle -> the chance of each task to be found wrong; reckoned once for the same facts."""
    from diagnose.rounds.stakes import stake_of
    from diagnose.rounds.worth import ranked

    tasks: Mapping[str, Task] = gathering.round.tasks
    opened = dict.fromkeys(tree for task in tasks.values() for tree in task.opens)
    models = {tree: gathering.walks.model(tree) for tree in opened}
    stakes = {tree: stake_of(model) for tree, model in models.items() if model is not None}
    years = _years(store, gathering.now) * vehicles
    known: dict[frozenset[tuple[str, str]], Mapping[str, float]] = {}

    def chances(facts: Mapping[str, str]) -> Mapping[str, float]:
        key = frozenset(facts.items())
        if key not in known:
            known[key] = {worth.task: worth.chance for worth in ranked(tasks, stakes, years, facts)}
        return known[key]

    return chances


def _years(store: CaseStore | None, now: datetime) -> float:
    """How long cases have been kept here, in years: the fleet is taken to have been as large all along."""
    oldest = store.cases(oldest_first=True, limit=1) if store is not None else ()
    return max(0.0, (now - oldest[0].opened) / timedelta(days=365.25)) if oldest else 0.0


def _put_out(fleet: Fleet, expected: Forecast | None, library: Library, asked: Asked) -> None:
    if asked.as_json:
        from diagnose.rounds.fleet_document import as_document

        document = as_document(fleet, expected, library.common().referrals)
        click.echo(json.dumps(document, ensure_ascii=False, indent=2))
    elif asked.target is not None:
        from diagnose.cli.output import write_made
        from diagnose.drawing.fleet_pdf import fleet_pdf

        write_made(fleet_pdf(fleet, expected), asked.target, "fleet.pdf")
    else:
        from diagnose.terminal.fleet_page import fleet_page

        click.echo(fleet_page(fleet, expected, shutil.get_terminal_size().columns))
