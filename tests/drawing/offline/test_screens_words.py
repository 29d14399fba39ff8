"""The page says what the prompt says: figures sign by sign, and every sentence of every screen."""

from __future__ import annotations

import re
from dataclasses import fields

import pytest

from diagnose.terminal.conversation import end_page, page_of
from diagnose.terminal.endings import handed_over_page
from diagnose.terminal.explaining import why_page
from diagnose.terminal.figures import (
    basis_in_words,
    duration_in_words,
    effort_sentences,
    interval_in_words,
    money_in_words,
    share_in_words,
)
from diagnose.terminal.sentences import ended, inside, sentence
from diagnose.terminal.wrapping import WIDEST
from diagnose.terms import Caution, Finding, Ranked, Reading, Referral, Step
from diagnose.walking import views
from diagnose.walking.leading import Leads, Reason
from tests.drawing.offline.made_up_views import every_view
from tests.drawing.offline.made_up_views import referral as whom
from tests.drawing.offline.thumb import Thumb, page_file

pytestmark = pytest.mark.long

KINDS = {
    "question": views.Question,
    "unsure": views.Unsure,
    "remedy": views.RemedyOffered,
    "cured-question": views.CuredQuestion,
    "cleared-question": views.ClearedQuestion,
    "cured": views.Cured,
    "referred": views.Referred,
    "stopped": views.Stopped,
    "left-off": views.LeftOff,
    "not-for-this": views.NotForThis,
    "handed-over": views.HandedOver,
}
OURS = (
    # What is pressed on a phone where the prompt has something typed, and what only a phone has to say.
    "Before you go on",
    "I have read this",
    "Cautions",
    "Danger",
    "Back",
    "Leave off",
    "Not sure",
    "This is my answer",
    "Why this?",
    "What to do, in this order",
    "What you read",
    "Below zero",
    "This is my reading",
    "Unit",
    "psi",
    "CURED",
    "Sheet to hand over",
    "To the start",
    "Go on with it",
    "Go on",
    "Still not sure? Then choose: not sure. It then counts as danger.",
    "Code for the engineer's answer",
    "All that you found is kept on this phone.",
    "Once everybody is out of danger:",  # said at the prompt as it offers the sheet
    views.NO_CERTIFICATE,  # at the prompt not between two trees
    "Its questions are not in this page, so it ends here. Hand it over to somebody qualified.",
)
BLOCKS = """
    const told = "p, li, h1, h2, dt, dd, summary, button, label, select + span, .reading > span";
    document.querySelectorAll("details").forEach(each => { each.open = true; });
    return new Promise(done => setTimeout(() => done(
      [...document.querySelectorAll(told)]
        .filter(each => each.checkVisibility() && !each.querySelector("p, li"))
        .map(each => each.innerText)), 0));
"""


@pytest.fixture(scope="module")
def phone(browser, tmp_path_factory):
    thumb = Thumb(browser, page_file(tmp_path_factory.mktemp("page")))
    thumb.phone()
    yield thumb.open()
    thumb.put_down()


def said_by_the_page(phone, expression, values):
    return phone.run(f"return arguments[0].map(value => {expression})", values)


def test_shares_durations_and_money_are_said_as_at_the_prompt(phone):
    shares = [part / 1000 for part in range(1001)]
    assert said_by_the_page(phone, "Diagnose.figures.share(value)", shares) == [*map(share_in_words, shares)]
    ends = [[low / 200, high / 200] for low in range(0, 200, 7) for high in range(low, 201, 11)]
    assert said_by_the_page(phone, "Diagnose.figures.interval(...value)", ends) == [
        interval_in_words(*each) for each in ends
    ]
    minutes = [each / 4 for each in range(0, 16000, 3)]
    assert said_by_the_page(phone, "Diagnose.figures.duration(value)", minutes) == [
        *map(duration_in_words, minutes)
    ]
    prices = [each / 20 for each in range(1, 4000, 7)]
    assert said_by_the_page(phone, "Diagnose.figures.money(value)", prices) == [*map(money_in_words, prices)]


def test_what_a_step_takes_is_said_as_at_the_prompt(phone):
    efforts = [
        {"minutes": minutes, "wait": wait, "price": price}
        for minutes in (0, 0.5, 1, 12, 95, 600)
        for wait in (0, 45, 720)
        for price in (0, 1, 35.4)
    ]
    assert said_by_the_page(phone, "Diagnose.figures.effort(value)", efforts) == [
        list(effort_sentences(views.Effort(**each))) for each in efforts
    ]


def test_texts_are_fitted_into_sentences_as_at_the_prompt(phone):
    texts = [
        "The flue is blocked.",
        "LPG is low",
        "A fuse has blown",
        "  at the cab ",
        "Is it level?",
        "",
        "É",
        "Él va",
        "12 V",
    ]
    for name, function in (("ended", ended), ("sentence", sentence), ("inside", inside)):
        assert said_by_the_page(phone, f"Diagnose.figures.{name}(value)", texts) == [*map(function, texts)]


def test_what_a_share_rests_on_is_said_as_at_the_prompt(phone):
    for cases in ([0, 0], [3, 9], [1, 0], [2.5, 7.25], [0.2, 0.1]):
        ranking = [Ranked(f"c{at}", "says", 0.5, 0.1, 0.9, each) for at, each in enumerate(cases)]
        given = [{"cause": each.cause, "says": "says", "share": 0.5, "cases": each.cases} for each in ranking]
        told = phone.run("return arguments[0].map(each => Diagnose.figures.basis(each, arguments[0]))", given)
        assert told == [basis_in_words(each, ranking) for each in ranking]


def as_view(given):
    """A view of the page as the walking room's."""

    def made(name, value):
        match name:
            case "cautions":
                return tuple(Caution(**each) for each in value)
            case "ranking":
                return tuple(Ranked(each["cause"], each["says"], each["share"], 0.21, 0.5) for each in value)
            case "choices":
                return tuple(views.Choice(**each) for each in value)
            case "measures":
                return None if value is None else Reading(**value)
            case "effort" | "done":
                return views.Effort(**value)
            case "where":
                return (
                    tuple(views.Where(**each) for each in value)
                    if isinstance(value, list)
                    else views.Where(**value)
                )
            case "prevention":
                return tuple(views.Prevention(**each) for each in value)
            case "left_alone":
                return tuple(views.LeftAlone(**each) for each in value)
            case "referral" | "stopped_by":
                return referral(value)
            case "referrals":
                return tuple(map(referral, value))
            case "carry":
                return tuple(Finding(**each) for each in value)
        return tuple(value) if isinstance(value, list) else value

    kind = KINDS[given["kind"]]
    snake = {re.sub("[A-Z]", lambda each: "_" + each[0].lower(), key): value for key, value in given.items()}
    return kind(
        **{each.name: made(each.name, snake[each.name]) for each in fields(kind) if each.name in snake}
    )


def referral(given):
    values = {("until_help" if key == "untilHelp" else key): value for key, value in given.items()}
    return Referral(**values)


def at_the_prompt(view):
    """Everything that the prompt shows for a view, on one line."""
    code = "001M-WF64-60R0-6800-2466"
    if isinstance(view, views.HandedOver):
        page = handed_over_page(view, "The gas is gone", WIDEST)
    elif isinstance(view, views.End):
        page = end_page(view, WIDEST, shipped=True, code=code)
    else:
        page = page_of(view, WIDEST, shipped=True, first=True)
    text = page.text()
    if isinstance(view, views.Question | views.RemedyOffered):
        reason = Reason(
            0.0,
            ("The cylinder is empty", "Air stands in the line"),
            {},
            view.ranking[0] if view.ranking else None,
            (
                Leads(("Weak", "None"), Step("remedy", "air"), "Air stands in it"),
                Leads(("Else",), Step("check", "x"), ""),
            ),
        )
        text += why_page(reason, view, WIDEST).text()
    return plain(text)


def plain(text):
    """Words alone, so that neither line ends nor marks of a list count."""
    return " ".join(re.findall(r"[\w°±%,.:;?!()\"'/]+", text.replace("\u26a0\ufe0e", ""))).casefold()


@pytest.mark.parametrize("name", list(every_view()))
def test_every_sentence_of_a_screen_is_the_prompts_own(phone, name):
    given = every_view()[name]
    prompt, ours = at_the_prompt(as_view(given)), {plain(each) for each in (*OURS, given["symptom"])}
    if given.get("measures"):
        ours.add(plain("It is taken as right to ± {uncertainty:g} {unit}.".format(**given["measures"])))
    if name == "handed-over-elsewhere":
        # Here the page stands in for another: whom to call is said as wherever something is handed over.
        prompt += at_the_prompt(as_view(every_view()["referred"] | {"referral": whom("workshop")}))
    phone.show(given, True)
    blocks = [plain(each) for each in phone.run(BLOCKS)]
    assert len(blocks) > 4
    assert [each for each in blocks if each and each not in prompt and each not in ours] == []
