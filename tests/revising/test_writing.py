"""A file is written whole or not at all: permissions, links, changes by others, a shipped tree as a copy."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from diagnose.knowledge.collection import shipped_folder
from diagnose.revising.writing import CannotWrite, difference, open_to_change, save, write_whole

TEXT = "symptom: A lamp is dark\r\nsystem: none # yet\r\n"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "lamp.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.encode())
    path.chmod(0o640)
    return path


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_change_is_written_with_mark_line_ends_and_permissions(file):
    opened = open_to_change(file)
    save(opened, opened.text.replace("dark", "out"))
    assert file.read_bytes() == b"\xef\xbb\xbf" + TEXT.replace("dark", "out").encode()
    assert stat.S_IMODE(file.stat().st_mode) == 0o640
    assert names(file.parent) == ["lamp.yaml"]


def test_a_link_stays_a_link(file):
    link = file.parent / "also.yaml"
    link.symlink_to(file)
    opened = open_to_change(link)
    save(opened, "a: b\n")
    assert link.is_symlink()
    assert file.read_text() == "a: b\n"


def test_what_somebody_else_wrote_meanwhile_is_left(file):
    opened = open_to_change(file)
    file.write_text("symptom: Another\n")
    with pytest.raises(CannotWrite, match="changed by somebody else meanwhile"):
        save(opened, "a: b\n")
    assert file.read_text() == "symptom: Another\n"
    assert names(file.parent) == ["lamp.yaml"]


def test_a_file_that_may_not_be_written_is_refused_before_anything_is_asked(file):
    file.chmod(0o440)
    with pytest.raises(CannotWrite, match="may not be written"):
        open_to_change(file)


def test_a_folder_that_may_not_be_written_is_refused(file):
    file.parent.chmod(0o555)
    try:
        with pytest.raises(CannotWrite, match="nothing may be written in the folder"):
            open_to_change(file)
    finally:
        file.parent.chmod(0o755)


def test_a_write_that_fails_leaves_the_old_file_and_nothing_else(file, monkeypatch):
    opened = open_to_change(file)

    def full(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(CannotWrite, match="No space left on device"):
        save(opened, "a: b\n")
    assert file.read_bytes().endswith(TEXT.encode())
    assert names(file.parent) == ["lamp.yaml"]


def test_a_change_by_somebody_else_at_the_last_moment_is_seen(file, monkeypatch):
    opened = open_to_change(file)

    def meanwhile(handle):
        file.write_text("symptom: Another\n")

    monkeypatch.setattr(os, "fsync", meanwhile)
    with pytest.raises(CannotWrite, match="changed by somebody else meanwhile"):
        save(opened, "a: b\n")
    assert file.read_text() == "symptom: Another\n"
    assert names(file.parent) == ["lamp.yaml"]


WRITES_ON = """
import sys
from pathlib import Path
from diagnose.revising.writing import write_whole
path, turn = Path(sys.argv[1]), 0
while True:
    turn += 1
    write_whole(path, (b"ab"[turn % 2:turn % 2 + 1]) * 300_000)
    if turn == 2:
        print("writing", flush=True)
"""


def test_a_program_killed_in_the_midst_leaves_one_of_both_whole(file):
    for moment in (0.0, 0.003, 0.011):
        child = subprocess.Popen(
            [sys.executable, "-c", WRITES_ON, str(file)],
            stdout=subprocess.PIPE,
            text=True,
            cwd=Path(__file__).resolve().parents[2],
        )
        assert child.stdout is not None
        assert child.stdout.readline() == "writing\n"
        time.sleep(moment)
        child.kill()
        child.wait()
        child.stdout.close()
        assert file.read_bytes() in (b"a" * 300_000, b"b" * 300_000)


def test_a_shipped_tree_is_changed_as_a_copy_of_ones_own(tmp_path):
    shipped = shipped_folder() / "heater-no-fire.yaml"
    before = shipped.read_bytes()
    with pytest.raises(CannotWrite, match="name a folder of your own trees with --trees"):
        open_to_change(shipped)
    older, newer = tmp_path / "older", tmp_path / "newer"
    older.mkdir()
    newer.mkdir()
    opened = open_to_change(shipped, (older, newer))
    save(opened, opened.text + "# mine\n")
    assert opened.copied
    assert shipped.read_bytes() == before
    assert (newer / "heater-no-fire.yaml").read_bytes() == before + b"# mine\n"
    assert names(older) == []
    with pytest.raises(CannotWrite, match="is there already and is left as it is"):
        open_to_change(shipped, (newer,))


def test_a_new_file_is_never_written_over_one_that_appears_meanwhile(tmp_path):
    path = tmp_path / "new.yaml"
    write_whole(path, b"a: b\n", new=True)
    with pytest.raises(CannotWrite, match="is there already"):
        write_whole(path, b"c: d\n", new=True)
    assert path.read_bytes() == b"a: b\n"


def test_the_difference_is_what_the_program_patch_takes(tmp_path):
    path = tmp_path / "lamp.yaml"
    path.write_text("symptom: A lamp is dark\nsystem: none\n")
    opened = open_to_change(path)
    after = opened.text.replace("dark", "out") + "more: 1\n"
    lines = difference(opened, after)
    subprocess.run(
        ["patch", "-s", str(path)], input="\n".join(lines) + "\n", text=True, check=True, cwd=tmp_path
    )
    assert path.read_text() == after
