"""Whole visits with a console that types by itself: older cases, trees that hand over, the sheet, Ctrl-C."""

from __future__ import annotations

import pytest

from diagnose.terms import DiagnoseError
from tests.terminal.typed import CTRL_C


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
