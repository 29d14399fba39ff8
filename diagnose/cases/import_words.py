"""What the cells of a job history mean.

An id, an old id (`was`) and the exact words of a tree are taken as they are; the mapping's words too. What is
only like one of them is *doubtful*: it is shown with the nearest and never taken silently.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime, time
from typing import Any

from diagnose.cases.import_dates import Dates, EitherWay, NoDate
from diagnose.cases.import_known import KnownIds, check_of
from diagnose.cases.import_mapping import LEFT_OUT, STATES, UNKNOWN, ImportMapping, plain
from diagnose.cases.import_meanings import Known, Meanings, Refusal
from diagnose.cases.import_numbers import NoReading, band_of, number_in
from diagnose.cases.tables import key_of_vehicle
from diagnose.knowledge.ids import nearest, quoted, several_nearest
from diagnose.knowledge.naming import NoSuchCause, cause_named, says_of
from diagnose.knowledge.plates import plate_in
from diagnose.knowledge.symptom_search import GOOD, search_symptoms
from diagnose.terms import NOT_LISTED, NOT_SURE, Check, Tree

LIKE = 80.0
"""From this likeness (rapidfuzz's weighted ratio, 0 to 100) on a text is called doubtful, not unknown."""
LONGEST_NUMBER = LONGEST_LABEL = 100
_AN_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*(?: ?\+ ?[a-z0-9]+(?:-[a-z0-9]+)*)*")
_ALSO_STATES = {"left off": "left-off"}

Day = tuple[str, int]
"""The moment of opening as the store keeps it, and its year in UTC."""


class Words:
    """Everything that the cells of one file can mean."""

    def __init__(
        self, ids: KnownIds, mapping: ImportMapping, now: datetime, *, plates: bool = False,
        find_order: Callable[[], str] = lambda: "",
    ) -> None:  # fmt: skip
        self.ids, self.mapping, self.plates = ids, mapping, plates
        self.now = now.astimezone(UTC)
        self._dates = Dates(max(now.date(), now.astimezone().date(), self.now.date()), mapping.dates)
        self._find_order: Callable[[], str] | None = find_order if not mapping.dates else None
        self._by_plain = {
            kind: _plainly(getattr(mapping, kind)) for kind in ("symptoms", "states", "vehicles")
        }
        self._known: dict[str, Known | Refusal] = {}
        self._exact: dict[str, set[str]] = {}
        for heading in ids.headings():
            for words in (heading.id, heading.symptom, *heading.also_said):
                self._exact.setdefault(plain(words), set()).add(heading.id)
        self.days: Meanings[Day | Refusal] = Meanings(self._day)
        self.symptoms: Meanings[Known | Refusal | None] = Meanings(self._symptom)
        """None for a symptom that the mapping leaves out."""
        self.states: Meanings[str | Refusal] = Meanings(self._state)
        self.vehicles: Meanings[tuple[str, str] | Refusal] = Meanings(self._vehicle)

    @property
    def order(self) -> str:
        """The order of day and month that the file was found to have."""
        return self._dates.order

    def known(self, id: str) -> Known | Refusal:
        """A symptom by its id; a refusal where its tree is broken."""
        if id not in self._known:
            tree = self.ids.tree(id)
            if tree is not None:
                self._known[id] = self._of_tree(tree)
            else:
                text = f"the tree of {id} has flaws of its own; diagnose trees check tells which"
                self._known[id] = Refusal(text)
        return self._known[id]

    def _of_tree(self, tree: Tree) -> Known:
        causes = _plainly(self.mapping.causes.get(tree.id, {}))
        exact: dict[str, set[str]] = {}
        for each in tree.cut_sets:
            id = "+".join(each)
            for words in (id, says_of(tree, id)):
                exact.setdefault(plain(words), set()).add(id)
        return Known(
            tree.id, tree.digest, tree, Meanings(lambda text: self._cause(tree, causes, exact, text)), {}
        )

    def answers(self, known: Known, check: str) -> Meanings[Any]:
        """What the cells of a check's column mean under a symptom."""
        if check not in known.answers:
            at = check_of(known.tree, check)
            words = _plainly(self.mapping.answers.get(check, {}))
            known.answers[check] = Meanings(
                (lambda text: self._answer(at, words, text))
                if at is not None
                else (lambda text: Refusal(f"{check} is no check of {known.id}") if text.strip() else None)
            )
        return known.answers[check]

    def _day(self, text: str) -> Day | Refusal:
        try:
            day = self._dates.day(text)
        except EitherWay as either:
            if self._find_order is not None:
                find, self._find_order = self._find_order, None
                self._dates.order = find()
                return self._day(text)
            return Refusal(str(either), doubtful=True, about=("dates", "", text.strip()))
        except NoDate as no:
            return Refusal(str(no))
        return moment_of(day, self.now), day.year

    def _symptom(self, text: str) -> Known | Refusal | None:
        said = plain(text)
        mapped = self._by_plain["symptoms"].get(said)
        if mapped == LEFT_OUT:
            return None
        if mapped is not None:
            return self.known(mapped)
        if not said:
            return Refusal("no symptom stands here")
        exact = self._exact.get(said, set())
        if len(exact) == 1:
            return self.known(next(iter(exact)))
        about = ("symptoms", "", " ".join(text.split()))
        if exact:
            return Refusal(f"{quoted(text)} is said of {' and of '.join(sorted(exact))}", "", True, about)
        best = next(iter(search_symptoms(text[:300], self.ids.headings()).nearest), None)
        if best is None or best.likeness < GOOD:
            return Refusal(f"{quoted(text)} is no symptom that is known here", about=about)
        return Refusal(f"{quoted(text)} is not quite a symptom that is known here", best.id, True, about)

    def _cause(self, tree: Tree, mapped: Mapping[str, str], exact: dict[str, set[str]], text: str) -> Any:
        said = plain(text)
        if said in mapped:
            return "" if mapped[said] == UNKNOWN else cause_named(tree, mapped[said])
        if not said or said == UNKNOWN:
            return ""
        if said == NOT_LISTED:
            return NOT_LISTED
        found = exact.get(said, set())
        if len(found) == 1:
            return next(iter(found))
        about = ("causes", tree.id, " ".join(text.split()))
        if found:
            return Refusal(f"{quoted(text)} is said of {' and of '.join(sorted(found))}", "", True, about)
        if _AN_ID.fullmatch(said):
            try:
                return cause_named(tree, said)
            except NoSuchCause as no:
                if said in tree.events or "+" in said:
                    return Refusal(str(no).split("\n")[0], about=about)
        near = near_causes(tree, text, 1)
        if not near or near[0][1] < LIKE:
            return Refusal(f"{quoted(text)} is no cause of {tree.id}", about=about)
        return Refusal(f"{quoted(text)} is not quite a cause of {tree.id}", near[0][0], True, about)

    def _state(self, text: str) -> str | Refusal:
        said = plain(text)
        found = self._by_plain["states"].get(said) or _ALSO_STATES.get(said, said)
        if not found:
            return "cured"
        if found in STATES:
            return found
        about = ("states", "", " ".join(text.split()))
        if found == "open":
            text = "a job that is still open is no history yet; leave the row out, or write left-off"
            return Refusal(text, about=about)
        meant = next(iter(several_nearest(found, STATES, 1, cutoff=0.8)), "")
        what = "not quite a" if meant else "no"
        return Refusal(f"{quoted(text)} is {what} state ({', '.join(STATES)})", meant, bool(meant), about)

    def _vehicle(self, text: str) -> tuple[str, str] | Refusal:
        label = " ".join(text.split())
        mapped = self._by_plain["vehicles"].get(plain(text))
        if mapped is not None:
            label = mapped
        if len(label) > LONGEST_LABEL:
            return Refusal(f"the vehicle's label has {len(label)} characters; {LONGEST_LABEL} at most")
        if not label.isprintable():
            return Refusal("a control or invisible character stands in the vehicle's label")
        if label.startswith("="):
            return Refusal("a formula stands here; put the vehicle's label instead")
        if mapped is None and not self.plates and (where := plate_in(label)):
            return Refusal(
                f"{quoted(label)} looks like a number plate ({where}); give the vehicle a name of its own "
                "under vehicles: in the mapping, or say --plates",
                about=("vehicles", "", label),
            )
        return label, key_of_vehicle(label)

    def _answer(self, check: Check, mapped: Mapping[str, str], text: str) -> Any:
        said = plain(text)
        said = plain(mapped[said]) if said in mapped else said
        if not said:
            return None
        reading = check.reading
        if said == NOT_SURE:
            return check.id, NOT_SURE, None, None
        for answer in check.answers:
            if said in (answer.id, plain(answer.says)):
                return check.id, answer.id, None, None
        about = ("answers", check.id, " ".join(text.split()))
        if reading is not None:
            try:
                value = number_in(said, reading, self.mapping.decimal)
                return check.id, band_of(check, value), value, reading.uncertainty
            except NoReading as no:
                either = ("decimal", "", text.strip()) if no.doubtful else about
                return Refusal(f"{check.id}: {no}", doubtful=no.doubtful, about=either)
        meant = nearest(said, check.answer_ids())
        ids = ", ".join(check.answer_ids())
        what = "not quite an" if meant else "no"
        return Refusal(f"{quoted(text)} is {what} answer of {check.id} ({ids})", meant, bool(meant), about)


def near_causes(tree: Tree, text: str, most: int) -> list[tuple[str, float]]:
    """The causes of a tree whose id or words are most like a text, the best first, with their likeness."""
    from rapidfuzz import fuzz, process
    from rapidfuzz.utils import default_process

    names = {(id, n): words for each in tree.cut_sets for id in ("+".join(each),)
             for n, words in enumerate((id.replace("-", " "), says_of(tree, id)))}  # fmt: skip
    found: dict[str, float] = {}
    for _, score, (id, _n) in process.extract(
        text[:300], names, scorer=fuzz.WRatio, processor=default_process, limit=2 * most
    ):
        found.setdefault(id, score)
    return list(found.items())[:most]


def moment_of(day: date, now: datetime) -> str:
    """A day as the moment that the store keeps: its noon in UTC, so that it is the same day all over Europe.

    Today before noon it is the day's begin: no case lies in the future.
    """
    noon = datetime.combine(day, time(12), UTC)
    return noon.strftime("%Y-%m-%dT%H:%M:%S.%fZ") if noon <= now else f"{day}T00:00:00.000000Z"


def _plainly(pairs: Mapping[str, str]) -> dict[str, str]:
    return {plain(words): means for words, means in pairs.items()}
