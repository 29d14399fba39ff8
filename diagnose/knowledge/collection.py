"""The trees that are at hand: the shipped ones, and those of the user's own folders, which win over them.

What all trees share (`common/`) is always the shipped one: no folder of one's own can change what is fixed.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from diagnose.knowledge.common import Common, load_common
from diagnose.knowledge.form import Filled, Flaws, fill
from diagnose.knowledge.ids import quoted, several_nearest, why_no_id
from diagnose.knowledge.loading import load_tree
from diagnose.knowledge.nodes import MapNode
from diagnose.knowledge.plain_yaml import compose, read_bytes
from diagnose.knowledge.rounds import load_rounds
from diagnose.terms import DiagnoseError, FlawedKnowledge, Tree, WrongUsage
from diagnose.terms.rounds import ROUNDS, Round, RoundId


class UnknownSymptom(DiagnoseError):
    """No tree has this id; `nearest` are up to three that are like it."""

    def __init__(self, word: str, nearest: tuple[str, ...]) -> None:
        self.word = word
        self.nearest = nearest
        like = f"; the nearest are {', '.join(nearest)}" if nearest else ""
        super().__init__(f"there is no symptom {quoted(word)}{like} (diagnose symptoms lists all)")


class UnknownRound(WrongUsage):
    """No round has this name."""

    def __init__(self, word: str) -> None:
        close = several_nearest(word.lower(), ROUNDS, 1)
        meant = f' (did you mean "{close[0]}"?)' if close else ""
        super().__init__(f"there is no round {quoted(word)}; there are {', '.join(ROUNDS)}{meant}")


@dataclass(frozen=True, slots=True)
class Heading:
    """What a list of symptoms shows of one tree."""

    id: str
    symptom: str
    also_said: tuple[str, ...]
    system: str
    shipped: bool


def shipped_folder() -> Path:
    """The folder of the shipped trees: inside the installed package, or the checkout's own."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "_trees"
    return inside if inside.is_dir() else package.parent / "trees"


def shown(path: Path) -> str:
    """A path as messages give it: from the current folder where it lies below that."""
    try:
        return str(path.absolute().relative_to(Path.cwd()))
    except (ValueError, OSError):
        return str(path)


ROUNDS_FOLDER = "rounds"
"""Where the rounds stand beside the trees of a folder."""


class Library:
    """Trees by id, each file read when it is asked for; raises WrongUsage for a folder that is not there."""

    def __init__(self, folders: Sequence[Path] = (), *, shipped: Path | None = None) -> None:
        self._shipped = shipped if shipped is not None else shipped_folder()
        for folder in folders:
            if not folder.is_dir():
                raise WrongUsage(f"there is no folder {quoted(str(folder))}")
        self._common: Common | None = None
        self._rounds: Mapping[RoundId, Round] | None = None
        self._round_folders = [folder / ROUNDS_FOLDER for folder in folders]
        self._paths: dict[str, Path] = {}
        self._hidden: dict[str, list[Path]] = {}
        for folder in (*reversed(folders), self._shipped):  # the first to claim an id keeps it
            for path in sorted(folder.glob("*.yaml")):
                if not why_no_id(path.stem) and self._paths.setdefault(path.stem, path) != path:
                    self._hidden.setdefault(path.stem, []).append(path)

    def ids(self) -> tuple[str, ...]:
        """The ids of all trees, in alphabetical order."""
        return tuple(sorted(self._paths))

    def path_of(self, id: str) -> Path:
        """The file of a tree; raises UnknownSymptom."""
        if id not in self._paths:
            raise UnknownSymptom(id, several_nearest(id.lower(), self.ids(), 3, cutoff=0.0))
        return self._paths[id]

    def common(self) -> Common:
        """The common files; raises FlawedKnowledge."""
        if self._common is None:
            folder = self._shipped / "common"
            self._common = load_common(folder, shown(folder))
        return self._common

    def tree(self, word: str) -> Tree:
        """The tree of an id, or of a path (a word with `/` or ending in `.yaml`).

        Raises FlawedKnowledge with every flaw of the file, UnknownSymptom for an id that no tree has.
        """
        path = Path(word) if is_path(word) else self.path_of(word)
        shipped = path.absolute().parent == self._shipped.absolute()
        return load_tree(path, self.common(), file=shown(path), shipped=shipped, known=self._paths)

    def rounds(self, *, thorough: bool = False) -> Mapping[RoundId, Round]:
        """Every round by its id; those of one's own folders win. Raises FlawedKnowledge.

        With `thorough` the causes that shipped tasks prevent are looked up too, which reads their trees.
        """
        if self._rounds is None or thorough:
            own = [folder for folder in self._round_folders if folder.is_dir()]
            shipped = self._shipped / ROUNDS_FOLDER
            self._rounds = load_rounds(
                self.common(), self._paths, shipped, *own, shown=shown, causes_of=self.causes_of,
                thorough=thorough,
            )  # fmt: skip
        return self._rounds

    def causes_of(self, id: str) -> Collection[str] | None:
        """The causes of every tree of an id, those too that another wins over; None if one is broken."""
        try:
            versions = [
                self.tree(str(path.absolute())) for path in (self._paths[id], *self._hidden.get(id, ()))
            ]
        except (FlawedKnowledge, KeyError):
            return None
        return {event.id for tree in versions for event in tree.events.values() if event.remedy is not None}

    def round(self, word: str) -> Round:
        """The round of a name; raises UnknownRound, and FlawedKnowledge for any flaw of any round's file."""
        id = next((id for id in ROUNDS if id == word), None)
        if id is None:
            raise UnknownRound(word)
        return self.rounds()[id]

    def versions(self, id: str) -> tuple[Tree, ...]:
        """The tree of an id, then those that it wins over, such as the shipped one; broken ones are left out.

        Raises what `tree` does for the first of them.
        """
        others = []
        for path in self._hidden.get(id, ()):
            with suppress(FlawedKnowledge):
                others.append(self.tree(str(path.absolute())))
        return (self.tree(id), *others)

    def headings(self) -> tuple[Heading, ...]:
        """What can be walked, by id; only the heads of the files are read, and nothing is checked."""
        return tuple(self._heading(id, self._paths[id]) for id in self.ids())

    def _heading(self, id: str, path: Path) -> Heading:
        head = _head(path)
        return Heading(
            id, head.text("symptom") or id.replace("-", " "), head.texts("also_said"), head.text("system"),
            path.parent == self._shipped,
        )  # fmt: skip


def is_path(word: str) -> bool:
    """Whether a word stands for a file and not for an id."""
    return "/" in word or "\\" in word or word.endswith(".yaml")


_HEAD_KEYS = ("symptom", "also_said", "system")
_TOP_LINE = re.compile(r"^(?=[^\s#-])", re.MULTILINE)


def _head(path: Path) -> Filled:
    """The first keys of a tree file: just their own lines are parsed where the file is laid out in lines."""
    try:
        text = read_bytes(path).decode("utf-8").removeprefix("\ufeff")
    except (FlawedKnowledge, UnicodeDecodeError):
        return Filled(MapNode(1, 1))
    parts = [
        part for part in _TOP_LINE.split(text) if part.startswith(tuple(f"{key}:" for key in _HEAD_KEYS))
    ]
    root, flaws = compose("".join(parts), str(path))
    if flaws or root is None:
        root, flaws = compose(text, str(path))
    if root is None:
        return Filled(MapNode(1, 1))
    pairs = [(key, value) for key, value in root.pairs if key.value in _HEAD_KEYS]
    return fill("tree", MapNode(1, 1, pairs), root, "tree", Flaws(str(path)))
