"""What is seldom said of a remedy or check is told behind one question, and is in the tree that comes out."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from diagnose.knowledge.collection import shipped_folder
from diagnose.revising.extending import NewCause, extended, flaws_of
from diagnose.terminal.dangers import DangerTold
from diagnose.terminal.extend_dialogue import ExtendDialogue
from diagnose.terminal.extend_dialogue_asking import Asker, LeftOff
from diagnose.terminal.extend_dialogue_more import OF_A_CHECK, OF_A_REMEDY, ask_for_more, known_of
from diagnose.terminal.extend_dialogue_reading import numbers_in
from tests.terminal.test_extend_dialogue import COMMON, Typist, bench

LYING = bench(shipped_folder() / "heater-no-fire.yaml")
NEW = NewCause(
    id="switch-wet", under="low-power", says="Its switch is wet", remedy={"refer": "auto-electrician"}
)
DO = ("do", "Dry it with a cloth", "", "owner", "controls", "5", "")
MORE = (
    *("place, part, wait, needs, cures", "gas-locker", "heater fuse", "30", "kneel, reach", "95"),
    "",
)
ASK = ("Does its lamp glow?", "", "owner", "look", "", "no")
MEASURED = ("reading doubt", "volts", "0 to 16 V", "", "11,5; 10.5", "low", "a bit low", "good", "10", "")
WEIGHED = ("low", "good", "0.9", "", "")


class Scripted(Typist):
    """A console of 40 columns at which given lines are typed."""

    def __init__(self, *typed: str) -> None:
        super().__init__(random.Random(0), len(typed), 40)
        self.typed = list(typed)

    def ask(self) -> str:
        if not self.typed:
            raise EOFError
        return self.typed.pop(0)

    def words(self) -> str:
        assert max(map(len, self.lines)) <= 40
        return " ".join(" ".join(self.lines).split())


def told(step: str, *typed: str):
    """The cause after one step, the console, and the tree that has it."""
    console = Scripted(*typed)
    dialogue = ExtendDialogue(console, LYING)
    new = getattr(dialogue, step)(NEW)
    assert console.typed == []
    tree, flaws = flaws_of(extended(LYING.text, LYING.tree, new, COMMON), LYING.tree, COMMON)
    assert tree is not None, flaws
    return new, console, tree


def test_what_more_is_said_of_a_remedy_is_in_the_tree_that_is_read_back():
    _, _, tree = told("_remedy", *DO, *MORE)
    remedy = tree.events["switch-wet"].remedy
    assert (remedy.at, remedy.part, remedy.wait) == ("gas-locker", "heater-fuse", 30)
    assert (remedy.needs, remedy.cures) == (("kneel", "reach"), 0.95)


def test_who_has_nothing_more_to_say_is_asked_one_question_for_it():
    new, console, _ = told("_remedy", *DO, "")
    assert new.remedy.keys() == {"do", "by", "hands", "minutes"}
    assert console.words().count("Enter for no.") == 1


def test_a_check_may_be_a_reading_whose_stretches_cover_its_scale():
    _, _, tree = told("_check", *ASK, *MEASURED, *WEIGHED)
    check = tree.checks["switch-wet-seen"]
    assert (check.reading.unit, check.reading.low, check.reading.high) == ("V", 0, 16)
    assert (check.reading.uncertainty, check.not_sure) == (0.2, 0.1)
    bands = [(band.id, band.low, band.high) for band in check.bands]
    assert bands == [("low", 0, 10.5), ("a-bit-low", 10.5, 11.5), ("good", 11.5, 16)]
    assert check.expect == {"switch-wet": {"low": 0.9}, "otherwise": {"good": 0.98}}


def test_each_wrong_word_gets_its_nearest_and_help_explains_them_all():
    _, console, tree = told(
        "_remedy", *DO, "plce", "help", "none of, place", "pl, part", "gas lcker", "gas-locker",
        "heater fues", "", "cure", "0", "101", "back", "needs", "knel", "none", "wait", "-3", "45", "",
    )  # fmt: skip
    shown = console.words()
    assert '"plce" is none of these (did you mean "place"?).' in shown
    assert "part the part, whose whereabouts the vehicle's card tells" in shown
    assert '"of" is none of these' in shown
    assert 'Did you mean "gas-locker"?' in shown
    assert '"knel" is none of these (did you mean "kneel"?).' in shown
    remedy = tree.events["switch-wet"].remedy
    # back left the question of how often it cures, not what was told before it
    assert (remedy.at, remedy.part, remedy.wait) == ("gas-locker", "heater-fuse", 45)
    assert (remedy.needs, remedy.cures) == ((), 1)


def test_a_reading_is_asked_again_until_it_can_be_one():
    new, console, _ = told(
        "_check", *ASK, "reading", "7", "volst", "1", "16 to 0", "five", "9" * 400 + " to 1", "0-16",
        "17", "0.5", "16", "ten", "10, 10", "1 2 3 4 5 6 7", "10", "-", "low", "low", "good", "", *WEIGHED,
    )  # fmt: skip
    shown = console.words()
    for said in (
        '"7" is no unit.', "Which is meant?", "The least comes first", "Type two numbers", "at most.",
        "16 does not lie between 0 and 16 V.", "one value or several, with commas", "twice",
        "7 stretches are the most.", "beginning with a letter", '"low" is there already.',
    ):  # fmt: skip
        assert said in shown, said
    assert new.check["reading"] == {"unit": "V", "range": [0, 16], "uncertainty": 0.5}
    assert new.check["bands"] == {"low": {"below": 10}, "good": {"from": 10}}
    assert "answers" not in new.check


@pytest.mark.parametrize(("kinds", "typed"), [(OF_A_REMEDY, MORE), (OF_A_CHECK, MEASURED)])
def test_danger_and_leaving_work_at_each_of_these_questions(kinds, typed):
    for many in range(len(typed)):
        for word, raised in (("danger", DangerTold), ("leave off", LeftOff)):
            asker = Asker(Scripted(*typed[:many], word))
            with pytest.raises(raised):
                ask_for_more(asker, "it", kinds, known_of(LYING.tree), lambda more: ())


def test_what_the_tree_refuses_is_told_and_left_out():
    console = Scripted(*DO, "wait", "30", "")
    dialogue = ExtendDialogue(console, LYING)
    judged = dialogue.wrong_with

    def refusing(new):
        return ["No waiting here."] if "wait" in new.remedy else judged(new)

    dialogue.wrong_with = refusing
    assert "wait" not in dialogue._remedy(replace(NEW)).remedy
    assert "No waiting here. Anything more about this remedy?" in console.words()


def test_numbers_of_a_line_with_their_unit_and_either_decimal_mark():
    assert numbers_in("-30 to +45 °C", "°C") == [-30, 45]
    assert numbers_in("\u22125 – 5") == [-5, 5]
    assert numbers_in("1e9") == numbers_in("0 to 16 bar", "V") == numbers_in("") == []
