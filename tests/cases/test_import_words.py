"""What cells mean, what is doubtful, and what each refusal says."""

from __future__ import annotations

from datetime import date

import pytest

from diagnose.cases.import_dates import Dates, EitherWay, NoDate, order_told_by
from diagnose.cases.import_numbers import NoReading, number_in
from diagnose.terms import Reading
from tests.cases.import_histories import cases_in, history, reported, row, said, write

TODAY = date(2026, 3, 1)


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("2026-02-03", "", (2026, 2, 3)),  # ISO 8601
        ("2026/2/3", "", (2026, 2, 3)),
        ("2026-02-03T08:30:00Z", "", (2026, 2, 3)),
        ("2026-02-03 08:30", "", (2026, 2, 3)),
        ("03.02.2026", "", (2026, 2, 3)),
        ("3 February 2026", "", (2026, 2, 3)),
        ("3-Feb-2026", "", (2026, 2, 3)),
        ("Feb 3, 2026", "", (2026, 2, 3)),
        ("25/02/2026", "", (2026, 2, 25)),
        ("02/25/2026", "", (2026, 2, 25)),
        ("02/02/2026", "", (2026, 2, 2)),
        ("03/02/2026", "day-month-year", (2026, 2, 3)),
        ("03/02/2025", "month-day-year", (2025, 3, 2)),
        ("03-02-26", "day-month-year", (2026, 2, 3)),
        ("26-02-03", "year-month-day", (2026, 2, 3)),
        ("03/02/97", "day-month-year", (1997, 2, 3)),
        ("29/02/2024", "", (2024, 2, 29)),
    ],
)
def test_dates_as_people_write_them(text, order, day):
    assert Dates(TODAY, order).day(f" {text} ") == date(*day)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "no date stands here"),
        ("31/02/2025", '"31/02/2025" is no day of the calendar'),
        ("2025-02-30", '"2025-02-30" is no day of the calendar'),
        ("29.02.2025", '"29.02.2025" is no day of the calendar'),
        ("2026-03-02", '"2026-03-02" is still to come'),
        ("0202-03-02", '"0202-03-02" lies before 1950'),
        ("45000", "45000 is a spreadsheet's count of days; give the column a date's form, or ISO dates"),
        ("yesterday", '"yesterday" is no date; write it as 2026-04-03'),
        ("3 Ju 2025", '"3 Ju 2025" is no date; write it as 2026-04-03'),
        ("3 Jul. 2025x", '"3 Jul. 2025x" is no date; write it as 2026-04-03'),
        ("3 Juni 2025", '"3 Juni 2025" names no month; write the date as 2026-04-03'),
    ],
)
def test_what_is_no_date_says_why(text, why):
    with pytest.raises(NoDate) as found:
        Dates(TODAY).day(text)
    assert str(found.value) == why


def test_two_possible_days_are_never_guessed():
    with pytest.raises(EitherWay) as found:
        Dates(TODAY).day("03/04/2025")
    assert str(found.value) == (
        '"03/04/2025" can be 3 April or 4 March; write dates: day-month-year or dates: month-day-year into '
        "the mapping"
    )
    with pytest.raises(EitherWay, match="year of two figures"):
        Dates(TODAY).day("03/04/25")


def test_the_file_itself_may_tell_the_order_of_all_its_dates(tmp_path):
    path = write(tmp_path / "a.csv", [row(date="03/04/2025"), row(case="18", date="25/04/2025")])
    assert [case[4][:10] for case in cases_in(path)] == ["2025-04-03", "2025-04-25"]
    path = write(tmp_path / "b.csv", [row(date="03/04/2025"), row(case="18", date="04/25/2025")])
    assert [case[4][:10] for case in cases_in(path)] == ["2025-03-04", "2025-04-25"]
    path = write(tmp_path / "c.csv", [row(date="03/04/2025"), row(case="18", date="04/05/2025")])
    report = reported(path)
    assert report.doubtful == 2
    assert report.words == {("dates", "", "03/04/2025"): 1, ("dates", "", "04/05/2025"): 1}
    assert cases_in(path, "dates: month-day-year")[0][4][:10] == "2025-03-04"


def test_dates_that_contradict_each_other_tell_no_order():
    assert order_told_by(["25/04/2025", "04/25/2025"]) == ""
    assert order_told_by(["25/04/25", "31.12.2025", "x"]) == ""
    assert order_told_by(["13/13/2025"]) == ""


VOLTS = Reading("V", 0, 16, 0.1)


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("12.4", "", 12.4),
        ("12,4", "", 12.4),
        ("12.4 V", "", 12.4),
        ("12.4v", "", 12.4),
        ("+7", "", 7.0),
        (".5", "", 0.5),
        ("0,125", "", 0.125),
        ("12,345", "comma", 12.345),
        ("12.345", "point", 12.345),
        ("12.4", "comma", 12.4),
        ("1", "comma", 1.0),
    ],
)
def test_readings_as_people_write_them(text, decimal, value):
    assert number_in(text, VOLTS, decimal) == value


def test_grouped_figures_are_read_by_the_mapping():
    wide = Reading("mAh", 0, 1_000_000, 1)
    assert number_in("1.234,5", wide, "comma") == 1234.5
    assert number_in("1,234.5", wide) == 1234.5
    assert number_in("1 234,5", wide) == 1234.5
    assert number_in("12'345", wide) == 12345.0
    with pytest.raises(NoReading, match="can be read in two ways"):
        number_in("1,234", wide)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("17", '"17" cannot be; a reading here lies between 0 and 16 V'),
        ("-1", '"-1" cannot be; a reading here lies between 0 and 16 V'),
        ("12400 mV", '"12400 mV" is not in V; write numbers in that unit'),
        ("low", '"low" is no number in V'),
        ("1e1", '"1e1" is no number in V'),
        ("1.2.3", '"1.2.3" is no number'),
        ("9" * 400, "cannot be; a reading here lies"),
    ],
)
def test_what_is_no_reading_says_why(text, why):
    with pytest.raises(NoReading) as found:
        number_in(text, VOLTS)
    assert why in str(found.value)


def test_number_plates_are_refused_unless_asked_for_or_mapped(tmp_path):
    path = write(tmp_path / "a.csv", [row(vehicle="AB12 CDE")])
    assert said(reported(path)) == [
        '2:5: "AB12 CDE" looks like a number plate (Great Britain from 2001); give the vehicle a name of '
        "its own under vehicles: in the mapping, or say --plates"
    ]
    assert reported(path, plates=True).good == 1
    assert cases_in(path, "vehicles: {ab12 cde: van 7}")[0][6:8] == ("van 7", "van 7")


def test_ids_old_ids_and_exact_words_are_understood_by_themselves(tmp_path):
    words = ["bulb-gone", "The bulb has gone", "  the BULB  has gone ", "switch-off", "damp-socket+old-wire",
             "The wire is old and The socket is damp", "not-listed", "unknown", ""]  # fmt: skip
    symptoms = ["lamp-dark", "The lamp stays dark", "Lamp dead", "lamp-dark", "no light", *["lamp-dark"] * 4]
    rows = [
        row(case=str(n), cause=word, symptom=s)
        for n, (word, s) in enumerate(zip(words, symptoms, strict=True))
    ]
    cases = cases_in(write(tmp_path / "a.csv", rows))
    assert [case[8] for case in cases] == [
        "bulb-gone", "bulb-gone", "bulb-gone", "switched-off", "old-wire+damp-socket", "old-wire+damp-socket",
        "not-listed", "", "",
    ]  # fmt: skip
    assert {case[1] for case in cases} == {"lamp-dark"}


def test_an_old_id_of_a_check_is_its_column_too(tmp_path):
    header = ["case", "date", "symptom", "which-way"]
    path = write(tmp_path / "a.csv", [["1", "2025-01-01", "lamp-dark", "It stands at on"]], header)
    assert cases_in(path)[0][9] == (("switch-click", "up", None, None),)


def test_near_words_are_doubtful_and_far_ones_refused(tmp_path):
    rows = [row(symptom="lamp stays darkk"), row(symptom="the oil was changed"),
            row(cause="bulb has gone off"), row(cause="mice"), row(cause="both"),
            row(cause="old-wire"),
            row(state="repaired"),
            row(state="curd"), row(state="open"), row(switch_click="dwn"), row(switch_click="x"),
            row(volts_at_lamp="99"), row(symptom=""), row(case="")]  # fmt: skip
    report = reported(write(tmp_path / "a.csv", rows))
    lines = said(report)
    assert len(lines) == len(rows)
    assert lines[0] == (
        '2:3: "lamp stays darkk" is not quite a symptom that is known here (did you mean "lamp-dark"?)'
    )
    assert lines[1] == '3:3: "the oil was changed" is no symptom that is known here'
    assert lines[2] == (
        '4:4: "bulb has gone off" is not quite a cause of lamp-dark (did you mean "bulb-gone"?)'
    )
    assert lines[3] == '5:4: "mice" is no cause of lamp-dark'
    assert "is what causes lead to, and none itself" in lines[4]
    assert lines[5].startswith("7:4:")
    assert lines[6] == '8:6: "repaired" is no state (cured, referred, stopped, left-off)'
    assert (
        lines[7]
        == '9:6: "curd" is not quite a state (cured, referred, stopped, left-off) (did you mean "cured"?)'
    )
    assert "a job that is still open is no history yet" in lines[8]
    assert lines[9] == '11:7: "dwn" is not quite an answer of switch-click (up, down) (did you mean "down"?)'
    assert lines[10] == '12:7: "x" is no answer of switch-click (up, down)'
    assert "cannot be; a reading here lies between 0 and 16 V" in lines[11]
    assert lines[12] == "14:3: no symptom stands here"
    assert "no number of the case stands here" in lines[13]
    assert report.doubtful == 4
    assert report.refused == 10
    assert report.good == 0


def test_everything_wrong_with_a_row_is_told_at_once(tmp_path):
    bad = row(
        case="", date="x", cause="mice", vehicle="AB12 CDE", state="x", switch_click="x", volts_at_lamp="x"
    )
    columns = [line.split(":")[1] for line in said(reported(write(tmp_path / "a.csv", [bad])))]
    assert columns == ["1", "2", "4", "5", "6", "7", "8"]


def test_a_check_of_another_tree_may_only_be_empty(tmp_path):
    rows = [row(symptom="fan-still"), row(case="2", symptom="fan-still", volts_at_lamp="")]
    report = reported(write(tmp_path / "a.csv", rows))
    assert said(report) == ["2:8: volts-at-lamp is no check of fan-still"]
    assert report.good == 1


def test_not_sure_is_kept_and_facts_of_the_common_files_count_too(tmp_path):
    header = ["case", "date", "symptom", "switch-click", "use"]
    path = write(tmp_path / "a.csv", [["1", "2025-01-01", "lamp-dark", "not-sure", "Hired out"]], header)
    assert cases_in(path)[0][9] == (("switch-click", "not-sure", None, None), ("use", "hired", None, None))


def test_an_open_job_counts_as_cured_where_no_state_is_told(tmp_path):
    cases = cases_in(write(tmp_path / "a.csv", [row(state=""), row(case="2", state="Left off")]))
    assert [case[3] for case in cases] == ["cured", "left-off"]


def test_the_same_number_twice_counts_once_and_is_told_where_it_says_something_else(tmp_path):
    rows = [row(), row(case="18"), row(), row(cause=""), row(case=" 17 ")]
    report = reported(write(tmp_path / "a.csv", rows))
    assert (report.good, report.repeated, report.refused) == (2, 2, 1)
    assert said(report) == ['5:1: case "17" stands on row 2 already, and with other content']


def test_todays_case_does_not_lie_in_the_future(tmp_path):
    from datetime import UTC, datetime

    morning = history(write(tmp_path / "a.csv", [row(date="2026-03-01")]))
    morning.now = datetime(2026, 3, 1, 8, tzinfo=UTC)
    report, spool = morning.read()
    assert not report.flaws
    assert next(iter(spool))[0][4] == "2026-03-01T00:00:00.000000Z"
    spool.close()
