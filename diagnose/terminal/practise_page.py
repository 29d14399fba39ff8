"""The screens of an exercise: what stands before the learner, what can be chosen, and what came of it."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.practising.choosing import Choice, Group
from diagnose.practising.practice import Practice, Turn
from diagnose.practising.traps import Trap
from diagnose.practising.vehicle import shown
from diagnose.practising.words import HEADINGS, ONLY_PRACTICE, RULES, THE_WAY, TRAPS_AMONG, story, unchecked
from diagnose.reasoning.figures import Parts
from diagnose.terminal.figures import duration_in_words, money_in_words
from diagnose.terminal.layout import Page
from diagnose.terminal.sentences import ended, inside, sentence
from diagnose.terms import NOT_SURE
from diagnose.walking.past import stops


def opening_page(practice: Practice, width: int) -> Page:
    """What the exercise is, the story of its vehicle, and how it goes."""
    tree = practice.exercise.model.tree
    page = Page(width).say("PRACTICE", "strong").say(sentence(tree.symptom), "strong").gap()
    page.say(unchecked(practice), "strong").say(ONLY_PRACTICE).gap()
    known = story(practice)
    if known:
        page.say("What is known of it:")
    for line in known:
        page.say(line, indent=2)
    page.gap()
    page.say(RULES).say(TRAPS_AMONG).say(THE_WAY).gap()
    return page.say(f"Exercise {practice.exercise.code()}", "quiet")


def list_page(practice: Practice, width: int, only: Group | None = None) -> Page:
    """What can still be chosen, by groups, each with what it takes."""
    page = Page(width)
    left = practice.left()
    for group, heading in HEADINGS.items():
        own = [each for each in left if each.group == group and only in (None, group)]
        if own:
            page.gap().say(heading, "strong")
            page.listing([(str(each.number), in_one_line(practice, each)) for each in own])
    return page


def in_one_line(practice: Practice, choice: Choice) -> str:
    """A choice and what it takes, waiting and money apart."""
    takes = effort_in_short(practice, choice)
    return f"{choice.says.strip()} ({takes})" if takes else choice.says.strip()


def effort_in_short(practice: Practice, choice: Choice) -> str:
    """Minutes, waiting, money and places; nothing for a forbidden act."""
    if choice.kind in ("trap", "stop"):
        return ""
    model = practice.exercise.model
    places = [model.tree.places[place] for place in choice.at]
    been = [practice.reached >> model.place_bits[place.id] & 1 for place in places]
    way = sum(place.access for place, there in zip(places, been, strict=True) if not there)
    parts = [duration_in_words(choice.minutes) + (f" +{way:g}" if way else "")]
    if choice.wait > 0:
        parts.append(f"then {duration_in_words(choice.wait)} of waiting")
    if choice.price > 0:
        parts.append(money_in_words(choice.price))
    return ", ".join([*parts, *(place.says for place in places)])


def prompt_page(practice: Practice, width: int, first: bool = False) -> Page:
    """The line above the prompt."""
    page = Page(width)
    words = "list, so far, help, leave off" if not first else "help, leave off"
    page.say(unchecked(practice), "quiet")
    return page.say("What do you do? Type a number.").say(f"Or type: {words}.", "quiet")


def outcome_page(practice: Practice, turn: Turn, width: int) -> Page:
    """What came of one choice."""
    page = Page(width)
    if "dangers-left-out" in turn.marks:
        page.say("You began before every danger question was asked.", "strong")
        page.say("They come first, whatever else is thought: a leak or a live part hurts whoever looks.")
        page.say("This is marked.").gap()
    if turn.choice.trap is not None:
        return _trap(page, turn.choice.trap)
    page.say(turn.choice.says.strip(), "strong")
    match turn.became:
        case "found":
            page.say(answer_in_words(practice, turn), indent=2)
        case "not-cured" if _smells(practice, turn):
            page.say("It is done.", indent=2).say(_smelt(practice, turn), indent=2)
            page.say("Whether it works is no matter now.", indent=2)
        case "not-cured":
            page.say(_smelt(practice, turn), indent=2)
            page.say("It is done, and nothing has changed.", indent=2)
        case "cured":
            page.say(_smelt(practice, turn), indent=2)
            page.say(f"It works again: {inside(practice.exercise.model.tree.cured_when.ask)} Yes.", indent=2)
        case "barred":
            return page.say(_barred(practice, turn), indent=2).say("This is marked.", indent=2)
        case "went-on":
            handed = turn.choice.kind in ("referral", "handover")
            not_so = "Handing it over as usual is not enough by now." if handed else "This is not done."
            page.say(f"{not_so} {_told_of_a_danger(practice)}", indent=2)
            page.say(
                "Nobody goes on after that on a real vehicle: whatever is done next may be what sets it off. "
                "So the exercise ends here, and this is marked.",
                indent=2,
            )
        case "stopped":
            told = (
                _told_of_a_danger(practice) or "No answer so far was one to stop at; nobody is blamed for it."
            )
            page.say(f"You stop. {told} The exercise ends here.", indent=2)
        case "handed-over":
            page.say("You hand it over. The exercise ends here.", indent=2)
    return page.say(f"{_so_far(turn.spent, practice.spent())}", "quiet", indent=2)


def _smells(practice: Practice, turn: Turn) -> bool:
    tree, smelt = practice.exercise.model.tree, turn.smelt
    return smelt is not None and stops(tree, tree.checks[smelt.check], smelt.answer)


def _smelt(practice: Practice, turn: Turn) -> str:
    """What was found where hands were on the gas; else nothing."""
    if turn.smelt is None:
        return ""
    check = practice.exercise.model.tree.checks[turn.smelt.check]
    return f"Hands were on the gas, so this is asked again: {check.ask} {ended(shown(turn.smelt, check))}"


def _told_of_a_danger(practice: Practice) -> str:
    """The answer at which one stops, and who is called then; nothing where there was none."""
    tree = practice.exercise.model.tree
    for turn in practice.turns:
        finding = turn.finding or turn.smelt
        if finding is None:
            continue
        check = tree.checks[finding.check]
        unsure = finding.answer == NOT_SURE and check.id in tree.ask_first
        if check.refer is not None and (unsure or finding.answer in check.stop_on):
            asked = f"{check.ask} {ended(shown(finding, check))}"
            return f"This is where one stops: {asked} To be called: {inside(tree.referrals[check.refer].to)}."
    return ""


def answer_in_words(practice: Practice, turn: Turn) -> str:
    """What the vehicle said."""
    assert turn.finding is not None, "only what was found is told"
    return ended(shown(turn.finding, practice.exercise.model.tree.checks[turn.choice.id]))


def _trap(page: Page, trap: Trap) -> Page:
    page.say("Nobody may do that.", "danger").say(ended(trap.says), "strong", indent=2).gap()
    page.hang("Why not: ", trap.because, indent=0)
    page.hang("What it can do: ", trap.can, indent=0)
    page.hang("Instead: ", trap.instead, indent=0).gap()
    return page.say("You learn nothing from it, and it is marked. No speed makes up for a mark.")


def _barred(practice: Practice, turn: Turn) -> str:
    if turn.bar == "tries":
        tries = practice.exercise.model.tree.tries
        times = "once" if tries == 1 else f"{tries} times"
        return f"It may be started {times}, and that is used up. It is not started again."
    if turn.bar == "restored":
        return "The mains are put back on once, no more. Nothing here puts them on again."
    return (
        "More than half of what is likely is under gas or the mains by now, and none of that is left for "
        "you to look at or put right. Only handing over is left."
    )


def _so_far(now: Parts, total: Parts) -> str:
    took = parts_in_words(now)
    return f"That took {took}; so far {parts_in_words(total)}." if took else ""


def parts_in_words(parts: Parts) -> str:
    """Hands-on minutes, waiting and money, each by itself.

    >>> parts_in_words(Parts(99, 8, 480, 35)), parts_in_words(Parts())
    ('8 minutes, 480 more of waiting, 35 pounds or euros', 'no time')
    """
    told = []
    minutes, wait = round(parts.hands_on), round(parts.wait)
    if minutes:
        told.append(f"{minutes} {'minute' if minutes == 1 else 'minutes'}")
    if wait:
        told.append(f"{wait} more of waiting" if told else f"{wait} of waiting")
    if parts.price > 0:
        told.append(money_in_words(parts.price))
    return ", ".join(told) or "no time"


def so_far_page(practice: Practice, width: int) -> Page:
    """Everything that was chosen, and what came of it."""
    page = Page(width)
    if not practice.turns:
        return page.say("Nothing has been done yet.")
    for number, turn in enumerate(practice.turns, 1):
        page.hang(f"{number}. ", f"{turn.choice.says.strip()} {told_in_short(practice, turn)}")
    return page.gap().say(f"So far {parts_in_words(practice.spent())}.", "quiet")


def told_in_short(practice: Practice, turn: Turn) -> str:
    """What came of one choice, in a few words."""
    if turn.became == "found":
        return f"- {answer_in_words(practice, turn)}"
    words = {
        "cured": "- That cured it.",
        "not-cured": "- That did not cure it.",
        "trap": "- Nobody may do that.",
        "barred": "- Not allowed by then.",
        "went-on": "- After a danger answer.",
        "stopped": "",
        "handed-over": "",
    }
    return words[turn.became]


def naming_page(says: Sequence[str], width: int) -> Page:
    """The question at the end: what does the learner think it is?"""
    page = Page(width).say("What do you tell them it most likely is?", "strong")
    page.listing([(str(number), text) for number, text in enumerate(says, 1)])
    return page.say("Type its number, or just Enter if you cannot tell.", "quiet")


def help_page(width: int) -> Page:
    """What can be typed."""
    page = Page(width).say("Type the number of what you want to do. Or one of these words:")
    page.listing(
        [
            ("list", "everything that can still be chosen"),
            ("dangers, look, controls, tools, put right, hand over", "just that part of the list"),
            ("so far", "what you have done, and what you found"),
            ("leave off", "end here, and see how it went"),
        ]
    )
    return page.gap().say(ONLY_PRACTICE)
