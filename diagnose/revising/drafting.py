"""A new tree from its parts: written as a tree file, with the danger questions that its hazards need.

Each part tells from which cell of a sheet it came (where it came from one), so that whatever the loader finds
wrong with the text is told at that cell.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field

from diagnose.knowledge.checks import OTHERWISE
from diagnose.knowledge.common import NONE, Common
from diagnose.knowledge.fields import TABLES
from diagnose.knowledge.loading import read_tree
from diagnose.knowledge.tree_checks import FIRST_UNDER
from diagnose.revising.rendering import STEP, Value, in_lines, scalar
from diagnose.terms import Flaw, Tree

Place = tuple[int, int]
"""Row and column of a cell, from 1."""
NOWHERE: Place = (1, 1)
NOT_LISTED = 5.0
"""What a tree that does not say takes to be not listed, of 100."""
NO_SOURCE = "All shares and minutes: judgement, no source."


@dataclass(slots=True)
class Part:
    """The head, an event, a cause or a check: what its mapping in the file says, and where that came from."""

    id: str
    values: dict[str, Value] = field(default_factory=dict)
    under: str = ""
    """The event that it leads to; "" is the symptom itself."""
    gate: str = ""
    """For events: any_of or all_of."""
    expect: dict[str, Mapping[str, Value]] = field(default_factory=dict)
    """For checks: cause, event or otherwise -> answer -> how likely."""
    place: Place = NOWHERE
    places: dict[str, Place] = field(default_factory=dict)
    """Of its keys, and of the rows of `expect` by cause."""

    def hazards(self) -> frozenset[str]:
        """What is written under `hazard`, of itself or of its remedy."""
        found: set[str] = set()
        remedy = self.values.get("remedy")
        for where in (self.values, remedy if isinstance(remedy, Mapping) else {}):
            said = where.get("hazard", ())
            if isinstance(said, str):
                found.add(said)
            elif isinstance(said, Sequence):
                found |= {str(each) for each in said}
        return frozenset(found)


@dataclass(slots=True)
class Draft:
    """A tree that is being made. Events and causes stand in one list, in the order of the file."""

    head: Part
    events: list[Part] = field(default_factory=list)
    checks: list[Part] = field(default_factory=list)
    left: list[str] = field(default_factory=list)
    """What was decided for the author and wants a look."""

    def causes(self) -> list[Part]:
        """The events without a gate."""
        return [part for part in self.events if not part.gate]


@dataclass(frozen=True, slots=True)
class Drafted:
    """The text of a tree file, the tree that it holds (None if it has flaws), and what is left to do."""

    text: str
    tree: Tree | None
    flaws: tuple[Flaw, ...]
    """Placed in the text."""
    places: Sequence[Place]
    """The cell from which each line came."""
    left: tuple[str, ...]


def drafted(draft: Draft, id: str, file: str, common: Common, known: frozenset[str]) -> Drafted:
    """The draft as a file, judged by the loader; `known` are the ids of the other trees."""
    draft = deepcopy(draft)  # what is filled in here is no word of the author's
    left = [*draft.left, *_shares_spread(draft)]
    written = _Writing()
    first, why = asked_first(draft, common)
    further = draft.head.values.get("ask_first", ())
    if isinstance(further, Sequence) and not isinstance(further, str):
        first += tuple(str(id) for id in further if id not in first)
    _head(written, draft, first)
    tree, flaws = read_tree(written.text(), file, common, id=id, known=known | {id})
    advice = [each.message for each in tree.advice] if tree is not None else []
    left += [*why, *advice, *(_left(draft) if tree is not None else ())]
    return Drafted(written.text(), tree, flaws, tuple(written.places), tuple(left))


def asked_first(draft: Draft, common: Common) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The danger questions to begin with, and what is to be told of those that no cause asks for.

    They are those of every hazard that a part carries, and those of the hazards that are usual for the
    system: a fault that nobody thought of may carry them.
    """
    carried = frozenset[str]().union(*(part.hazards() for part in (draft.head, *draft.events, *draft.checks)))
    system = common.systems.get(str(draft.head.values.get("system", "")))
    usual = frozenset(system.hazards if system else ()) - carried - {NONE}
    first = tuple(id for hazard, ids in FIRST_UNDER.items() if hazard in carried | usual for id in ids)
    told = [
        f"{', '.join(FIRST_UNDER[hazard])}: asked first because {hazard} is usual for the system "
        f'"{system.title if system else ""}", though no cause carries it'
        for hazard in FIRST_UNDER
        if hazard in usual
    ]
    return first, tuple(told)


class _Writing:
    def __init__(self) -> None:
        self.lines: list[str] = []
        self.places: list[Place] = []

    def add(self, lines: Sequence[str], place: Place) -> None:
        self.lines += lines
        self.places += [place] * len(lines)

    def keys(self, part: Part, keys: Sequence[str], column: int) -> None:
        """The keys of a part that it has, in that order."""
        for key in keys:
            if key in part.values:
                self._key(part, key, part.values[key], column)

    def _key(self, part: Part, key: str, value: Value, column: int) -> None:
        place = part.places.get(key, part.place)
        if key == "remedy" and isinstance(value, Mapping) and part.places:
            self.add([f"{' ' * column}{key}:"], place)
            for inner, each in value.items():
                # What is done, or to whom it goes, stands in the cell `remedy`; the rest in cells of its own.
                own = part.places.get(inner, place) if inner not in ("do", "refer", "see") else place
                self.add(in_lines(inner, each, column + STEP), own)
        else:
            self.add(in_lines(key, value, column, open=key == "also_said"), place)

    def text(self) -> str:
        return "\n".join(self.lines) + "\n"


def _head(written: _Writing, draft: Draft, first: Sequence[str]) -> None:
    head = draft.head
    if first:
        head.values["ask_first"] = list(first)
    head.values.setdefault("sources", [NO_SOURCE])
    keys = [line.key for line in TABLES["tree"]]
    at = keys.index("faults")
    written.keys(head, keys[:at], 0)
    written.add(["faults:"], head.place)
    written.keys(head, ["hazard"], STEP)
    _gate(written, draft, Part("", gate="any_of", place=head.place), STEP)
    written.add(["checks:" if draft.checks else "checks: {}"], head.place)
    for check in draft.checks:
        _check(written, check)
    written.keys(head, keys[at + 2 :], 0)


def _gate(written: _Writing, draft: Draft, event: Part, column: int) -> None:
    inputs = [part for part in draft.events if part.under == event.id]
    written.add([f"{' ' * column}{event.gate}:{'' if inputs else ' {}'}"], event.place)
    for part in inputs:
        written.add([f"{' ' * (column + STEP)}{scalar(part.id)}:"], part.places.get("id", part.place))
        written.keys(part, ("says", "hazard", "in_100", "remedy", "prevent"), column + 2 * STEP)
        if part.gate:
            _gate(written, draft, part, column + 2 * STEP)


def _check(written: _Writing, check: Part) -> None:
    written.add([f"{' ' * STEP}{scalar(check.id)}:"], check.places.get("id", check.place))
    written.keys(check, [line.key for line in TABLES["check"] if line.key != "expect"], 2 * STEP)
    margin = " " * (2 * STEP)
    written.add([f"{margin}expect:{'' if check.expect else ' {}'}"], check.place)
    rows = [id for id in check.expect if id != OTHERWISE] + [id for id in (OTHERWISE,) if id in check.expect]
    for id in rows:
        written.add(in_lines(id, check.expect[id], 3 * STEP), check.places.get(f"expect {id}", check.place))


def _shares_spread(draft: Draft) -> list[str]:
    """Shares that were left out: what remains of 100 goes to these causes in equal parts."""
    ruled = {part.id for part in draft.events if part.gate == "all_of"}
    lacking = [part for part in draft.causes() if "in_100" not in part.values and part.under not in ruled]
    told = [each for part in draft.events if isinstance(each := part.values.get("in_100"), (int, float))]
    not_listed = draft.head.values.get("not_listed", NOT_LISTED)
    rest = 100 - sum(told) - (float(not_listed) if isinstance(not_listed, (int, float)) else NOT_LISTED)
    if not lacking or rest <= 0:
        return []
    share = round(rest / len(lacking), 1)
    for part in lacking:
        part.values["in_100"] = max(share, 0.1)
    named = ", ".join(part.id for part in lacking)
    return [f"no share was told for {named}: what remains of 100 is spread evenly, {share:g} each"]


def _left(draft: Draft) -> list[str]:
    """What a tree can do without, yet is worth little without."""
    left = []
    if not draft.head.values.get("also_said"):
        left.append("also_said is missing: other words by which people find this symptom")
    shown = {id for check in draft.checks for id in check.expect}
    above = {part.id: part.under for part in draft.events}

    def is_shown(id: str) -> bool:
        while id:
            if id in shown:
                return True
            id = above.get(id, "")
        return False

    unseen = [part.id for part in draft.causes() if not is_shown(part.id)]
    if unseen:
        left.append(f"no check says what it would show for {', '.join(unseen)}")
    silent = [part.id for part in draft.causes() if not part.values.get("prevent")]
    if silent:
        left.append(f"prevent is missing for {', '.join(silent)}")
    if draft.head.values.get("sources") == [NO_SOURCE]:
        left.append("sources: where the shares and minutes come from; judgement was written")
    return left
