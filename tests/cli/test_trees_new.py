"""`diagnose trees new`: a tree from a spreadsheet, and everything that is told of a bad one."""

# ruff: noqa: E501 (rows of a sheet and messages are stated whole)

from __future__ import annotations

import json

import openpyxl
import pytest

from diagnose.knowledge.collection import Library
from diagnose.knowledge.loading import load_tree

SHEET = """\
row,id,says,under,gate,hazard,in_100,remedy,by,hands,minutes,how,prevent,answers,stop_on,refer,lamp-seen,clamp-seen,stored
symptom,lamp-flickers,The lamp flickers,,,,,,,,,,,,,,,,
system,,habitation-electrics,,,,,,,,,,,,,,,,
refer_to,,workshop,,,,,,,,,,,,,,,,
cured_when,,Has it burned steadily for a minute?,,,,,,,,1,,,,,,,,
also_said,,lamp blinks,,,,,,,,,,,,,,,,
also_said,,light comes and goes,,,,,,,,,,,,,,,,
not_listed,,"7,5",,,,,,,,,,,,,,,,
source,,All from the shop's own cards.,,,,,,,,,,,,,,,,
event,supply-side,The supply is poor,,,high-current,,,,,,,,,,,,,
cause,clamp-loose,A clamp at the battery is loose,supply-side,,,30,refer: auto-electrician,,,,,Look at it in spring,,,,,loose: 0.9,
cause,line-worn,The line is worn,supply-side,,,12.5,see: lights-dim,,,,,,,,,,,outdoors
cause,bulb-loose,The bulb sits loosely,,,none,,Press the bulb in,owner,controls,3,Let it cool first,,,,,off 0.7; dim: uncertain,,
check,lamp-seen,How does it burn?,,,,,,owner,look,1,,,off: Off at times; dim: Dim at times; good: Steadily,,,,,
check,clamp-seen,How does the clamp sit?,,,,,,owner,look,2,Touch nothing,,loose: Loosely; Firmly,,,,,
others,,,,,,,,,,,,,,,,good,firmly,
"""


@pytest.fixture
def sheet(tmp_path):
    (tmp_path / "mine").mkdir()
    file = tmp_path / "lamp.csv"
    file.write_text(SHEET, encoding="utf-8")
    return file


def test_a_sheet_becomes_a_tree_that_is_written_and_what_is_left_is_told(run, sheet, tmp_path):
    ran = run("trees", "new", "--from", "lamp.csv", "--trees", "mine", COLUMNS="100")
    assert (ran.code, ran.err) == (0, "")
    assert (
        ran.out
        == """\
mine/lamp-flickers.yaml is written; it has no flaw, and its routes are proved.
Left to do:
  -  no share was told for bulb-loose: what remains of 100 is spread evenly, 50 each
  -  mains-harmed: asked first because mains is usual for the system "Habitation
     electrics", though no cause carries it
  -  prevent is missing for line-worn, bulb-loose
Then: diagnose trees check mine/lamp-flickers.yaml
"""
    )
    tree = load_tree(tmp_path / "mine" / "lamp-flickers.yaml", Library().common())
    assert tree.ask_first == ("mains-harmed", "battery-harmed")
    assert tree.also_said == ("lamp blinks", "light comes and goes")
    assert (tree.not_listed, tree.sources) == (7.5, ("All from the shop's own cards.",))
    assert {cause.id: cause.in_100 for cause in tree.causes()} == {
        "clamp-loose": 30, "line-worn": 12.5, "bulb-loose": 50
    }  # fmt: skip
    assert tree.events["line-worn"].hazards == {"high-current"}
    assert tree.events["bulb-loose"].remedy.text == "Press the bulb in"
    assert tree.events["bulb-loose"].remedy.how == "Let it cool first"
    # 0.85 and 0.25 are the figures of the words probable and uncertain (tests/published/test_probability_words).
    assert tree.checks["lamp-seen"].expect == {
        "bulb-loose": {"off": 0.7, "dim": 0.25}, "otherwise": {"good": 0.85}
    }  # fmt: skip
    assert tree.checks["clamp-seen"].expect == {"clamp-loose": {"loose": 0.9}, "otherwise": {"firmly": 0.85}}
    assert tree.checks["stored"].expect == {"line-worn": {"outdoors": 0.85}}
    assert not tree.advice


def test_one_document_tells_where_the_tree_is_and_what_is_left(run, sheet, tmp_path):
    ran = run("trees", "new", "--from", "lamp.csv", "--trees", "mine", "--json")
    told = json.loads(ran.out)
    assert (ran.code, ran.err, told["symptom"]) == (0, "", "lamp-flickers")
    assert (tmp_path / told["file"]).read_text(encoding="utf-8").startswith("symptom:")
    assert told["left"][-1] == "prevent is missing for line-worn, bulb-loose"
    again = run("trees", "new", "--from", "lamp.csv", "--trees", "mine", "--json")
    assert (again.code, list(json.loads(again.out))) == (1, ["errors"])
    assert run("trees", "new", "--trees", "mine", "--json").code == 2


def test_a_workbook_is_read_alike(run, sheet, tmp_path):
    book = openpyxl.Workbook()
    for line in SHEET.splitlines():
        import csv

        cells = next(csv.reader([line]))
        book.active.append([float(cell) if cell.replace(".", "").isdigit() else cell for cell in cells])
    book.save(tmp_path / "lamp.xlsx")
    assert run("trees", "new", "--from", "lamp.csv", "-o", "mine/a-lamp.yaml").code == 0
    assert run("trees", "new", "--from", "lamp.xlsx", "-o", "mine/b-lamp.yaml").code == 0
    texts = [(tmp_path / "mine" / f"{name}-lamp.yaml").read_text(encoding="utf-8") for name in "ab"]
    assert texts[0] == texts[1]


def test_under_gas_the_danger_questions_come_first(run, tmp_path):
    (tmp_path / "gas.csv").write_text(
        "row,id,says,hazard,remedy,minutes\n"
        "symptom,,The ring is weak,,,\nsystem,,cooking,,,\nrefer_to,,workshop,,,\n"
        "cured_when,,Does it burn as it should?,,,2\n"
        "cause,jet-blocked,The jet is blocked,gas,refer: gas-engineer,\n",
        encoding="utf-8",
    )
    ran = run("trees", "new", "--from", "gas.csv", "-o", "ring-weak.yaml")
    assert ran.code == 0, ran.err
    text = (tmp_path / "ring-weak.yaml").read_text(encoding="utf-8")
    assert "ask_first: [smell-of-gas, co-alarm]\n" in text
    assert "no check says what it would show for jet-blocked" in ran.out


def test_all_that_is_wrong_with_a_sheet_is_told_at_its_cells(run, tmp_path):
    (tmp_path / "bad.csv").write_text(
        "row,id,says,under,gate,hazard,in_100,remedy,by,hands,minutes,answers,seen,sean\n"
        "symptom,lamp-x,The lamp flickers,,,,,,,,,,,\n"
        "system,,habitation-electric,,,,,,,,,,,\n"
        "cured_when,,Well?,,,,,,,,soon,,,\n"
        "event,side,A side,side,any_off,gass,,,,,,,,\n"
        'cause,a,It is so,sida,,none,130,Loosen it,boss,tools,"1,000",,on: 2,\n'
        "cause,a,It is so,,,none,10,refer: workshop,,,,,,\n"
        "cause,Bad Id,It is so,,,none,10,refer: workshop,,,,,,\n"
        "cause,b,,,,mains,=A1,Loosen it,owner,controls,3,,of,\n"
        "check,seen,How?,x,,,,,owner,look,1,on: On; off: Off,,\n"
        "chek,more,How?,,,,,,,,,,,\n",
        encoding="utf-8",
    )
    ran = run("trees", "new", "--from", "bad.csv", "-o", "x.yaml")
    assert ran.code == 1
    assert ran.err.splitlines() == WRONG
    assert not (tmp_path / "x.yaml").exists()


WRONG = [
    "bad.csv:1:1: the sheet lacks a row refer_to",
    'bad.csv:1:14: column "sean" is neither known nor the id of a check or fact here (did you mean "seen"?)',
    'bad.csv:3:3: system names "habitation-electric", which is no system here (did you mean "habitation-electrics"?)',
    'bad.csv:4:11: minutes is "soon"; it wants a number',
    "bad.csv:5:1: any_of wants one or more, not 0",
    'bad.csv:5:4: "side" stands below itself',
    'bad.csv:5:5: gate is "any_off"; it wants any_of or all_of (did you mean "any_of"?)',
    'bad.csv:5:6: hazard names "gass", which is not known (did you mean "gas"?)',
    'bad.csv:6:4: under names "sida", which is no event here (did you mean "side"?)',
    "bad.csv:6:7: in_100 is 130; it wants a number above 0 and at most 100",
    'bad.csv:6:9: by wants owner or technician, not "boss"',
    'bad.csv:6:11: minutes is "1,000", which can be read in two ways; write it without a comma',
    "bad.csv:6:13: on is 2; it wants a number from 0 to 1 or a probability word",
    'bad.csv:7:2: "a" stands twice (first in row 6)',
    'bad.csv:8:2: "Bad Id" is no id; write lower case letters and figures, joined by single hyphens, a letter first',
    'bad.csv:9:2: cause "b" lacks says: what is wrong',
    "bad.csv:9:7: the cell holds a formula; write what it comes to",
    'bad.csv:9:8: do of remedy of "b" says "loosen", which is refused under mains',
    'bad.csv:9:13: expect names "of", which is no answer of check "seen" (did you mean "off"?)',
    "bad.csv:10:4: under says nothing in a row check; leave it empty",
    'bad.csv:11:1: row is "chek"; it wants symptom, system, refer_to, cured_when, also_said, caution, source, ask_first, not_listed, event, cause, check, others (did you mean "check"?)',
]


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["--from", "lamp.csv"], 2, "where shall it be put?"),
        (["--from", "lamp.csv", "-o", "x.yml"], 2, "a tree file ends in .yaml; x.yml does not"),
        (["--from", "none.csv", "-o", "x.yaml"], 1, "none.csv:1:1: there is no such file"),
        (["--from", "lamp.csv", "-o", "there.yaml"], 1, "there.yaml is there already and is left as it is"),
        (["--from", "lamp.csv", "-o", "water-pump.yaml"], 1, 'there is a tree "water-pump" already'),
        (["--from", "lamp.csv", "-o", "Bad.yaml"], 1, '"Bad" is no id'),
        (["--from", "lamp.csv", "-o", "nowhere/x.yaml"], 1, "there is no folder nowhere"),
    ],
)
def test_what_cannot_be_is_told_in_one_line(run, sheet, tmp_path, arguments, code, said):
    (tmp_path / "there.yaml").write_text("mine", encoding="utf-8")
    ran = run("trees", "new", *arguments)
    assert (ran.code, ran.out) == (code, "")
    assert said in ran.err
    assert "Traceback" not in ran.err
    assert (tmp_path / "there.yaml").read_text(encoding="utf-8") == "mine"


TYPED = [
    *("The step stays out", "body", "", "", "Does it go in?", "1"),  # the symptom
    *(
        "Ice holds it",
        "",
        "none",
        "",
        "1",
        "Let it thaw",
        "",
        "1",
        "1",
        "5",
        "",
        "wait",
        "20",
        "",
        "",
    ),  # a cause
    "",
    *("Does it hang loose?", "", "1", "1", "", "", "No", "Yes, it hangs", "", "2", "1", "1", ""),  # it stops
    *("Is it icy?", "back", "back"),
    *("Does it hang loose?", "", "1", "1", "", "", "No", "Yes, it hangs", "", "2"),
    *("recovery", "1", ""),  # the same once more, taken back by the second back
    *("How cold is it?", "", "1", "1", "", "reading", "°C", "-20 to 40", "", "1", "frost", "no frost", ""),
    *("", "1", "2"),  # measured; it stops nobody
    *("", "yes"),
]


def test_an_answer_at_which_everybody_stops_is_asked_about_first(run, tmp_path):
    ran = run("trees", "new", "-o", "step-out.yaml", typed="\n".join(TYPED) + "\n")
    assert (ran.code, ran.err) == (0, ""), ran.out
    tree = load_tree(tmp_path / "step-out.yaml", Library().common())
    check, measured = tree.checks.values()
    assert (check.ask, check.stop_on, check.refer) == ("Does it hang loose?", {"yes"}, "recovery")
    assert tree.ask_first == (check.id,)
    assert [(band.id, band.low, band.high) for band in measured.bands] == [
        ("frost", -20, 1),
        ("no-frost", 1, 40),
    ]
    assert measured.expect == {"ice-holds": {"frost": 0.85}, "otherwise": {"no-frost": 0.85}}
    assert tree.events["ice-holds"].remedy.wait == 20
