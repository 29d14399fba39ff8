"""The screens of a round, from the views that it hands out.

The order is that of a walk's screens: what could hurt, what has to be known, the task, how it is done, what
it takes, the answers, and the words that always work.
"""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.rounds.views import ClearedAsked, FactAsked, TaskShown
from diagnose.terminal.figures import duration_in_words, effort_sentences
from diagnose.terminal.layout import Line, Page
from diagnose.terminal.questions import NEEDS, show_caution
from diagnose.terminal.sentences import ended, inside, sentence
from diagnose.terms import Referral
from diagnose.terms.rounds import Round, RoundId, Task
from diagnose.walking.views import NO_CERTIFICATE, Choice, Effort

TITLES: dict[RoundId, str] = {
    "wake-up": "Waking it up",
    "journey": "Before a journey",
    "hand-over": "Handing it over",
    "lay-up": "Laying it up",
}
NOT_OURS = "Part of this round is not what comes with the program: nobody of this project has checked it."
CAUTION = "caution"
"""What is typed to read again what could hurt at a task."""
ENDS = (
    Choice("fine", "Fine"),
    Choice("wrong", "Wrong"),
    Choice("not-done", "Not done"),
    Choice("not-fitted", "Not fitted"),
)
ENDS_OVERDUE = (
    Choice("fine", "Nothing else is wrong"),
    Choice("wrong", "Something else is wrong too"),
    ENDS[2],
    ENDS[3],
)
"""Where the card's date alone makes it wrong."""


def title_of(id: RoundId, vehicle: str) -> str:
    """What a round is called on its screens."""
    return f"{TITLES[id]}: {vehicle}" if vehicle else TITLES[id]


def opening_page(
    round: Round, vehicle: str, tasks: int, minutes: float, width: int, notices: Sequence[str] = ()
) -> Page:
    """What the round is, how long it takes, and the words for danger."""
    page = Page(width).say(title_of(round.id, vehicle), "strong").say(ended(round.says), indent=2)
    length = f"about {duration_in_words(minutes)}" if tasks else "nothing to do"
    page.say(f"{counted(tasks, 'task')}, {length}, ways and waits counted.", "quiet", indent=2).gap()
    if not round.shipped:
        page.say(NOT_OURS, "strong").gap()
    for notice in notices:
        page.say(notice).gap()
    page.say(
        "If you smell gas, an alarm sounds, somebody feels unwell, or there is smoke, type: danger."
    ).gap()
    return page.say(NO_CERTIFICATE, "quiet")


def task_page(view: TaskShown, width: int) -> Page:
    """One task."""
    task = view.task
    page = Page(width).say(f"Task {view.number} of {view.of}", "quiet").gap()
    if not view.shipped:
        page.say(NOT_OURS, "strong").gap()
    for caution in view.cautions:
        show_caution(page, caution)
    if view.read_before:
        kinds = " and ".join(dict.fromkeys(each.word for each in view.read_before))
        page.say(f"{kinds}: what you read before holds here too. To read it, type: {CAUTION}.").gap()
    for notice in view.notices:
        page.say(notice).gap()
    for told in view.overdue:
        page.say("NOTICE", "strong").say(told, indent=2)
    if view.overdue:
        page.say("So it is wrong by its date. Look at the rest all the same.", indent=2)
        page.say("If it was replaced, put the new date on the card.", "quiet", indent=2).gap()
    page.say(sentence(view.place) if not view.there else f"While you are {view.place}:", "quiet")
    page.say(ended(task.what), "strong").say(task.how, indent=2)
    for reason in view.reasons:
        page.say(reason, indent=2)
    page.say(" ".join(_what_it_takes(view)), "quiet", indent=2).gap()
    if not view.by_owner:
        page.say("This is for a technician. Not one? Answer: not done.").gap()
    _ends(page, choices_of_task(view))
    words = ["back"] if view.can_go_back else []
    return page.say("Or type: " + ", ".join([*words, "help", "leave off", "danger"]) + ".", "quiet")


def cautions_page(view: TaskShown, width: int) -> Page:
    """Everything that could hurt at a task."""
    page = Page(width)
    for caution in (*view.cautions, *view.read_before):
        show_caution(page, caution)
    return page if page.lines else page.say("No caution belongs to this task.")


def choices_of_task(view: TaskShown) -> tuple[Choice, ...]:
    """The answers that a task takes."""
    return ENDS_OVERDUE if view.overdue else ENDS


def fact_page(view: FactAsked, width: int) -> Page:
    """What is true of the vehicle, asked once."""
    page = (
        Page(width).say("About the vehicle, once:", "quiet").say(view.ask, "strong").say(view.how, indent=2)
    )
    page.say(f"Whether this is for you hangs on it: {inside(view.what)}.", "quiet", indent=2).gap()
    _answers(page, view.choices)
    words = ["back"] if view.can_go_back else []
    return page.say(
        "Or type: " + ", ".join(["not sure", *words, "help", "leave off", "danger"]) + ".", "quiet"
    )


def cleared_page(view: ClearedAsked, width: int) -> Page:
    """Nothing goes on before somebody qualified has cleared the vehicle."""
    page = (
        Page(width).say(view.ask, "strong").say(f"It was left to: {ended(view.referral.to)}", indent=2).gap()
    )
    return page.say("Type the whole word: yes or no. If you are not sure, type no.")


def help_page(width: int) -> Page:
    """What can be typed at a task."""
    page = Page(width).gap()
    page.say("One task at a time. Type the number of an answer, its first letters or its words.")
    page.say("A note goes behind it: wrong: the strap is loose. Write no names there.").gap()
    page.listing(
        [
            ("fine", "looked at or done as it says, and nothing is wrong"),
            ("wrong", "anything that the text calls wrong, or that you doubt; you can find out why at once"),
            ("not done", "not now; it is offered again when you take the round up"),
            ("not fitted", "this vehicle has no such thing"),
            ("back", "take your last answer back"),
            ("leave off", "stop for now; all that you answered is kept"),
            (CAUTION, "read again what could hurt at this task"),
            ("danger", "stop: everybody out, and whom to call"),
        ]
    )
    return page.gap().say(NO_CERTIFICATE, "quiet")


def wrong_page(task: Task, referral: Referral | None, waiting: int, width: int) -> Page:
    """What something wrong means at once: what stays unused, and whom it is left to.

    `waiting` is how many tasks are not to be done before it is put right.
    """
    page = Page(width)
    if task.must_not_use:
        page.say("Until it is put right, do not use:", "strong").say(ended(task.must_not_use), indent=2)
    if referral is not None:
        page.say(f"What you cannot put right is left to: {ended(referral.to)}")
    return waiting_page(waiting, "put right", width, page) if waiting else page


def waiting_page(waiting: int, until: str, width: int, page: Page | None = None) -> Page:
    """That tasks are held back until something is done or put right."""
    page = page if page is not None else Page(width)
    return page.say(f"Not before it is {until}: {counted(waiting, 'task')} of this round.")


def referral_page(referral: Referral, own_number: str, register: str, width: int) -> Page:
    """Whom to call about something that is wrong, what to say, and what to do until they come."""
    page = Page(width).say("TO BE HANDED OVER", "strong").gap()
    page.say("Call:", "strong").say(ended(referral.to), indent=2)
    if own_number:
        page.say(f"The number on your card: {own_number}", "strong", indent=2)
    if register and referral.id == "gas-engineer":
        page.say(f"To find one: {ended(register)}", indent=2)
    page.say("Tell them:", "strong").say(referral.say, indent=2)
    return page.say("Until they come:", "strong").say(referral.until_help, indent=2)


def counted(many: int, word: str) -> str:
    """`1 task`, `3 tasks`."""
    return f"{many} {word}" if many == 1 else f"{many} {word}s"


def _answers(page: Page, choices: Sequence[Choice]) -> None:
    page.listing([(str(number), choice.says) for number, choice in enumerate(choices, 1)])
    page.gap()


def _ends(page: Page, choices: Sequence[Choice]) -> None:
    """The answers in one row where they fit, so that a task with them is read at a glance."""
    row = "   ".join(f"{number} {choice.says}" for number, choice in enumerate(choices, 1))
    if len(row) + 2 > page.width:
        _answers(page, choices)
    else:
        page.lines.append(Line(f"  {row}"))
        page.gap()


def _what_it_takes(view: TaskShown) -> list[str]:
    task = view.task
    said = list(effort_sentences(Effort(minutes=task.minutes, wait=task.wait, price=task.price)))
    said += [sentence(want) for want in view.wants]
    if view.still > 0:
        said.append(f"A wait has still to run before it: {duration_in_words(view.still)}.")
    if view.whereabouts:
        said.append(sentence(f"{(task.part or '').replace('-', ' ')}: {view.whereabouts}"))
    if task.needs:
        said.append(
            f"You have to {' and '.join(NEEDS.get(need, need) for need in task.needs)}; if you cannot, ask "
            "somebody who can."
        )
    return said
