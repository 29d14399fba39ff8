"""Whole visits with a console that types by itself: older cases, trees that hand over, the sheet, Ctrl-C."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from diagnose.knowledge.collection import Library
from diagnose.terminal.desk import Desk
from diagnose.terminal.layout import Line
from diagnose.terminal.visiting import Visit
from diagnose.terms import DiagnoseError

START = datetime(2026, 3, 1, 10, tzinfo=UTC)

CTRL_C = object()


class Typing:
    """A console of 40 columns at which these lines are typed; then the input ends."""

    def __init__(self, *typed):
        self.typed = list(typed)
        self.said: list[str] = []

    def width(self):
        return 40

    def height(self):
        return None

    def show(self, lines):
        assert all(isinstance(line, Line) and len(line.text) <= 40 for line in lines)
        self.said += [line.text for line in lines]

    def ask(self):
        if not self.typed:
            raise EOFError
        typed = self.typed.pop(0)
        if typed is CTRL_C:
            raise KeyboardInterrupt
        self.said.append(f"> {typed}")
        return typed

    def text(self):
        return " ".join(" ".join(self.said).split())


@pytest.fixture
def folder(lamp):
    tree = lamp.read_text(encoding="utf-8")
    seen = tree.replace("remedy: {refer: workshop}", "remedy: {see: lamp-flickers}").replace(
        "the table stays dark", "the bed stays dark"
    )
    (lamp.parent / "bed-lamp-dark.yaml").write_text(seen.replace("table lamp dead", "bed lamp dead"))
    other = tree.replace("The lamp over the table stays dark", "The lamp flickers")
    (lamp.parent / "lamp-flickers.yaml").write_text(other.replace("table lamp dead", "flickering"))
    return lamp.parent


@pytest.fixture
def visit(folder, tmp_path, monkeypatch):
    """`visit("line", ...)` visits with these lines typed; returns the exit code and what was said."""
    monkeypatch.setenv("DIAGNOSE_CACHE", str(tmp_path / "cache"))
    monkeypatch.chdir(tmp_path)

    def come(*typed, words="", resume=None, days=0.0, vehicle=""):
        console = Typing(*typed)
        come.said = console.text
        desk = Desk(
            Library((folder,)),
            str(tmp_path / "cases.sqlite"),
            vehicle=vehicle,
            clock=lambda: START + timedelta(days=days),
        )
        try:
            code = Visit(console, desk).run(words, resume)
        finally:
            desk.close()
        assert not console.typed, f"not all lines were asked for; said: {console.text()}"
        return code, console.text()

    return come


@pytest.fixture
def stored(tmp_path):
    """The cases as they are stored now, by number."""
    from diagnose.cases.store import open_store

    def read():
        with open_store(str(tmp_path / "cases.sqlite")) as store:
            return {record.case: record for record in store.cases()}

    return read


def test_a_later_start_asks_once_whether_a_cure_has_lasted_and_counts_the_answer(visit, stored):
    code, said = visit("off", "did that, works", "yes", words="lamp-dark")
    assert code == 0
    assert "CURED" in said
    _, said = visit("yes", days=2)
    assert "One question first, about case 1 of 01 March 2026: The lamp over the table stays dark" in said
    assert "Was it this, and has it stayed cured: the switch at the lamp is off?" in said
    assert "Thank you: the next vehicle gains by it." in said
    assert (stored()[1].confirmed, stored()[1].cause) == (True, "switched-off")
    _, said = visit(days=3)
    assert "One question first" not in said


def test_a_cure_that_was_something_else_is_counted_as_that(visit, stored):
    visit("off", "did that, works", "yes", words="lamp-dark")
    visit("no", "something else", days=1)
    assert stored()[1].cause == "not-listed"


def test_a_referral_is_asked_about_and_may_be_skipped_but_is_not_asked_again(visit, stored):
    visit("on", "0.2", "3", words="lamp-dark")
    assert stored()[1].state == "referred"
    _, said = visit("", days=1)
    assert "It was handed over. What did it turn out to be?" in said
    assert "diagnose cases confirm 1 CAUSE" in said
    assert not stored()[1].confirmed
    _, said = visit(days=2)
    assert "What did it turn out to be?" not in said


def test_nobody_is_asked_before_anybody_could_know(visit, stored):
    visit("on", "0.2", "3", words="lamp-dark")
    _, said = visit(days=0.1)
    assert "turn out to be" not in said
    assert not stored()[1].asked_outcome


def test_the_confirmed_case_shows_in_the_next_ranking(visit):
    visit("off", "did that, works", "yes", words="lamp-dark")
    visit("yes", days=1)
    _, said = visit(words="lamp-dark", days=2)
    assert "The switch at the lamp is off: about 4 in 10 (1 of 1 case)" in said


def test_what_was_left_off_is_offered_and_something_new_can_be_walked_instead(visit, stored):
    visit("off", words="lamp-dark", vehicle="van")
    assert stored()[1].state == "left-off"
    _, said = visit("something", "bed lamp dead", "1", days=1)
    assert "Something was left off. 1 Go on with it 2 Something new" in said
    assert stored()[2].symptom == "bed-lamp-dark"
    _, said = visit("1", "could not", "3", days=1, vehicle="van")
    assert "Press the switch at the lamp." in said
    assert stored()[1].state == "referred"


def test_of_several_that_were_left_off_one_is_picked(visit):
    visit("off", words="lamp-dark", vehicle="van")
    visit("on", words="bed-lamp-dark", days=1)
    _, said = visit("go on", "2", days=2)
    assert "Which? 1 The lamp over the bed stays dark (case 2, 02 March)" in said
    assert "2 The lamp over the table stays dark (case 1, 01 March, van) 3 Something new" in said
    assert "Press the switch at the lamp." in said


def test_a_tree_that_knows_better_goes_on_in_a_case_of_its_own_with_what_is_known(visit, stored):
    code, said = visit("on", "0.2", words="bed-lamp-dark")
    assert code == 0
    assert "It points to this: no current comes to the lamp." in said
    assert 'So it goes on with "The lamp flickers". What you have found comes along.' in said
    first, second = stored()[1], stored()[2]
    assert (first.state, first.referral) == ("referred", "lamp-flickers")
    assert second.symptom == "lamp-flickers"
    taken = {entry.subject: entry.value or entry.answer for entry in second.entries if entry.ahead}
    assert taken == {"switch-click": "on", "volts-at-lamp": 0.2}


def test_the_sheet_can_be_read_or_kept_and_no_file_is_overwritten(visit, tmp_path):
    _, said = visit("on", "0.2", "1", words="lamp-dark")
    assert "HAND-OVER SHEET" in said
    _, said = visit("on", "0.2", "2", words="lamp-dark")
    assert f"Writtento{tmp_path}/sheet-2.txt." in said.replace(" ", "")  # the path is wider than the screen
    (tmp_path / "mine.txt").write_text("mine")
    _, said = visit("on", "0.2", "mine.txt", "nowhere/x.txt", "nonsense", "own.txt", words="lamp-dark")
    assert "There is a file mine.txt already; it is left as it is." in said
    assert "It cannot be written: No such file or directory." in said
    assert '"nonsense" is not clear; a name for the file looks like sheet.txt.' in said
    assert (tmp_path / "mine.txt").read_text() == "mine"
    assert (tmp_path / "own.txt").read_text().startswith("HAND-OVER SHEET")


def test_ctrl_c_at_the_sheet_loses_nothing(visit, stored):
    code, _ = visit("on", "0.2", CTRL_C, words="lamp-dark")
    assert code == 130
    assert stored()[1].state == "referred"


def test_ctrl_c_before_anything_was_begun_opens_no_case(visit, stored):
    code, _ = visit(CTRL_C)
    assert code == 130
    assert stored() == {}


def test_ctrl_c_in_mid_walk_names_the_path_of_a_tree_that_has_no_id_here(visit, folder, stored):
    path = str(folder / "lamp-dark.yaml")
    code, said = visit("off", CTRL_C, words=path)
    assert code == 130
    assert f"diagnosewalk{path}--resume1" in said.replace(" ", "")
    assert stored()[1].state == "left-off"


def test_danger_at_the_question_about_an_older_case_stops_at_once(visit):
    visit("on", "0.2", "3", words="lamp-dark")
    code, said = visit("danger", days=1)
    assert code == 0
    assert "STOP - DANGER" in said


def test_the_list_of_symptoms_can_be_asked_for(visit):
    _, said = visit("list", "none of these", "leave off")
    assert "The lamp over the table stays dark (your own tree; not checked by this project)" in said
    assert "What is wrong? Say it in other words" in said


def test_words_that_fit_nothing_bring_the_nearest(visit):
    _, said = visit("xyzzy plugh", "none", "leave off")
    assert 'Nothing here clearly fits "xyzzy plugh".' in said


def test_the_next_walk_of_a_stopped_vehicle_asks_first_whether_it_was_cleared(visit, stored):
    visit("danger", "3", words="lamp-dark", vehicle="van")
    _, said = visit("yes", words="lamp-dark", vehicle="Van", days=1)
    assert "Has somebody qualified looked at that since, and cleared it?" in said
    assert "Which way does the switch stand?" in said
    _, said = visit(words="lamp-dark", vehicle="another", days=1)
    assert "cleared" not in said


def test_a_case_whose_tree_is_not_at_hand_says_how_to_go_on(visit, folder, tmp_path):
    path = tmp_path / "elsewhere" / "lamp-odd.yaml"
    path.parent.mkdir()
    path.write_text((folder / "lamp-dark.yaml").read_text())
    visit("off", words=str(path))
    _, said = visit("1", "leave off", days=1)
    assert "None of it can be gone on with here." in said
    with pytest.raises(DiagnoseError) as refused:
        visit(resume=1, days=1)
    assert str(refused.value) == (
        'the tree "lamp-odd" of case 1 is not at hand; name its file: diagnose walk FILE --resume 1'
    )
    _, said = visit("could not", "3", words=str(path), resume=1, days=1)
    assert "Press the switch at the lamp." in said


@pytest.mark.parametrize("typed", ["danger", "there is smoke"])
def test_danger_on_the_last_screen_still_stops(visit, stored, typed):
    _, said = visit("on", "0.2", typed, "3", words="lamp-dark")
    assert "TO BE HANDED OVER" in said
    assert "STOP - DANGER" in said
    assert stored()[1].state == "stopped"


def test_whatever_fails_in_mid_walk_says_how_to_go_on(visit, monkeypatch):
    from diagnose.walking.reasoner import RoomReasoner

    def fails(self):
        raise DiagnoseError("the route breaks safety rule 2")

    monkeypatch.setattr(RoomReasoner, "route", fails)
    with pytest.raises(DiagnoseError):
        visit("no", "no", "no", words="water-pump")
    assert "All that you answered is kept as case 1. To go on, type: diagnose walk --resume 1" in visit.said()


HEATER = "heater-no-fire"


@pytest.mark.parametrize("typed", ["there is smoke coming out", "I smell gas", "my head aches"])
def test_a_danger_told_in_ones_own_words_in_mid_walk_stops(visit, stored, typed):
    _, said = visit("no", typed, "3", words=HEATER)
    assert "STOP - DANGER" in said
    assert stored()[1].state == "stopped"


def test_words_that_deny_a_danger_are_asked_about_and_a_whole_no_goes_on(visit):
    _, said = visit("heater dead but no smell of gas", "n", "no", "1")
    assert "Type the whole word: yes or no. If you are not sure, type yes." in said
    assert "Here it has to be the whole word: yes or no." in said
    assert "The blown-air gas heater will not fire" in said


def test_words_that_deny_a_danger_stop_where_it_is_there_after_all(visit):
    for answer in ("yes", "not sure", "danger"):
        _, said = visit("the heater is off, no smell of gas", answer)
        assert "STOP - DANGER" in said


@pytest.mark.parametrize(
    "words", ["I smell gas", "the alarm is going", "got a shock", "smoke", "danger", "we all feel sick"]
)
def test_danger_told_first_stops_before_any_search_and_opens_no_case(visit, stored, words):
    for said in (visit(words=words)[1], visit(words)[1]):
        assert "STOP - DANGER" in said
        assert "Emergency number: 112." in said
        assert "This does not certify that the vehicle is safe." in said
    assert stored() == {}


def test_not_sure_at_a_danger_question_first_offers_help_then_counts_as_danger(visit, stored):
    _, said = visit("not sure", "not sure", "3", words=HEATER)
    assert "fetch a torch, or ask somebody" in said
    assert "Still not sure? Type: not sure. It then counts as danger." in said
    assert "STOP - DANGER" in said
    assert stored()[1].state == "stopped"


def test_a_danger_question_takes_neither_number_nor_letter_nor_enter(visit, stored):
    _, said = visit("1", "n", "", "y", "no", words=HEATER)
    assert said.count("Here it has to be the whole word: no, yes or not sure.") == 4
    assert "Is an alarm sounding" in said


def test_back_takes_the_last_answer_back_but_not_more_than_there_is(visit, stored):
    _, said = visit("no", "back", "back", "leave off", words=HEATER)
    assert "There is nothing to go back to." in said
    assert said.count("Can you smell gas or hear hissing") == 2
    assert "back" in [entry.kind for entry in stored()[1].entries]


def test_there_is_no_way_back_out_of_a_stop(visit, stored):
    _, said = visit("yes", "back", words=HEATER)
    assert said.count("Can you smell gas or hear hissing") == 2  # asked, and told as the reason of the stop
    assert stored()[1].state == "stopped"
    with pytest.raises(DiagnoseError) as refused:
        visit(resume=1)
    assert str(refused.value).startswith("case 1 was stopped for danger and cannot be taken up again")


def test_a_reading_is_taken_with_comma_unit_and_prefix_and_refused_out_of_range(visit, stored):
    _, said = visit("on", "99", "12 furlongs", "twelve", "12400 mV", words="lamp-dark")
    assert "a reading here lies between 0 and 16 V." in said
    assert '"furlongs" is not a unit of this reading' in said
    assert "Type a number between 0 and 16 V, such as 8 V, or: not sure." in said
    assert "Put a new bulb in." in said
    assert "Then it takes a night, but not you: nobody need be there. Costs about 4 pounds or euros." in said
    reading = [entry for entry in stored()[1].entries if entry.kind == "finding"][-1]
    assert (reading.subject, reading.answer, reading.value) == ("volts-at-lamp", "alive", 12.4)


def test_a_band_can_be_named_where_there_is_no_figure(visit, stored):
    visit("on", "ali", words="lamp-dark")
    found = [entry for entry in stored()[1].entries if entry.kind == "finding"][-1]
    assert (found.subject, found.answer, found.value) == ("volts-at-lamp", "alive", None)


def test_why_and_help_answer_and_ask_again(visit):
    _, said = visit("why", "help", words="lamp-dark")
    assert 'This tells "The switch at the lamp is off"' in said
    assert "So far the likeliest is" in said
    assert "our judgement, no cases yet)." in said
    assert "take the last answer back" in said
    assert said.count("Which way does the switch stand?") == 3


def test_a_wrong_answer_is_asked_again_with_what_would_be_right(visit):
    _, said = visit("9", "it stands", "off", "not sure", words="lamp-dark")
    assert "Type a number from 1 to 2, the first letters of an answer, or: help." in said
    assert 'That fits "It stands at on" or "It stands at off".' in said
    assert "Say whether it works now, is no better, or could not be done." in said


def test_a_case_does_not_go_on_in_the_tree_of_another_symptom(visit, stored):
    visit("off", words="lamp-dark")
    with pytest.raises(DiagnoseError) as refused:
        visit(resume=1, words="bed-lamp-dark")
    assert str(refused.value) == 'case 1 is about "lamp-dark", not about "bed-lamp-dark"'
    assert stored()[1].state == "left-off"
    with pytest.raises(DiagnoseError) as refused:
        visit(resume=1, words="no such words")
    assert str(refused.value).startswith('the tree "lamp-dark" of case 1 is not at hand; name its file: ')


def test_whoever_tells_of_something_new_need_not_first_say_so(visit):
    visit("leave off", words="lamp-dark")
    _, said = visit("the table lamp is dead", "1", "leave off", days=0.1)
    assert "Something was left off." in said
    assert "Type a number" not in said
    assert "> the table lamp is dead" in said
    assert "Which way does the switch stand?" in said


def test_words_that_are_like_nothing_are_asked_again(visit):
    visit("leave off", words="lamp-dark")
    _, said = visit("yes, go on please", "", "leave off", days=0.1)
    assert "> yes, go on please Type a number from 1 to 2, or just Enter to skip this." in said
    assert "What is wrong?" in said


def test_danger_told_there_stops_as_ever(visit):
    visit("leave off", words="lamp-dark")
    _, said = visit("I smell gas", days=0.1)
    assert "STOP - DANGER" in said
