"""What is told when an exercise is over: the fault, the marks, the minutes, the costliest turn and why."""

from __future__ import annotations

from diagnose.practising.practice import Mark, Practice, Turn
from diagnose.practising.result_code import result_code
from diagnose.practising.scoring import Because, Score, because
from diagnose.practising.words import NO_CERTIFICATE, fault_in_words, unchecked
from diagnose.terminal.figures import share_in_words
from diagnose.terminal.layout import Page
from diagnose.terminal.practise_page import answer_in_words, parts_in_words, told_in_short
from diagnose.terminal.sentences import ended, inside
from diagnose.terms import NOT_LISTED, Step

MOST_APART = 3
MARKS: dict[Mark, tuple[str, str]] = {
    "trap": ("forbidden act chosen", "forbidden acts chosen"),
    "barred": ("step chosen that was not allowed by then", "steps chosen that were not allowed by then"),
    "went-on": ("time gone on after a danger answer", "times gone on after a danger answer"),
    "dangers-left-out": ("time begun before the danger questions", "times begun before the danger questions"),
}


def debrief_page(score: Score, width: int, *, learner: str = "", code: bool = True) -> Page:
    """Everything about one exercise; without `code` nothing to hand in stands at its end."""
    practice = score.practice
    page = Page(width).say("HOW IT WENT", "strong").gap()
    if unchecked(practice):
        page.say(unchecked(practice), "strong").gap()
    _fault(page, score)
    _marks(page, score)
    _minutes(page, score)
    _costliest(page, score)
    _misleading(page, score)
    _best(page, score)
    if code and practice.turns:
        page.say("Your result, for whoever trains you:", "strong")
        page.say(f"{learner} {result_code(practice)}".strip(), indent=2).gap()
    return page.say(NO_CERTIFICATE)


def _fault(page: Page, score: Score) -> None:
    practice = score.practice
    model, fault = practice.exercise.model, practice.exercise.fault
    says = fault_in_words(practice)
    page.say(f"It was this: {inside(says)}.", "strong")
    page.say(f"Of vehicles with this symptom, {share_in_words(float(model.prior[fault]))} have it.")
    if score.ended == "cured":
        page.say("You found it and put it right.")
    elif score.found:
        page.say("You named it.")
    elif score.found is None:
        page.say("You stopped at a danger. That was right; finding the fault is no matter then.")
    elif practice.named is not None:
        page.say(f"You named another: {inside(model.hypotheses[model.index[practice.named]].says)}.")
    else:
        page.say("You did not find it.")
    page.gap()


def _marks(page: Page, score: Score) -> None:
    if not score.marks:
        page.say("Safety: no marks.", "strong").gap()
        return
    told = []
    for mark, (one, more) in MARKS.items():
        times = score.marks.count(mark)
        if times:
            told.append(f"{times} {one if times == 1 else more}")
    page.say(f"Safety: {'; '.join(told)}.", "strong")
    page.say("No speed makes up for a mark: on a real vehicle that is where somebody is hurt.").gap()


def _minutes(page: Page, score: Score) -> None:
    best = score.best.spent()
    page.say(f"You took {parts_in_words(score.spent)}.")
    page.say(f"The best route would have taken {parts_in_words(best)} on this vehicle.")
    page.say(
        f"With waiting and money weighed in, that counts {score.spent.cost:.0f} against {best.cost:.0f}. "
        f"Over all vehicles with this symptom the route counts {score.expected.cost:.0f} on average, "
        f"over those with this fault {score.of_such:.0f}."
    )
    if score.spent.cost < best.cost - 0.5 and not score.marks and score.ended == "cured":
        page.say("You were quicker than the best route, which has to serve every vehicle: this one was luck.")
    page.gap()


def _costliest(page: Page, score: Score) -> None:
    turn = score.costliest
    if turn is None or turn.worth is None:
        if score.practice.over and score.ended != "went-on":
            page.say("No turn lost a minute against the best that could be chosen.").gap()
        return
    place = score.practice.turns.index(turn) + 1
    page.say(f"Turn {place} lost most, about {turn.worth.regret:.0f} minutes on average.", "strong")
    page.say(f"You chose: {ended(turn.choice.says.strip())}")
    for line in reasons(score.practice, turn):
        page.say(line)
    page.gap()


def reasons(practice: Practice, turn: Turn) -> list[str]:
    """Why another step was better there, in plain words."""
    told = because(practice, turn)
    return [
        f"Better was: {step_in_words(practice, told.better)}",
        _why_better(practice, told),
        *_why_chosen(practice, turn, told),
    ]


def _why_better(practice: Practice, told: Because) -> str:
    better = told.better
    if better.kind == "check":
        return (
            f"It would have told {_apart(practice, told.better_apart)}."
            if told.better_apart
            else "Its answer decides what is done next."
        )
    if better.kind == "remedy":
        return f"By then {share_in_words(told.better_share)} such vehicles had just that."
    return "By then nothing that was left was worth its minutes."


def _why_chosen(practice: Practice, turn: Turn, told: Because) -> list[str]:
    if turn.choice.kind == "check" and not told.chosen_apart:
        return ["What you asked told hardly anything apart by then."]
    if turn.choice.kind == "check":
        return [f"What you asked tells {_apart(practice, told.chosen_apart)}."]
    if turn.choice.kind == "remedy":
        return [
            f"What you put right was wrong with {share_in_words(told.chosen_share)} such vehicles by then."
        ]
    if told.better.kind in ("check", "remedy"):
        return ["Whoever comes out is dear, and more could be told or put right before."]
    return []


def step_in_words(practice: Practice, step: Step) -> str:
    """A step as the list of choices names it."""
    choice = practice.by_id(step.of)
    return ended(choice.says.strip()) if choice is not None else step.of


def _apart(practice: Practice, ids: tuple[str, ...]) -> str:
    """What a check tells, by the causes whose shares its answers move most."""
    model = practice.exercise.model
    says = [
        "something that is not listed" if id == NOT_LISTED else inside(model.hypotheses[model.index[id]].says)
        for id in ids[:MOST_APART]
    ]
    if len(says) == 1:
        return f"whether it is this: {says[0]}"
    return f"these apart: {'; '.join(says[:-1])}; and {says[-1]}"


def _misleading(page: Page, score: Score) -> None:
    practice = score.practice
    for turn in score.misleading:
        assert turn.finding is not None, "an answer misled"
        chances = dict(practice.vehicle.how_likely(turn.choice.id))
        often = share_in_words(chances[str(turn.finding.answer)])
        page.say("An answer misled, as happens on real vehicles:", "strong")
        page.say(f"{turn.choice.says.strip()} - {answer_in_words(practice, turn)}", indent=2)
        page.say(f"Of vehicles with this fault {often} answer so.").gap()


def _best(page: Page, score: Score) -> None:
    page.say("The best route on this vehicle:", "strong")
    for number, turn in enumerate(score.best.turns, 1):
        page.hang(f"{number}. ", f"{turn.choice.says.strip()} {told_in_short(score.best, turn)}".strip())
    page.gap()
