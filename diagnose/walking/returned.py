"""An outcome that comes back by a code: which case it is of, here or elsewhere, and what becomes of it.

A code from this store closes its case, whatever has been done with that since. One from another store opens a
case here, under the source's short name and its number there, and just once: confirmed, or before it is known
what it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from diagnose.cases.records import CaseRecord, Entry
from diagnose.knowledge.collection import Library
from diagnose.knowledge.naming import cause_named, cause_numbered, causes_listed
from diagnose.terms import NOT_LISTED, DiagnoseError, Tree
from diagnose.walking.case_codes import CaseCode, Contents, contents, in_todays_tree, origin_tag, read_code
from diagnose.walking.exact_readings import ExactReading, in_place
from diagnose.walking.renamed import cut_set_today

if TYPE_CHECKING:
    from diagnose.cases.store import CaseStore


class CodeNotOfThisCase(DiagnoseError):
    """A code names a case that is here, and that case is another one."""


class NumberUnknown(DiagnoseError):
    """The tree has changed since the code was made, so its numbers may mean something else now."""


@dataclass(frozen=True, slots=True)
class Returned:
    """What a code comes to with the store and the trees at hand."""

    code: CaseCode
    own: bool
    """Whether it was made in this store."""
    record: CaseRecord | None
    """The case here: the one that it was made for, or what an earlier use of it opened."""
    tree: Tree
    """The symptom's tree as it is now."""
    made_with: Tree | None
    """The version of the tree that it was made with; None if none at hand is of that shape."""
    held: Contents | None
    """What the code says was found and tried, in the ids of that version."""

    def lines(self, time: datetime) -> tuple[tuple[Entry, ...], tuple[str, ...]]:
        """What was found and tried, under the ids of today's tree, and what has no place in it."""
        return in_todays_tree(self.held.entries(time), self.tree) if self.held is not None else ((), ())

    def cause(self, given: str) -> str:
        """The cause in today's tree that a number or an id means; raises NoSuchCause, NumberUnknown."""
        if not given.isdecimal():
            return cause_named(self.tree, given)
        if self.made_with is None:
            raise NumberUnknown(
                f'the tree "{self.tree.id}" asks or knows something else than when this code was made, so '
                f"outcome {given} may be another now; write the cause instead of its number:\n"
                f"{causes_listed(self.tree)}"
            )
        then = cause_numbered(self.made_with, int(given))
        today = then if then == NOT_LISTED else cut_set_today(self.tree, then)
        if today is None:
            raise NumberUnknown(
                f'outcome {given} was "{then}", which "{self.tree.id}" does not know any more'
            )
        return today


def look_up(
    text: str, store: CaseStore | None, trees: Library, readings: Sequence[ExactReading] = ()
) -> Returned:
    """What a code comes to, with the exact readings that came along; without a store nothing is its case.

    Raises WrongCode, LaterCode, CodeNotOfThisCase, ReadingNotOfThisCase, NoSuchCase, DiagnoseError where no
    tree at hand has its symptom, and what is wrong with that tree.
    """
    code = read_code(text)
    own = store is not None and origin_tag(store.origin) == code.origin
    record = _case_here(code, store, own) if store is not None else None
    symptom = record.symptom if record is not None else None
    tree, made_with, held = _tree(code, trees, symptom)
    if held is not None and made_with is not None:
        held = in_place(held, made_with, readings)
    return Returned(code, own, record, tree, made_with, held)


def open_here(returned: Returned, store: CaseStore, now: datetime) -> CaseRecord:
    """Opens somebody else's case before it is known what it was; one that is here is returned as it is."""
    from diagnose.cases.arriving import take_in

    return returned.record or take_in(store, _from_elsewhere(returned, now), "", now)


def close(returned: Returned, store: CaseStore, cause: str, now: datetime) -> CaseRecord:
    """Ends and confirms this store's case, or opens somebody else's; returns it as it is kept then.

    A case that was taken up again since is over by this, in the way in which the code says that it ended; one
    that has ended otherwise meanwhile, or was stopped, stays so.
    """
    from diagnose.cases.arriving import take_in

    if returned.record is None:
        return take_in(store, _from_elsewhere(returned, now), cause, now)
    record, code = returned.record, returned.code
    if record.state in ("open", "left-off"):
        store.end_case(record.case, code.state, now, points_to=cause if code.state == "cured" else "")
    return store.confirm(record.case, cause, now)


def _case_here(code: CaseCode, store: CaseStore, own: bool) -> CaseRecord | None:
    from diagnose.cases.arriving import arrived

    record = store.case(code.case) if own else arrived(store, code.origin, str(code.case))
    if record is not None and (not code.fits(record) or bool(record.source) == own):
        whose = "" if own else f" case {code.case} of the store {code.origin},"
        raise CodeNotOfThisCase(
            f"this code is not of case {record.case},{whose} which has another symptom or was opened in "
            "another month; is it from a copy of this store, or from somebody else's?"
        )
    return record


def _tree(code: CaseCode, trees: Library, symptom: str | None) -> tuple[Tree, Tree | None, Contents | None]:
    """The tree as it is now, the version that the code was made with, and what the code holds by that."""
    ids = code.of_symptom(trees.ids() if symptom is None else [symptom])
    if symptom is not None and symptom not in trees.ids():
        ids = ()
    loaded = {id: trees.versions(id) for id in ids}
    for versions in loaded.values():
        for version in versions:
            held = contents(code, version)
            if held is not None:
                return versions[0], version, held
    if len(loaded) > 1:
        raise DiagnoseError(
            f"this code may be of several symptoms ({', '.join(loaded)}), and is of none as trees are now; "
            "name the folder of the tree that it was made with: --trees"
        )
    if not loaded:
        raise DiagnoseError("no tree at hand has the symptom of this code; name its folder with --trees")
    return next(iter(loaded.values()))[0], None, None


def _from_elsewhere(returned: Returned, now: datetime) -> CaseRecord:
    code = returned.code
    opened = code.opened(now)
    lines, _ = returned.lines(opened)
    return CaseRecord(
        case=0,
        symptom=returned.tree.id,
        tree_digest=returned.tree.digest,
        role=code.role,
        state=code.state,
        opened=opened,
        changed=now,
        source=code.origin,
        source_case=str(code.case),
        entries=lines,
    )
