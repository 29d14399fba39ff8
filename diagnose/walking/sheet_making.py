"""From a case, its tree and its ranking to the hand-over sheet in a language."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from diagnose.cases.codes import SPELLED
from diagnose.cases.records import CaseRecord, Entry
from diagnose.knowledge.languages import Language, Text
from diagnose.knowledge.naming import outcomes
from diagnose.terms import (
    COULD_NOT,
    CURED,
    NOT_CURED,
    NOT_LISTED,
    NOT_SURE,
    Check,
    Finding,
    Ranked,
    State,
    Tree,
)
from diagnose.walking.ending import left_alone
from diagnose.walking.exact_readings import with_exact_readings
from diagnose.walking.past import Past, causes_of, check_of, is_start, read_past, was_walked
from diagnose.walking.renamed import without_place
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
    joined,
)
from diagnose.walking.stops import UNSURE, reasons, stop_referrals
from diagnose.walking.views import NOT_CHECKED

MOST_CAUSES = 6
BECAME = {CURED: "then it worked", NOT_CURED: "no better", COULD_NOT: "could not be done"}
STATES: dict[State, str] = {
    "open": "not finished",
    "left-off": "left off",
    "cured": "cured",
    "referred": "handed over to somebody qualified",
    "stopped": "STOPPED FOR DANGER",
}
ENGLISH = Language()


def make_sheet(
    case: CaseRecord,
    tree: Tree,
    ranking: Sequence[Ranked] = (),
    *,
    language: Language = ENGLISH,
    register: str = "",
    code: str = "",
    missing: str = "",
    card: Sequence[OfCard] = (),
) -> Sheet:
    """The sheet of a case, as its tree has it today.

    With the case's `code` it tells the numbered outcomes and how the answer is sent back. `missing` says of
    how many past cases the outcome is not known; `register` is where gas fitters are registered there;
    `card` is what the vehicle's card has of dates and tyres.
    """
    past = read_past(tree, case.entries)
    return Sheet(
        language.code,
        case.case,
        _heading(case, tree, language),
        stopped=case.state == "stopped",
        review=language.review(),
        notices=_notices(case, tree, language),
        because=tuple(_said_in(language, each) for each in reasons(past)),
        handed_to=_handed_to(case, past, register, language),
        card=tuple(card),
        found=found_in(past, language, case.opened if was_walked(case) else None),
        starts=_starts(past, language),
        tried=tried_in(past, language),
        untouched=tuple(
            Untouched(language.text(each.says), _why(each.why, language))
            for each in left_alone(past, ranking, case.role)
        ),
        likely=tuple(_likely(each, tree, language) for each in ranking[:MOST_CAUSES]),
        missing=missing if ranking else "",
        cautions=_cautions(past, language),
        answer_back=_answer_back(tree, code, language),
        no_code="" if code else language.phrase("There is no code: the walk has not ended here."),
        findings_code=with_exact_readings(code, past),
    )


def has_ranking(case: CaseRecord, past: Past) -> bool:
    """Whether a ranking says something of this vehicle: at a stop only if more than dangers was asked."""
    asked = [id for id in past.findings if id not in past.tree.ask_first]
    checks = [check_of(past.tree, id) for id in asked]
    return case.state != "stopped" or any(check is not None and not check.fact for check in checks)


def found_in(past: Past, language: Language = ENGLISH, opened: datetime | None = None) -> tuple[Found, ...]:
    """Each check with what was found, in the order in which that was found last.

    It has its time only where `opened` is given, when the walk began.
    """
    latest = past.findings
    # A question that was asked twice stands where it was answered last.
    lines = {line.subject: line for line in past.live if line.kind == "finding"}
    found = []
    for line in sorted(lines.values(), key=lambda each: each.number):
        check = check_of(past.tree, line.subject)
        if check is not None:
            found.append(_found(line, check, latest[check.id], language, opened))
    return tuple(found)


def tried_in(past: Past, language: Language = ENGLISH) -> tuple[Tried, ...]:
    """Each remedy that was tried, with what became of it."""
    found = []
    for line in past.live:
        if line.kind == "tried":
            causes = causes_of(past.tree, line.subject)
            done = [language.text(cause.remedy.text) for cause in causes if cause.remedy is not None]
            became = past.tried.get(line.subject, line.answer or "")
            found.append(
                Tried(
                    tuple(Text(text.words.rstrip("."), text.original) for text in done),
                    language.phrase(BECAME.get(became, became)),
                )
            )
    return tuple(found)


def _heading(case: CaseRecord, tree: Tree, language: Language) -> tuple[Labelled, ...]:
    phrase = language.phrase
    vehicle = case.vehicle or phrase("no label given")
    lines = [Labelled(phrase("Case"), Text(str(case.case), False))] if case.case else []
    if case.source:
        there = phrase("case {case} of {source}", case=case.source_case, source=case.source)
        lines.append(Labelled(phrase("Brought in"), Text(there, False)))
    return (
        *lines,
        Labelled(phrase("Date"), Text(_begun(case), False)),
        Labelled(phrase("Vehicle"), Text(vehicle, False)),
        Labelled(phrase("Symptom"), language.text(tree.symptom)),
        Labelled(phrase("The walk was"), Text(phrase(STATES[case.state]), False)),
    )


def _begun(case: CaseRecord) -> str:
    """The moment at which a walk began, or the day of a case that nobody walked."""
    return f"{case.opened:%Y-%m-%d %H:%M %Z}".rstrip() if was_walked(case) else f"{case.opened:%Y-%m-%d}"


def _notices(case: CaseRecord, tree: Tree, language: Language) -> tuple[str, ...]:
    notices = [] if tree.shipped else [language.phrase(NOT_CHECKED)]
    if case.tree_digest and tree.digest and case.tree_digest != tree.digest:
        notices.append(
            language.phrase("The tree behind this sheet has changed since the walk; its words are today's.")
        )
        gone = [f"{id}: {answer}" if answer else id for id, answer in without_place(tree, case.entries)]
        if gone:
            told = language.phrase("No longer in the tree, so left out here: {gone}.", gone="; ".join(gone))
            notices.append(told)
    return tuple(notices)


def _handed_to(case: CaseRecord, past: Past, register: str, language: Language) -> tuple[HandedTo, ...]:
    ids = stop_referrals(past) or ((case.referral,) if case.referral else ())
    there = [past.tree.referrals[id] for id in ids if id in past.tree.referrals]
    return tuple(
        HandedTo(
            language.text(each.to),
            language.text(each.say),
            language.text(each.until_help),
            language.marked(register) if each.id == "gas-engineer" else "",
        )
        for each in there
    )


def _said_in(language: Language, reason: tuple[str, ...]) -> tuple[Text, ...]:
    if len(reason) == 1:
        return (Text(language.phrase(reason[0]), False),)
    asked, said = language.text(reason[0]), language.text(reason[1])
    if reason[1] == UNSURE:
        said = Text(language.phrase(UNSURE), False)
    return asked, Text(f"{said.words}.", said.original)


def _found(line: Entry, check: Check, finding: Finding, language: Language, opened: datetime | None) -> Found:
    time = "" if opened is None else f"{line.time:%H:%M}"
    if opened is not None and opened.date() != line.time.date():
        time = f"{line.time:%Y-%m-%d} {time}"
    said, kind = _said(check, finding, language)
    return Found(time, language.text(check.ask), said, check.fact, kind)


def _said(check: Check, finding: Finding, language: Language) -> tuple[Text, str]:
    if finding.answer == NOT_SURE:
        return Text(language.phrase("not sure"), False), NOT_SURE
    if finding.value is not None and check.reading is not None:
        within = f" ± {language.number(finding.uncertainty)}" if finding.uncertainty else ""
        reading = f"{language.number(finding.value)}{within} {language.marked(check.reading.unit)}"
        return Text(reading, False), "reading"
    says = {answer.id: answer.says for answer in check.answers}
    return language.text(says.get(finding.answer or "", finding.answer or "")), "answer"


def _starts(past: Past, language: Language) -> str:
    if past.tree.tries is None:
        return ""
    starts = sum(is_start(past.tree, line) for line in past.journal)
    return language.phrase(
        "Started in this case: {times} (what was taken back is counted).", times=_times(starts, language)
    )


def _times(count: int, language: Language) -> str:
    if count > 2:
        return language.phrase("{count} times", count=count)
    return language.phrase(("never", "once", "twice")[count])


def _why(why: str, language: Language) -> Text:
    """Why a cause was left alone; whom it was left for is a text of the tree."""
    reason, colon, whom = why.partition(": ")
    if not colon:
        return Text(language.phrase(reason), False)
    to = language.text(whom)
    return Text(language.phrase("left for: {to}", to=to.words), to.original)


def _likely(each: Ranked, tree: Tree, language: Language) -> Likely:
    says = Text(each.says, False) if language.english else _cause(tree, each.cause, language, each.says)
    return Likely(says, language.percent(each.share), language.percent(each.low), language.percent(each.high))


def _cause(tree: Tree, cause: str, language: Language, own_words: str) -> Text:
    """A cut set in words; `own_words` are the program's for what no tree lists."""
    if cause == NOT_LISTED:
        return Text(language.phrase(own_words), False)
    texts = [language.text(each.says) for each in causes_of(tree, cause)]
    return joined(texts, f" {language.phrase('and')} ")


def _cautions(past: Past, language: Language) -> tuple[Cautioned, ...]:
    shown = dict.fromkeys(line.subject for line in past.live if line.kind == "shown")
    texts = [past.tree.caution_texts[id] for id in shown if id in past.tree.caution_texts]
    return tuple(
        Cautioned(language.phrase(each.word), language.text(each.say), each.word == "DANGER")
        for each in texts
    )


def _answer_back(tree: Tree, code: str, language: Language) -> AnswerBack | None:
    if not code:
        return None
    return AnswerBack(
        code,
        ", ".join(_spelled(group, language) for group in code.split("-")),
        tuple(
            NumberedOutcome(each.number, _cause(tree, each.cause, language, each.says))
            for each in outcomes(tree)
        ),
        f"diagnose cases confirm {code} {language.phrase('NUMBER')}",
    )


def _spelled(group: str, language: Language) -> str:
    """Digits by the language's own names, letters by the international ones."""
    return " ".join(language.phrase(SPELLED[sign]) if sign.isdecimal() else SPELLED[sign] for sign in group)
