from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace

import pytest
from networkx import is_directed_acyclic_graph, node_link_graph
from pypdf import PdfReader

from diagnose.cli import main

CHECKOUT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture
def draw(capsys, monkeypatch):
    """`draw(*words)`: exit code and output of `diagnose draw`, run from the checkout or from `at`."""

    def run(*words, at=CHECKOUT, **environment):
        with monkeypatch.context() as patch:
            patch.chdir(at)
            for name, value in environment.items():
                patch.setenv(name, value)
            with pytest.raises(SystemExit) as ended:
                main(["draw", *words])
        output = capsys.readouterr()
        return SimpleNamespace(returncode=ended.value.code, stdout=output.out, stderr=output.err)

    return run


@pytest.mark.parametrize("what", [[], ["--route"]])
def test_svg_and_dot_and_json_go_to_standard_output(what, draw, need):
    need("dot")
    svg = draw("hook-up-trips", *what)
    assert (svg.returncode, svg.stderr) == (0, "")
    assert "<svg " in svg.stdout
    assert (
        draw("hook-up-trips", *what, "--format", "dot").stdout.removeprefix("strict ").startswith("digraph ")
    )
    assert set(json.loads(draw("hook-up-trips", *what, "--format", "json").stdout)) >= {
        "nodes",
        "edges",
        "graph",
    }


def test_a_routes_json_is_a_graph_without_a_cycle_that_begins_at_its_start(draw):
    data = json.loads(draw("hook-up-trips", "--route", "--format", "json").stdout)
    graph = node_link_graph(data, edges="edges")
    assert is_directed_acyclic_graph(graph)
    assert graph.nodes[data["graph"]["start"]]["of"] == "mains-harmed"


def test_owner_and_technician_get_routes_of_their_own(draw):
    owner, technician = (
        json.loads(draw("wet-after-washing", "--route", "--format", "json", "--as", role).stdout)
        for role in ("owner", "technician")
    )
    assert {node["by"] for node in owner["nodes"]} <= {"owner", None}
    assert "technician" in {node["by"] for node in technician["nodes"]}


def test_the_files_ending_chooses_the_format_unless_one_is_named(draw, tmp_path):
    target = tmp_path / "tree.dot"
    done = draw("hook-up-trips", "-o", str(target))
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert target.read_text(encoding="utf-8").startswith('strict digraph "Fault tree" {')
    draw("hook-up-trips", "-o", str(target), "--format", "json")
    assert json.loads(target.read_text(encoding="utf-8"))["directed"] is True


@pytest.mark.parametrize("form", ["dot", "json", "svg", "pdf", "png"])
def test_a_target_that_cannot_be_written_is_one_line_and_exit_1(form, draw, tmp_path, need):
    need("dot")
    done = draw("hook-up-trips", "-o", str(tmp_path / "no" / "such" / f"tree.{form}"))
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr == f"cannot write {tmp_path}/no/such/tree.{form}: No such file or directory\n"


def test_without_the_drawing_program_dot_text_and_json_still_work(draw, tmp_path):
    nothing = {"PATH": str(tmp_path)}
    done = draw("hook-up-trips", **nothing)
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.startswith("Pictures need the program dot of Graphviz, which is not installed here")
    assert done.stderr.count("\n") == 1
    assert (
        draw("hook-up-trips", "--paper", "a4", "-o", str(tmp_path / "x.pdf"), **nothing).stderr == done.stderr
    )
    assert not (tmp_path / "x.pdf").exists()
    assert draw("hook-up-trips", "--format", "dot", **nothing).returncode == 0
    assert draw("hook-up-trips", "--route", "--format", "json", **nothing).returncode == 0


def test_an_unknown_symptom_names_the_nearest(draw):
    done = draw("hook-up-trip", "--format", "dot")
    assert done.returncode == 1
    assert 'there is no symptom "hook-up-trip"; the nearest are hook-up-trips' in done.stderr


def test_a_tree_of_ones_own_is_drawn_by_its_path_and_from_a_folder(draw, tmp_path):
    shipped = (CHECKOUT / "trees" / "hook-up-trips.yaml").read_text(encoding="utf-8")
    own = tmp_path / "my-post.yaml"
    own.write_text(shipped, encoding="utf-8")
    by_path = draw(str(own), "--format", "dot")
    by_folder = draw("my-post", "--trees", str(tmp_path), "--format", "dot")
    assert by_path.returncode == by_folder.returncode == 0
    assert by_path.stdout == by_folder.stdout


def test_cases_count_only_where_a_store_is_named(draw, tmp_path):
    from datetime import UTC, datetime

    from diagnose.cases.store import open_store

    url = str(tmp_path / "cases.sqlite")
    now = datetime(2026, 3, 1, tzinfo=UTC)
    with open_store(url) as store:
        for _ in range(30):
            case = store.open_case("hook-up-trips", "digest", "owner", "", now)
            store.confirm(case, "post-fault", now)
    command = ("hook-up-trips", "--route", "--format", "json")
    without = draw(*command, DIAGNOSE_CASES=url)
    assert without.stdout == draw(*command).stdout
    with_cases = json.loads(draw(*command, "--cases", url).stdout)

    def share(document):
        start = document["nodes"][document["graph"]["start"]]
        return {each["cause"]: each["share"] for each in start["ranking"]}["post-fault"]

    assert share(with_cases) > 0.5 > share(json.loads(without.stdout))
    command = ("hook-up-trips", "--format", "json")
    without = draw(*command, DIAGNOSE_CASES=url)
    assert without.stdout == draw(*command).stdout
    document = json.loads(draw(*command, "--cases", url).stdout)
    drawn = {node["id"]: node for node in document["nodes"]}
    assert drawn["post-fault"]["share"] == pytest.approx(share(with_cases))
    assert (drawn["post-fault"]["cases"], document["graph"]["cases"]) == (30, 30)
    assert "30 of 30 cases" in draw("hook-up-trips", "--cases", url, "--format", "dot").stdout
    elsewhere = draw("engine-no-crank", "--cases", url, "--format", "dot").stdout
    assert "no confirmed case of this symptom is kept there." in elsewhere.replace("\\l", " ")
    assert " of 30" not in elsewhere


def test_a_fault_tree_is_nobodys_in_particular(draw):
    told = draw("hook-up-trips", "--as", "technician", "--format", "dot")
    assert (told.returncode, told.stdout) == (2, "")
    assert told.stderr == "--as goes with --route: a fault tree is the same for everybody\n"


@pytest.mark.parametrize(("form", "begins"), [("pdf", b"%PDF-"), ("png", b"\x89PNG")])
def test_what_is_no_text_goes_to_a_file_named_after_the_id_which_is_told(form, begins, draw, tmp_path, need):
    need("dot")
    done = draw("hook-up-trips", "--format", form, at=tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (0, f"Written to hook-up-trips.{form}\n", "")
    assert (tmp_path / f"hook-up-trips.{form}").read_bytes().startswith(begins)


def test_every_ending_of_a_format_is_known_and_no_other(draw, tmp_path, need):
    need("dot")
    for ending, begins in {
        "SVG": b"<?xml",
        "pdf": b"%PDF-",
        "png": b"\x89PNG",
        "gv": b"strict digraph",
    }.items():
        target = tmp_path / f"tree.{ending}"
        assert draw("hook-up-trips", "-o", str(target)).returncode == 0
        assert target.read_bytes().startswith(begins)
    for name in ("tree.jpg", "tree"):
        done = draw("hook-up-trips", "-o", str(tmp_path / name))
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr == (
            f'the ending of "{name}" names no format: end it in .svg, .pdf, .png, .dot, .gv, .json, '
            "or say which with --format\n"
        )
        assert not (tmp_path / name).exists()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--danger-in-full"], "--danger-in-full goes with --route"),
        (["--format", "json", "--down-to", "2%"], "JSON holds the whole"),
        (["--route", "-o", "route.json", "--danger-in-full"], "JSON holds the whole"),
        (["--format", "json", "--case", "1"], "JSON holds the whole"),
        (["--paper", "a4", "--format", "json"], "--paper makes pages"),
    ],
)
def test_what_would_have_no_effect_is_refused(words, says, draw):
    done = draw("hook-up-trips", *words)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(says)
    assert done.stderr.count("\n") == 1


def test_paper_makes_a_pdf_of_that_size(draw, tmp_path, need):
    """A4 is 210 by 297 mm, A3 297 by 420 mm (ISO 216)."""
    need("dot")
    for paper, long_side in (("a4", 297), ("a3", 420)):
        target = tmp_path / "tree.pdf"
        assert draw("hook-up-trips", "--paper", paper, "-o", str(target)).returncode == 0
        (page,) = PdfReader(target).pages
        assert max(page.mediabox.width, page.mediabox.height) / 72 * 25.4 == pytest.approx(
            long_side, abs=0.01
        )


@pytest.mark.parametrize("other", [["--format", "svg"], ["-o", "tree.png"], ["--format", "json"]])
def test_paper_and_another_format_are_wrong_usage(other, draw):
    done = draw("hook-up-trips", "--paper", "a4", *other)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("--paper makes pages, which is a PDF and no ")


@pytest.mark.parametrize("written", ["10%", "10 %", "0.1", "0,1", ".1", "10.0%"])
def test_a_share_is_read_as_people_write_it(written, draw):
    done = draw("hook-up-trips", "--format", "dot", "--down-to", written)
    assert done.stdout == draw("hook-up-trips", "--format", "dot", "--down-to", "10%").stdout
    assert "rarer causes" in done.stdout.replace("\\n", " ")


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("2", '"2" is all of them or more; write a share as 2% or as 0.02'),
        ("100%", '"100%" is all of them or more'),
        ("-1%", '"-1%" is no share; write it as 2% or as 0.02'),
        ("few", '"few" is no share; write it as 2% or as 0.02'),
        ("nan", '"nan" is no share; write it as 2% or as 0.02'),
    ],
)
def test_what_is_no_share_is_wrong_usage(written, says, draw):
    done = draw("hook-up-trips", f"--down-to={written}")
    assert done.returncode == 2
    assert done.stderr.endswith(f"Error: Invalid value for '--down-to': {says}\n")


def test_a_tree_that_cannot_be_laid_out_in_time_is_folded_and_that_is_said(draw, monkeypatch, need):
    need("dot")
    from diagnose.drawing import rendering

    laid_out = rendering.rendered

    def slow(dot_text, form):
        if "not drawn" not in dot_text.replace("\\n", " "):
            raise rendering.TooMuchToDraw("It took too long")
        return laid_out(dot_text, form)

    monkeypatch.setattr(rendering, "rendered", slow)
    done = draw("hook-up-trips")
    assert done.returncode == 0
    assert "<svg " in done.stdout
    assert done.stderr == (
        "This is too much for one drawing, so what is rarer than 5% was folded. "
        "--down-to 5% draws this at once.\n"
    )


@pytest.fixture
def kept_case(tmp_path):
    """A store with a case of hook-up-trips whose first cause was tried in vain, and its URL and number."""
    from datetime import UTC, datetime

    from diagnose.cases.records import Entry
    from diagnose.cases.store import open_store

    url, now = str(tmp_path / "cases.sqlite"), datetime(2026, 3, 1, tzinfo=UTC)
    with open_store(url) as store:
        case = store.open_case("hook-up-trips", "digest", "owner", "", now)
        store.append(case, Entry(now, "finding", "mains-harmed", "no"))
        store.append(case, Entry(now, "tried", "damp-way-in", "not-cured"))
        store.confirm(case, "post-fault", now)
    return url, case


def test_a_case_is_marked_on_its_fault_tree(kept_case, draw):
    url, case = kept_case
    done = draw("hook-up-trips", "--case", str(case), "--cases", url, "--format", "dot")
    assert (done.returncode, done.stderr) == (0, "")
    plain = " ".join(done.stdout.replace("\\n", " ").split())
    assert "TRIED: no better" in plain
    assert "CONFIRMED: this was it" in plain
    assert " Now " in plain
    own = draw("hook-up-trips", "--case", str(case), "--format", "dot", DIAGNOSE_CASES=url)
    assert (own.returncode, own.stderr) == (0, "")
    assert own.stdout != done.stdout  # the file's own figures: the confirmed case does not count


def test_a_case_of_another_symptom_or_none_is_one_line(kept_case, draw, tmp_path):
    url, case = kept_case
    done = draw("water-pump", "--case", str(case), "--cases", url)
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr == (
        f"case {case} is about hook-up-trips, not water-pump: diagnose draw hook-up-trips --case {case}\n"
    )
    for place in (url, str(tmp_path / "none.sqlite")):
        none = draw("hook-up-trips", "--case", "77", "--cases", place)
        assert (none.returncode, none.stdout) == (1, "")
        assert none.stderr == "there is no case 77; `diagnose cases list` shows those there are\n"
    assert not (tmp_path / "none.sqlite").exists()
