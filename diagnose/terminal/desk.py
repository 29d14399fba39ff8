"""What a visit rests on: trees, case store, settings; and how a walk is opened on them.

Everything heavy is loaded when it is first needed. The danger questions come from the tree alone, so a walk
is opened with a reasoner that has not reckoned yet, and a thread gets that ready while the first question is
read.
"""

from __future__ import annotations

import shlex
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING, Any

from diagnose.knowledge.collection import Library, UnknownSymptom, is_path
from diagnose.terminal.ahead import ending, load_ahead
from diagnose.terms import DiagnoseError, Finding, Role, Settings, Tree
from diagnose.walking.calling import Calling
from diagnose.walking.carded import alarm_ended, card_as_json, findings_ahead, fitted, overdue

if TYPE_CHECKING:
    from diagnose.cases.records import CaseRecord
    from diagnose.cases.store import CaseStore
    from diagnose.knowledge.card import VehicleCard
    from diagnose.terminal.offering import UsualPlace
    from diagnose.terminal.vehicle_past import VehiclePast
    from diagnose.walking.reasoner import RoomReasoner, Terms
    from diagnose.walking.refining import Meanwhile
    from diagnose.walking.views import HandedOver
    from diagnose.walking.walk import Setting, Walk


class NothingToResume(DiagnoseError):
    """No case is open or left off."""


class TreeNotAtHand(DiagnoseError):
    """A case's tree is neither shipped nor in a folder of one's own that was named."""

    def __init__(self, case: int, symptom: str) -> None:
        super().__init__(
            f'the tree "{symptom}" of case {case} is not at hand; name its file: '
            f"diagnose walk FILE --resume {case}"
        )


class OtherSymptom(DiagnoseError):
    """A case cannot go on in the tree of another symptom."""


class OtherVehicle(DiagnoseError):
    """A case cannot go on with the card of another vehicle."""


def now() -> datetime:
    """The time, in UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Opened:
    """A walk with what it was opened on."""

    walk: Walk
    tree: Tree
    case: int
    reasoner: RoomReasoner
    store: CaseStore

    def record(self) -> CaseRecord:
        """The case as it is stored now."""
        return self.store.case(self.case)

    def code(self) -> str:
        """The code of the case once it has ended; nothing where it cannot be had, for an end shows anyhow."""
        from diagnose.walking.case_codes import code_of

        with suppress(DiagnoseError):
            return code_of(self.record(), self.tree, self.store.origin)
        return ""

    def get_ready(self) -> None:
        """Begin to load what the second question needs, in a thread of its own."""
        load_ahead(partial(_load_quietly, self.reasoner))


def _load_quietly(reasoner: RoomReasoner) -> None:
    """Whatever goes wrong here goes wrong again when it is asked for, and is told then."""
    with suppress(Exception):
        reasoner.load(ending)


@dataclass(slots=True)
class Desk:
    """The things that lie ready for a visit."""

    trees: Library
    url: str
    settings: Settings = Settings()  # noqa: RUF009 - frozen
    calling: Calling = Calling()  # noqa: RUF009 - frozen
    role: Role = "owner"
    vehicle: str = ""
    hurry: bool = False
    options: tuple[str, ...] = ()
    """Options that a command to take a case up again has to repeat."""
    clock: Callable[[], datetime] = now
    card: VehicleCard | None = None
    """The card of the vehicle, where one was given; `vehicle` is its name then."""
    by_default: bool = False
    """Whether the card is taken because it stands at the usual place, and nobody named a vehicle."""
    usual: UsualPlace | None = None
    """Where a card may be offered; None where nobody is to be asked (a pipe, a vehicle that was named)."""
    meanwhile: Meanwhile | None = None
    """What begins to plan better while somebody reads; where nobody does, each answer is planned at once."""
    _store: CaseStore | None = field(default=None, init=False)
    _words: dict[int, str] = field(default_factory=dict, init=False)
    """Case -> the word by which its tree was asked for."""

    @property
    def store(self) -> CaseStore:
        """The case store, opened now if it was not; raises StoreRefused."""
        if self._store is None:
            from diagnose.cases.store import open_store

            self._store = open_store(self.url)
        return self._store

    def close(self) -> None:
        """Let go of the store."""
        if self._store is not None:
            self._store.close()
            self._store = None

    def tree(self, word: str) -> Tree:
        """The tree of an id or path, as the instruments on the vehicle's card read it."""
        return fitted(self.trees.tree(word), self.card)

    def facts_ahead(self, tree: Tree, *, all_facts: bool = False) -> tuple[Finding, ...]:
        """What the vehicle's card answers ahead of a walk in this tree."""
        return findings_ahead(tree, self.card, self.clock().date(), all_facts=all_facts)

    def overdue(self) -> tuple[str, ...]:
        """What the dates on the vehicle's card say is due."""
        return tuple(due.says for due in overdue(self.card, self.clock().date()))

    def card_as_json(self) -> dict[str, Any]:
        """What the vehicle's card adds to a document for a program; nothing where there is no card."""
        return card_as_json(self.card, self.clock().date()) if self.card is not None else {}

    def open_walk(
        self, word: str, *, findings: Sequence[Finding] = (), tried: Mapping[str, str] | None = None
    ) -> Opened:
        """A new walk of the symptom with that id or path, and its case; raises FlawedKnowledge and more."""
        from diagnose.walking.journal import CaseJournal
        from diagnose.walking.walk import Walk

        tree = self.tree(word)
        setting = self._setting(tree)
        case = self.store.open_case(tree.id, tree.digest, self.role, self.vehicle, self.clock())
        self._words[case] = word
        reasoner = self.reasoner(tree)
        walk = Walk.begin(
            tree,
            reasoner,
            CaseJournal(self.store, case, self.clock),
            self.clock,
            route=reasoner.route,
            setting=replace(setting, case=case),
            facts=self.facts_ahead(tree),
            findings=findings,
            tried=tried,
        )
        return Opened(walk, tree, case, reasoner, self.store)

    def resume_walk(self, case: int, word: str = "") -> Opened:
        """A walk taken up again; `word` is the path of its tree if that is not known by its id."""
        from diagnose.walking.journal import CaseJournal
        from diagnose.walking.walk import Walk

        record = self.store.case(case)
        if self.by_default and self.vehicle.casefold() != record.vehicle.casefold():
            self.card, self.by_default = None, False
        if self.card is not None and self.vehicle.casefold() != record.vehicle.casefold():
            of = f'"{record.vehicle}"' if record.vehicle else "a vehicle without a name"
            raise OtherVehicle(f'case {case} is of {of}; the card is of "{self.vehicle}"')
        self.role, self.vehicle = record.role, record.vehicle
        try:
            tree = self.tree(word or record.symptom)
        except UnknownSymptom:
            raise TreeNotAtHand(case, record.symptom) from None
        if tree.id != record.symptom:
            raise OtherSymptom(f'case {case} is about "{record.symptom}", not about "{tree.id}"')
        self._words[case] = word or record.symptom
        reasoner = self.reasoner(tree)
        walk = Walk.resume(
            tree,
            reasoner,
            CaseJournal(self.store, case, self.clock),
            self.clock,
            record,
            route=reasoner.route,
            setting=replace(self._setting(tree, case), case=case),
            facts=self.facts_ahead(tree),
        )
        return Opened(walk, tree, case, reasoner, self.store)

    def hand_over(self, opened: Opened, end: HandedOver) -> Opened:
        """The walk in the other tree that knows better, with what may be taken along."""
        from diagnose.walking.handing_over import carried_over

        other = self.tree(end.tree)
        return self.open_walk(end.tree, findings=carried_over(end.carry, opened.tree, other))

    def latest_to_resume(self) -> int:
        """The newest case that is open or left off (of this vehicle, if one is named)."""
        waiting = self.waiting_cases()
        if not waiting:
            of = f' of "{self.vehicle}"' if self.vehicle else ""
            raise NothingToResume(f"there is no case{of} to go on with; to begin one: diagnose walk")
        return waiting[0].case

    def waiting_cases(self) -> tuple[CaseRecord, ...]:
        """Cases that are open or left off, the newest first."""
        named = None if self.by_default else self.vehicle or None
        return self.store.cases(states=("open", "left-off"), vehicle=named, own=True)

    def resume_command(self, case: int) -> str:
        """What to type to go on with a case later."""
        word = self._words.get(case, "")
        path = [word] if is_path(word) else []
        return shlex.join(["diagnose", "walk", *path, "--resume", str(case), *self.options])

    def round_command(self, number: int, *more: str) -> str:
        """What to type to go on with a round later."""
        return shlex.join(["diagnose", "round", "--resume", str(number), *more, *self.options])

    def confirm_command(self, case: int, cause: str = "") -> str:
        """What to type to say what a case turned out to be."""
        named = [cause] if cause else []
        return shlex.join(["diagnose", "cases", "confirm", str(case), *named, *self.options])

    def sheet_command(self, case: int) -> str:
        """What to type to have a case on one page for the engineer."""
        return shlex.join(["diagnose", "sheet", str(case), *self.options])

    def reasoner(self, tree: Tree) -> RoomReasoner:
        """What reckons in this walk: with the tallies as they stand now, kept to the walk's end."""
        from diagnose.walking.places import cache_folder
        from diagnose.walking.reasoner import RoomReasoner, Terms

        def terms() -> Terms:
            tally = self.store.tally(tree.id, self.clock(), self.settings.half_life)
            cannot = self.card.cannot if self.card is not None else frozenset()
            return Terms(self.role, self.settings, tally, frozenset(self.trees.ids()), self.hurry, cannot)

        return RoomReasoner(tree, terms, cache_folder(), self.meanwhile)

    def _setting(self, tree: Tree, resumed: int | None = None) -> Setting:
        """What earlier walks of this vehicle mean for this one, and whom to call."""
        from diagnose.walking.walk import Setting

        past = self._past()
        return Setting(
            role=self.role,
            numbers=self.calling.numbers,
            register=self.calling.register,
            units=self.calling.units,
            whereabouts=self.card.where if self.card is not None else {},
            cannot=self.card.cannot if self.card is not None else frozenset(),
            alarm_ended=alarm_ended(self.card, self.clock().date()),
            own_numbers=self.own_numbers,
            stopped_by=past.stopped_by(),
            started_before=past.starts_within_a_day(tree, self.clock(), resumed),
        )

    @property
    def own_numbers(self) -> Mapping[str, str]:
        """Referral -> the number that the owner set on the vehicle's card."""
        return self.card.numbers if self.card is not None else {}

    def stopped_by(self) -> str | None:
        """The referral by which this vehicle's last walk or round was stopped and not cleared."""
        return self._past().stopped_by()

    def _past(self) -> VehiclePast:
        from diagnose.terminal.vehicle_past import VehiclePast

        return VehiclePast(self.store, self.trees, self.vehicle, self.by_default)
