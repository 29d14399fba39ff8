"""The form of the files: what is read, and what each broken form is told in."""

from __future__ import annotations

import zipfile
from datetime import date, datetime

import pytest
from openpyxl import Workbook, load_workbook

from diagnose.cases import import_workbook
from diagnose.cases.import_rows import FileForm, open_rows
from diagnose.terms import FlawedKnowledge
from tests.cases.import_histories import GOOD, HEADER, cases_in, reported, row, said, write

KINDS = (".csv", ".xlsx", ".jsonl")


def refused(path, form=None):
    """What is said of a file that cannot be read at all."""
    with pytest.raises(FlawedKnowledge) as found:
        list(open_rows(path, form or FileForm(), path.name))
    return str(found.value)


@pytest.mark.parametrize("kind", KINDS)
def test_the_three_kinds_of_file_hold_the_same_cases(tmp_path, kind):
    path = write(tmp_path / f"fleet{kind}", [GOOD, row(case="18", cause="", volts_at_lamp="")])
    one, other = cases_in(path)
    assert one[0] == "17"
    assert one[1] == "lamp-dark"
    assert one[3:6] == ("cured", "2025-06-01T12:00:00.000000Z", 2025)
    assert one[6:9] == ("van 1", "van 1", "bulb-gone")
    assert one[9] == (("switch-click", "down", None, None), ("volts-at-lamp", "alive", 12.4, 0.1))
    assert other[8] == ""
    assert len(other[9]) == 1


def test_numbers_and_dates_of_a_workbook_are_what_they_show(tmp_path):
    cells = [17.0, datetime(2025, 6, 1), "lamp-dark", "bulb-gone", "van 1", None, None, 12.345]
    path = write(tmp_path / "fleet.xlsx", [cells, [18, date(2025, 6, 2), *cells[2:]]])
    one, other = cases_in(path, "decimal: comma")
    assert (one[0], one[4][:10], one[9]) == ("17", "2025-06-01", (("volts-at-lamp", "alive", 12.345, 0.1),))
    assert (other[0], other[4][:10]) == ("18", "2025-06-02")


@pytest.mark.parametrize("mark", [";", "\t"])
def test_semicolons_and_tabs_separate_as_commas_do(tmp_path, mark):
    path = tmp_path / "fleet.csv"
    path.write_text("\n".join(mark.join(cells) for cells in (HEADER, GOOD)), encoding="utf-8")
    assert len(cases_in(path)) == 1


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_a_mark_at_the_begin_tells_the_encoding(tmp_path, encoding):
    path = tmp_path / "fleet.csv"
    path.write_text(",".join(HEADER) + "\n" + ",".join(row(vehicle="Möwe")), encoding=encoding)
    assert cases_in(path)[0][6] == "Möwe"


def test_an_older_encoding_is_told_with_its_place_and_read_when_the_mapping_says_so(tmp_path):
    path = tmp_path / "fleet.csv"
    path.write_text(",".join(HEADER) + "\n" + ",".join(row(vehicle="Möwe")), encoding="cp1252")
    assert refused(path) == (
        'fleet.csv:2:36: the file is not UTF-8 here (in Windows-1252 this is "ö"); save it as CSV UTF-8, or '
        "write encoding: windows-1252 into its mapping"
    )
    assert cases_in(path, "encoding: windows-1252")[0][6] == "Möwe"


def test_a_row_with_too_many_or_too_few_cells_is_told_and_the_next_is_read(tmp_path):
    path = write(tmp_path / "fleet.csv", [GOOD[:3], [*GOOD, "x"], [*row(case="3"), "", ""], row(case="4")])
    report = reported(path)
    assert said(report) == [
        "2:4: the row has 3 cells, the header 8",
        "3:9: the row has 9 cells, the header 8",
    ]
    assert (report.rows, report.good, report.refused) == (4, 2, 2)


def test_a_cell_of_a_million_characters_is_one_line_and_so_is_an_open_quote(tmp_path):
    path = tmp_path / "fleet.csv"
    rows = [
        ",".join(row(vehicle="x" * 1_000_000)),
        ",".join(row(case="2")),
        ",".join(row(vehicle="y" * 20_000)),
    ]
    path.write_text("\n".join([",".join(HEADER), *rows, ",".join(row(case="3"))]), encoding="utf-8")
    report = reported(path)
    assert report.good == 2
    assert [line.partition(":")[0] for line in said(report)] == ["2", "4"]
    assert said(report)[0] == "2:1: the line holds more than 1,000,000 characters"
    assert "more than 10,000 characters" in said(report)[1]
    path.write_text(",".join(HEADER) + '\n"17,' + ("2025-06-01,lamp-dark\n" * 2000), encoding="utf-8")
    report = reported(path)
    assert "a quote is opened and never closed" in said(report)[0]


def test_nul_and_control_characters_are_told_where_they_would_be_kept(tmp_path):
    path = write(
        tmp_path / "fleet.csv", [row(vehicle="van\x07"), row(case="a\x00b"), row(vehicle="\u202evan")]
    )
    assert said(reported(path)) == [
        "2:5: a control or invisible character stands in the vehicle's label",
        "3:1: a control or invisible character stands in the case's number",
        "4:5: a control or invisible character stands in the vehicle's label",
    ]


def test_headers_that_stand_twice_are_each_told(tmp_path):
    path = write(tmp_path / "fleet.csv", [], ["case", "Date", "date", "CASE"])
    assert refused(path).splitlines() == [
        'fleet.csv:1:3: column "date" stands twice (first as column 2); give one another name',
        'fleet.csv:1:4: column "CASE" stands twice (first as column 1); give one another name',
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_formulas_are_told_and_never_read(tmp_path, kind):
    path = write(tmp_path / f"f{kind}", [row(case="=1+1"), row(date="=TODAY()"), row(vehicle="=A1")])
    lines = said(reported(path))
    assert len(lines) == 3
    assert all("formula" in line for line in lines), lines


def test_merged_cells_and_empty_lines_of_a_workbook(tmp_path):
    book = Workbook()
    sheet = book.active
    for cells in ([], HEADER, row(case="1"), [], row(case="2"), row(case="3"), row(case="4")):
        sheet.append(cells)
    sheet.merge_cells("D5:D6")
    book.create_sheet("prices")
    book.save(tmp_path / "fleet.xlsx")
    report = reported(tmp_path / "fleet.xlsx")
    assert said(report) == [
        "5:4: cells D5:D6 are merged; a case stands on one row of its own",
        "6:4: cells D5:D6 are merged; a case stands on one row of its own",
    ]
    assert (report.rows, report.good) == (4, 2)
    assert report.notes == ['Only the sheet "Sheet" is read, not "prices".']


def test_another_sheet_and_another_row_of_names(tmp_path):
    book = Workbook()
    book.create_sheet("jobs")
    for cells in (["Jobs of the year"], HEADER, GOOD):
        book["jobs"].append(cells)
    book.save(tmp_path / "fleet.xlsx")
    assert len(cases_in(tmp_path / "fleet.xlsx", "{sheet: jobs, header_row: 2}")) == 1
    said_of = refused(tmp_path / "fleet.xlsx", FileForm(sheet="job"))
    assert said_of == 'fleet.xlsx:1:1: the workbook has no sheet "job"; it has "Sheet", "jobs"'


def test_a_workbook_that_unpacks_to_more_than_it_may_is_not_unpacked(tmp_path, monkeypatch):
    good = write(tmp_path / "good.xlsx", [GOOD])
    bomb = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(good) as source, zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as target:
        for part in source.namelist():
            target.writestr(part, source.read(part))
        target.writestr("xl/sharedStrings2.xml", b"a" * 30_000_000)
    monkeypatch.setattr("openpyxl.load_workbook", lambda *_, **__: pytest.fail("it was unpacked"))
    assert refused(bomb) == (
        "bomb.xlsx:1:1: the workbook is packed suspiciously tightly; it is not read. Save the sheet as CSV"
    )
    monkeypatch.setattr(import_workbook, "MOST_UNPACKED", 1000)
    assert "unpacks to more than" in refused(good)


@pytest.mark.parametrize("kept", [0, 10, 300, 2000, -40])
def test_a_damaged_workbook_is_told_in_one_line(tmp_path, kept):
    good = write(tmp_path / "good.xlsx", [GOOD] * 50).read_bytes()
    path = tmp_path / "cut.xlsx"
    path.write_bytes(good[:kept])
    assert refused(path).count("\n") == 0


def test_broken_lines_of_json_are_each_told(tmp_path):
    path = write(tmp_path / "fleet.jsonl", [GOOD])
    deep = "[" * 100_000
    more = ['{"case": 1', '{"case": 1, "case": 2}', "[1]", '{"case": NaN}', '{"case": {"a": 1}}', deep, ""]
    path.write_text(path.read_text() + "\n".join(more), encoding="utf-8")
    assert said(reported(path)) == [
        "2:11: the line is not JSON here",
        '3:1: key "case" stands twice on this line',
        '4:1: the line holds no object such as {"case": 1}',
        "5:1: NaN is no number in JSON",
        '6:1: "case" holds an object; write a text',
        "7:1: the line is nested too deeply or holds a number of too many figures",
    ]


@pytest.mark.parametrize(
    ("name", "content", "text"),
    [
        ("a.ods", b"", '".ods" is no kind of file that is read here; save it as .csv, .xlsx or .jsonl'),
        ("a", b"", "a file without an ending is no kind of file that is read here"),
        ("a.csv", b"", "the file holds nothing"),
        ("a.csv", b"\n \n", "the file holds nothing"),
        ("a.csv", b"PK\x03\x04xx", "is a workbook or packed file and not text"),
        ("a.csv", b"\xd0\xcf\x11\xe0xx", "is an old workbook (.xls) and not text"),
        ("a.csv", "case,date".encode("utf-16-le"), "holds NUL characters; save it as CSV in UTF-8"),
        ("a.xlsx", b"case", "is no workbook (.xlsx); save it as one, or as CSV"),
        ("a.jsonl", b"\n", "the file holds no line with an object"),
    ],
)
def test_files_that_cannot_be_read_at_all(tmp_path, name, content, text):
    path = tmp_path / name
    path.write_bytes(content)
    assert text in refused(path)


def test_no_file_a_folder_and_an_impossible_name(tmp_path):
    assert refused(tmp_path / "x.csv") == "x.csv:1:1: there is no such file"
    assert refused(tmp_path) == f"{tmp_path.name}:1:1: is not a file"
    assert "cannot be read" in refused(tmp_path / ("x" * 300 + ".csv"))


def test_what_is_refused_is_kept_as_it_was_in_a_workbook(tmp_path):
    from diagnose.cases.import_refused import RefusedRows

    rows = RefusedRows(tmp_path / "out.xlsx", ["case", "vehicle"], tmp_path / "in.xlsx")
    rows.add(2, ["=1+1", 12.5], "why")
    assert rows.finish()
    sheet = load_workbook(tmp_path / "out.xlsx").active
    assert [[cell.value for cell in line] for line in sheet] == [
        ["case", "vehicle", "reason"],
        ["=1+1", 12.5, "why"],
    ]
    assert sheet["A2"].data_type == "s"
