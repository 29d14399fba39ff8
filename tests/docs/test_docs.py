"""The documents are run: each command in a `console` block, with its output compared line by line.

In a block a line `$ ...` is a command, the lines below it are what it prints. Lines that begin with `> ` are
typed by the reader and are fed to it. A line `...` stands for any number of lines. Dates, times and the codes
of cases are not compared. Blocks of one file run after each other in one folder, with a store and settings of
their own.

`RECORD_DOCS=1 pytest tests/docs` writes the output anew, where no line `...` stands in it.
"""

from __future__ import annotations

import os
import re
import sys
from collections import Counter
from functools import cache
from itertools import pairwise
from pathlib import Path
from urllib.parse import unquote

import pytest
from markdown_it import MarkdownIt

from diagnose.cli import COMMANDS
from diagnose.knowledge.collection import Library
from tests.docs.running import by_the_shell, way_to_run

CHECKOUT = Path(__file__).resolve().parent.parent.parent
FILES = [CHECKOUT / "README.md", CHECKOUT / "DEVELOPERS.md", *sorted((CHECKOUT / "docs").glob("*.md"))]
NAMES = [str(path.relative_to(CHECKOUT)) for path in FILES]
SLOW = (
    "extending",
    "fleet",
    "import",
    "phone-page",
    "practise",
    "replay",
    "round",
    "score",
    "sheet",
    "technician",
    "trainer",
    "translations",
    "tree-report",
    "trends",
    "vehicle-card",
)
"""Documents whose commands take seconds: they are run with the long tests."""
ELSEWHERE = [path for path in FILES if path.stem in SLOW][::2]
"""Run by a test file of their own, so that two processes share what takes long."""
HERE = [path for path in FILES if path not in ELSEWHERE]
FENCE = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
CHANGING = [
    (re.compile(r"\d{4}-\d\d-\d\d(T[0-9:.]+Z)?"), "DATE"),
    (re.compile(r"\b\d\d:\d\d\b( UTC)?"), "TIME"),
    (re.compile(r"\b[0-9a-f]{64}\b"), "DIGEST"),
    (re.compile(r"\b[0-8FMRW]{4}(-[0-8FMRW]{4}){3,}\b"), "CODE"),
    (re.compile(r"\bbegun in [A-Z][a-z]+ \d{4}\b"), "begun in MONTH"),
    (re.compile(r"\bthe store [0-9a-f]{4}\b"), "the store ORIGIN"),
    (re.compile(r"\b[0-9a-f]{16}\b"), "ORIGIN"),
    (re.compile(r'(?<=",)\d{4}(?=,")'), "YEAR"),
]


def fenced(path, kind):
    """The blocks of one kind in a document, in order."""
    return [text for found, text in FENCE.findall(path.read_text(encoding="utf-8")) if found == kind]


def runs(block):
    """Each command of a block with the output that the document shows for it."""
    for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        command, _, output = part.partition("\n")
        yield command, output


def said_by_reader(output):
    """What the reader types, a line each."""
    return "".join(line[2:] + "\n" for line in output.splitlines() if line.startswith("> "))


def steady(text):
    """The text without trailing blanks and without what differs each time."""
    lines = "\n".join(line.rstrip() for line in text.strip("\n").splitlines())
    for pattern, word in CHANGING:
        lines = pattern.sub(word, lines)
    return lines


def agrees(shown, printed):
    """Whether the output is what the document shows; `...` stands for any number of lines."""
    lines = steady(shown).split("\n")
    pattern = "".join(r"(?:.*\n)*" if line == "..." else re.escape(line) + r"\n" for line in lines)
    return re.fullmatch(pattern, steady(printed) + "\n") is not None


@cache
def tokens(path):
    """A document as CommonMark, with tables, by a parser of its own (markdown-it)."""
    return MarkdownIt("commonmark").enable("table").parse(path.read_text(encoding="utf-8"))


def links(path):
    """Every link to a file of the project: the file, and the heading that it leads to."""
    inline = [child for token in tokens(path) for child in token.children or ()]
    for href in (unquote(token.attrs["href"]) for token in inline if token.type == "link_open"):
        if "://" not in href:
            file, _, anchor = href.partition("#")
            yield (path.parent / file).resolve() if file else path, anchor


@cache
def anchors(path):
    """What a document's headings are called in links on GitHub: small letters, no signs, hyphens for spaces.

    A second heading of one name ends in -1, and so on. (From memory; GitHub does not lay the rule down.)
    """
    found = Counter()
    names = set()
    for heading, words in pairwise(tokens(path)):
        if heading.type == "heading_open":
            text = "".join(each.content for each in words.children)
            name = re.sub(r"[^\w\- ]", "", text.lower()).replace(" ", "-")
            names.add(f"{name}-{found[name]}" if found[name] else name)
            found[name] += 1
    return names


@pytest.fixture
def place(tmp_path):
    """A folder in which the commands run, and the environment in which they do."""
    programs = tmp_path / "programs"
    programs.mkdir()
    for name, what in (("diagnose", "-m diagnose "), ("python", "")):
        shim = programs / name
        shim.write_text(f'#!/bin/sh\nexec "{sys.executable}" {what}"$@"\n', encoding="utf-8")
        shim.chmod(0o755)
    work = tmp_path / "work"
    work.mkdir()
    (work / "trees").symlink_to(CHECKOUT / "trees")
    (work / "docs").symlink_to(CHECKOUT / "docs")
    environment = {name: value for name, value in os.environ.items() if not name.startswith("DIAGNOSE_")}
    environment |= {
        "PATH": f"{programs}{os.pathsep}{os.environ['PATH']}",
        "PYTHONPATH": str(CHECKOUT),
        "XDG_DATA_HOME": str(tmp_path / "data"),
        "XDG_CONFIG_HOME": str(tmp_path / "config"),
        "DIAGNOSE_CACHE": os.environ["ROUTES_OF_THIS_RUN"],
        "HOME": str(tmp_path),
        "COLUMNS": "80",
        "TZ": "UTC",
    }
    return work, environment


def _run_when(path):
    return pytest.param(path, marks=pytest.mark.long) if path.stem in SLOW else path


@pytest.mark.parametrize("path", map(_run_when, HERE), ids=lambda path: str(path.relative_to(CHECKOUT)))
def test_each_command_prints_what_the_document_shows(path, place, need):
    prints_what_it_shows(path, place, need)


def prints_what_it_shows(path, place, need):
    """Runs the commands of a document; writes their output into it where RECORD_DOCS is set."""
    need("dot")
    text = path.read_text(encoding="utf-8")
    for block in fenced(path, "console"):
        for command, shown in runs(block):
            run = by_the_shell if path.name == "README.md" else way_to_run(command)
            printed = run(command, said_by_reader(shown), *place)
            if agrees(shown, printed):
                continue
            if os.environ.get("RECORD_DOCS") and not re.search(r"^\.\.\.$", shown, re.MULTILINE):
                clean = "\n".join(line.rstrip() for line in printed.strip("\n").splitlines())
                told = f"{clean}\n" if clean else ""
                text = text.replace(f"$ {command}\n{shown}", f"$ {command}\n{told}", 1)
            else:
                pytest.fail(f"the document shows something else than\n$ {command}\n{printed}")
    if os.environ.get("RECORD_DOCS"):
        path.write_text(text, encoding="utf-8")


def test_every_command_is_told_of_in_the_documents():
    told = "\n".join(path.read_text(encoding="utf-8") for path in FILES)
    for command in COMMANDS:
        assert f"diagnose {command}" in told, command


def test_every_setting_of_the_environment_is_told_of_in_the_readme():
    named = set()
    for source in (CHECKOUT / "diagnose").rglob("*.py"):
        named |= set(re.findall(r"\bDIAGNOSE_[A-Z]+\b", source.read_text(encoding="utf-8")))
    assert named
    readme = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    assert {name for name in named if name not in readme} == set()


@pytest.mark.parametrize("path", FILES, ids=NAMES)
def test_every_tree_in_the_documents_loads_without_a_flaw(path, tmp_path):
    for number, text in enumerate(block for block in fenced(path, "yaml") if block.startswith("symptom:")):
        file = tmp_path / f"shown-{number}.yaml"
        file.write_text(text, encoding="utf-8")
        assert Library().tree(str(file)).causes()


@pytest.mark.parametrize("path", FILES, ids=NAMES)
def test_every_link_within_the_project_leads_somewhere(path):
    for target, anchor in links(path):
        assert target.exists(), target
        assert not anchor or anchor in anchors(target), f"{target.name}#{anchor}"


def test_every_document_is_reached_from_the_readme_by_links():
    reached, waiting = {FILES[0]}, [FILES[0]]
    while waiting:
        pages = {target for target, _ in links(waiting.pop()) if target.suffix == ".md"}
        waiting += pages - reached
        reached |= pages
    assert sorted(set(NAMES) - {str(path.relative_to(CHECKOUT)) for path in reached}) == []


def test_an_elision_stands_for_any_number_of_lines_and_nothing_else_does():
    assert agrees("one\n...\nfour\n", "one\ntwo\nthree\nfour\n")
    assert agrees("one\n...\nfour\n", "one\nfour\n")
    assert not agrees("one\n...\nfour\n", "one\ntwo\n")
    assert not agrees("one\nfour\n", "one\ntwo\nfour\n")
    assert agrees("on 2026-01-02 at 10:00", "on 2031-12-31 at 23:59")
