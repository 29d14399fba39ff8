"""A new tree told at a real terminal of 40 and 80 columns; whatever ends the talk, nothing is written."""

from __future__ import annotations

import pytest

from diagnose.knowledge.collection import Library
from diagnose.knowledge.loading import load_tree
from tests.terminal.test_extending_at_a_terminal import talk

TALK = [
    ("What does the owner notice?", "The reading lamp stays dark"),
    ("Its id: reading-lamp", "back"),
    ("What does the owner notice?", "The reading lamp stays dark"),
    ("Its id: reading-lamp", "lamp-dark-bed"),
    ("Which part of the vehicle is it?", "body"),
    ("What else do people say for it?", "no light over the bed, lamp is dead"),
    ("Who is called when nothing better is left?", ""),
    ("known to be cured?", "Does it light and stay on?"),
    ("How many minutes does that take?", "1"),
    ("What can be wrong?", "The bulb is dead"),
    ("Its id: bulb-dead", ""),
    ("What can hurt somebody here?", "nothing"),
    ('hazard names "nothing", which is not', "none"),
    ("how many turn out to be this?", "60"),
    ("What is done about it?", "1"),
    ("What has to be done?", "Fit a bulb of the same volts and watts"),
    ("minded while doing it?", ""),
    ("Who can do it?", "1"),
    ("What does it take?", "2"),
    ("How many minutes of work?", "5"),
    ("What do the parts cost?", "4"),
    ("Anything more about this remedy?", ""),
    ("kept from happening next winter?", "Take spare bulbs along"),
    ("What else can be wrong?", "A terminal is green"),
    ("Its id: terminal-green", "supply-poor"),
    ("What can hurt somebody here?", "high-current"),
    ("how many turn out to be this?", ""),
    ("What is done about it?", "refer"),
    ("To whom?", ""),
    ("kept from happening next winter?", ""),
    ("What else can be wrong?", ""),
    ("tells these causes apart?", "Do the other lamps on the same side light?"),
    ("How does one look", ""),
    ("Who can do it?", "1"),
    ("What does it take?", "1"),
    ("How many minutes does it take?", ""),
    ("Anything more about this check?", ""),
    ("What is one answer?", "They light"),
    ("What is another answer?", "They stay dark"),
    ("Yet another answer?", ""),
    ("everybody must stop at once?", ""),
    ("The bulb is dead: what would it show", "1"),
    ("A terminal is green: what would it", "2"),
    ("And if it is anything else?", ""),
    ("Which other one?", ""),
]


@pytest.mark.parametrize("columns", [40, pytest.param(80, marks=pytest.mark.long)])
def test_a_tree_is_told_shown_and_written(terminal, lamp, columns):
    child = terminal("trees", "new", "--trees", str(lamp.parent), columns=columns, rows=40)
    talk(child, TALK)
    talk(child, [("Write this?", "yes")])
    child.see("is written; it has no flaw")
    assert child.end() == 0
    assert max(map(len, child.lines())) <= columns
    file = lamp.parent / "lamp-dark-bed.yaml"
    assert file.read_text(encoding="utf-8").startswith(HEAD)
    tree = load_tree(file, Library().common())
    assert {cause.id: cause.in_100 for cause in tree.causes()} == {"bulb-dead": 60, "supply-poor": 35}
    assert tree.events["supply-poor"].remedy.text == "auto-electrician"
    (check,) = (check for check in tree.checks.values() if not check.fixed)
    assert check.hazards == {"high-current"}  # a look inherits none, and its caution is shown all the same
    assert [answer.id for answer in check.answers] == list(ANSWERS)
    assert check.expect == {"bulb-dead": {ANSWERS[0]: 0.85}, "supply-poor": {ANSWERS[1]: 0.85}}


ANSWERS = ("light", "stay")
HEAD = """\
symptom: The reading lamp stays dark
system: body
also_said:
  - no light over the bed
  - lamp is dead
refer_to: workshop
ask_first: [battery-harmed]
cured_when: {ask: "Does it light and stay on?", minutes: 1}
faults:
  any_of:
    bulb-dead:
      says: The bulb is dead
      hazard: none
      in_100: 60
      remedy: {do: Fit a bulb of the same volts and watts, by: owner, hands: controls, minutes: 5, price: 4}
      prevent: Take spare bulbs along
"""


@pytest.mark.parametrize(
    ("steps", "ending"),
    [(1, "leave off"), (12, "danger"), pytest.param(len(TALK), "\x04", marks=pytest.mark.long)],
)
def test_whoever_leaves_finds_nothing_written(terminal, lamp, steps, ending):
    child = terminal("trees", "new", "--trees", str(lamp.parent), columns=80, rows=40)
    talk(child, TALK[:steps])
    child.see(TALK[steps][0] if steps < len(TALK) else "Write this?")
    child.see(">")
    if ending == "\x04":
        child.child.send(ending)
    else:
        child.type(ending)
    child.see("112" if ending == "danger" else "Nothing was written.")
    assert child.end() == 0
    assert [path.name for path in lamp.parent.iterdir()] == ["lamp-dark.yaml"]
