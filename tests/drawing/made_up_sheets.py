"""Hand-over sheets made up for tests: short ones, stops, some with far too much on them, harmful texts."""

from __future__ import annotations

from diagnose.knowledge.languages import Language, Text
from diagnose.walking.sheet_parts import (
    AnswerBack,
    Cautioned,
    Found,
    HandedTo,
    Labelled,
    Likely,
    NumberedOutcome,
    OfCard,
    Sheet,
    Tried,
    Untouched,
)

ENGLISH = Language()
CODE = "057R-R84R-R336-8R87-65M8"
SQUARE = f"{CODE} REST-VOLTS:12.1:0.05 CRANK-VOLTS:9.4:0.15"
HARM = "<script>alert(1)</script> & \"x\" 'y' #let a = *b* $c$ @d _e_ `f` \\u{41} {{ g }} ${h} [link](u) //"
TURNED = "left \u202eright\u202c \u2066end\u2069 bell\x07 tab\tend"
LONG_WORD = "Donaudampfschifffahrtsgesellschaftskapitänsmütze" * 4
LEGAL = "Everybody goes out. Leave the door open as you go, and shut the cylinder if it is in reach. "


def plain(words: str) -> Text:
    return Text(words, False)


def made_up_sheet(
    *, rows: int = 4, causes: int = 5, says: str = "the answer", stopped: bool = False, code: bool = True
) -> Sheet:
    """A sheet with so many findings and causes; `says` stands in every place where a tree's text can."""
    found = [
        Found(f"09:{at:02}", plain(f"Question {at}: {says}?"), plain(f"{says} {at}"), kind="answer")
        for at in range(rows)
    ]
    found.append(Found("10:00", plain("What does the panel show?"), plain("12.4 ± 0.15 V"), kind="reading"))
    found.append(Found("10:01", plain(f"Is it cold? {says}"), plain("not sure"), kind="not-sure"))
    found.append(Found("10:02", plain(f"What does it burn? {says}"), plain("Gas"), fact=True))
    outcomes = tuple(NumberedOutcome(at + 1, plain(f"Cause {at}: {says}")) for at in range(causes))
    return Sheet(
        "en",
        12,
        (
            Labelled("Case", plain("12")),
            Labelled("Vehicle", plain(says)),
            Labelled("Symptom", plain(f"The heater will not start: {says}")),
        ),
        stopped=stopped,
        card=(
            OfCard(plain("Gas hose"), plain("DUE since 2026-11-01"), over=True),
            OfCard(plain(f"Tyres, rear axle {says}"), plain("4.5 bar, 1750 kg")),
        ),
        notices=(f"The tree has changed: {says}",),
        because=((plain(f"Smell of gas? {says}"), plain("Yes.")),) if stopped else (),
        handed_to=(HandedTo(plain("A gas engineer"), plain(says), plain(f"{LEGAL}{says}"), "the register"),),
        found=tuple(found),
        starts="Started in this case: twice (what was taken back is counted).",
        tried=(Tried((plain(f"Change the cylinder {says}"),), "no better"),),
        untouched=tuple(Untouched(plain(f"Cause {at}"), plain(f"left: {says}")) for at in range(causes)),
        likely=tuple(
            Likely(plain(f"Likely {at} {says}"), "40%", "0%", "90%") for at in range(min(causes, 6))
        ),
        missing="Not told yet what it was: 5 of 9 handed on.",
        cautions=(
            Cautioned("WARNING", plain(f"Read the handbook. {says}")),
            Cautioned("DANGER", plain(f"{LEGAL}{says}"), danger=True),
        ),
        answer_back=AnswerBack(
            CODE, "zero five seven Romeo", outcomes, f"diagnose cases confirm {CODE} NUMBER"
        )
        if code
        else None,
        no_code="" if code else "There is no code: the walk has not ended here.",
        findings_code=SQUARE if code else "",
    )
