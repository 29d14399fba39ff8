"""Whatever is typed at the questions about a new cause, they go on, and what comes out can be spliced in."""

from __future__ import annotations

import random
from datetime import UTC, datetime

import pytest

from diagnose.cases.records import Entry
from diagnose.knowledge.collection import Library, shipped_folder
from diagnose.knowledge.loading import read_tree
from diagnose.reasoning.proof import UnsafeRoute
from diagnose.revising.consequences import Asked
from diagnose.revising.extending import NewCause, extended, flaws_of
from diagnose.revising.extending_figures import judge
from diagnose.revising.extending_shares import Counted
from diagnose.terminal.extend_dialogue import Bench, ExtendDialogue
from diagnose.terminal.extend_dialogue_asking import LeftOff
from diagnose.terminal.extend_dialogue_ending import settle

COMMON = Library().common()
SHIPPED = sorted(shipped_folder().glob("*.yaml"))
SOME = {"heater-no-fire": 1, "hook-up-trips": 4}
"""Tree -> a seed with which the talk comes to its end."""
NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
TYPED = [
    "",
    "",
    "",
    "1",
    "1",
    "2",
    "3",
    "9",
    "yes",
    "no",
    "refer",
    "do",
    "see",
    "owner",
    "technician",
    "look",
    "tools",
    "controls",
    "almost certain",
    "0.3",
    "0",
    "-1",
    "1e9",
    "nan",
    "inf",
    "none",
    "gas",
    "mains, hot",
    "none, gas",
    "not sure",
    "help",
    "back",
    "could not",
    "Water stands in it",
    "Unscrew the cover and look",
    "a: b # {c} [d",
    '"quoted" and \\ more',
    "otherwise",
    "not-listed",
    "quite-new",
    "smell-of-gas",
    "x" * 700,
    "\x1b[2J",
    "é ü °",
    "heater-no-fire",
    "They are green",
    "It is quiet",
    "Is it so?",
    "??",
    "60",
    "007",
    "place, wait",
    "needs cures",
    "reading",
    "kneel",
    "0 to 16 V",
]


class Typist:
    """A console at which lines are typed by chance, with a mind to get on; it keeps what was shown."""

    def __init__(self, chosen: random.Random, most: int, width: int) -> None:
        self.chosen, self.left, self.columns = chosen, most, width
        self.lines: list[str] = []

    def width(self) -> int:
        return self.columns

    def height(self) -> int | None:
        return None

    def is_read(self) -> bool:
        return False

    def show(self, lines) -> None:
        self.lines += [line.text for line in lines]

    def ask(self) -> str:
        self.left -= 1
        if self.left < 0:
            raise EOFError
        return self.chosen.choice(TYPED)


def bench(file) -> Bench:
    text = file.read_bytes().decode()
    tree, flaws = read_tree(text, file.name, COMMON, id=file.stem)
    assert tree is not None, flaws
    checks = [check for check in tree.checks.values() if check.answers]
    entries = [
        Entry(NOON, "finding", check.id, check.answer_ids()[0], number=at)
        for at, check in enumerate(checks, 1)
    ]
    return Bench(text, tree, COMMON, 3, entries, Counted(61, 2))


def told_by_chance(file, seed: int) -> bool:
    """Whether such a talk came to its end; on the way every screen and what comes out is judged."""
    lying = bench(file)
    console = Typist(random.Random(f"{file.stem} {seed}"), 600, 40)
    dialogue = ExtendDialogue(console, lying)
    try:
        new = dialogue.run()
        tree, flaws = flaws_of(extended(lying.text, lying.tree, new, COMMON), lying.tree, COMMON)
        assert tree is not None, flaws  # each step is judged as it is told, so nothing is left to be wrong
        new = dialogue.again(new)
        assert extended(lying.text, lying.tree, new, COMMON) != lying.text
    except EOFError:
        return False
    finally:
        assert max(map(len, console.lines)) <= 40
        assert not any("\x1b" in line for line in console.lines)
    return True


def test_whatever_is_typed_the_talk_goes_on_and_its_tree_is_sound():
    assert all(told_by_chance(shipped_folder() / f"{name}.yaml", seed) for name, seed in SOME.items())


@pytest.mark.long
@pytest.mark.parametrize("file", SHIPPED[::4], ids=lambda file: file.stem)
def test_in_every_fourth_shipped_tree_the_talk_goes_on_and_its_tree_is_sound(file):
    assert any(told_by_chance(file, seed) for seed in range(6))


class Scripted(Typist):
    """A console at which given lines are typed."""

    def __init__(self, *typed: str) -> None:
        super().__init__(random.Random(0), len(typed), 40)
        self.typed = list(typed)

    def ask(self) -> str:
        if not self.typed:
            raise EOFError
        return self.typed.pop(0)


def test_what_would_not_be_safe_cannot_be_accepted(monkeypatch):
    def unsafe(*_):
        raise UnsafeRoute(6, "a start too many", "first-two-minutes > dies")

    monkeypatch.setattr("diagnose.revising.consequences.route_for", unsafe)
    lying = bench(shipped_folder() / "heater-no-fire.yaml")
    new = NewCause(id="quite-new", under="fire-side", remedy={"refer": "gas-engineer"})
    console = Scripted("accept", "change", "7", "Air it", "accept", "leave")
    with pytest.raises(LeftOff):
        settle(
            ExtendDialogue(console, lying),
            new,
            lambda cause: judge(lying.text, lying.tree, cause, COMMON, Asked(NOON), None),
            lambda judged: (),
        )
    shown = " ".join(" ".join(console.lines).split())
    assert shown.count("REFUSED: A SAFETY RULE WOULD BE BROKEN") == 2
    assert "a start too many: first-two-minutes > dies" in shown
    assert "accept: write it" not in shown


def test_a_share_that_cannot_be_taken_is_not_offered():
    lying = bench(shipped_folder() / "heater-no-fire.yaml")
    console = Scripted("120", "96", "")
    told = ExtendDialogue(console, lying)._share(NewCause(id="quite-new", under="fire-side"))
    assert (told.in_100, told.others) == (96, "as-they-are")
    shown = " ".join(" ".join(console.lines).split())
    assert "It has to be above 0 and at most 100." in shown
    assert "From what is not listed" not in shown
    assert "From none; the sum is then 196" in shown
