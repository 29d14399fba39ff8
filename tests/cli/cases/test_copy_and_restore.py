"""`diagnose cases copy` and `restore`, and what a damaged store says of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.cases.store import open_store
from tests.cli.cases.step_stuck import NOON, Said


def test_a_copy_is_made_and_put_back(place: Path, said: Said) -> None:
    copy, store = place / "copy.sqlite", place / "cases.sqlite"
    assert said("cases", "copy", "-o", str(copy)) == (
        0,
        f"The store is copied to {copy}\nTo put it back: diagnose cases restore {copy}\n",
        "",
    )
    store.write_bytes(store.read_bytes()[:5000])
    code, out, err = said("cases", "list")
    assert (code, out) == (1, "")
    assert err == (
        f"the case store {store} is damaged; it was left as it is; to put back a copy: "
        f"diagnose cases restore COPY --cases {store}\n"
    )
    # The command of the refusal, word for word, with the copy's name.
    words = err.split("diagnose ")[1].replace("COPY", str(copy)).split()
    assert said(*words) == (
        0,
        f"The copy is put back as {store}\nWhat stood there is kept as {store}.before-1\n",
        "",
    )
    with open_store(str(store)) as opened:
        assert len(opened.cases()) == 2


def test_a_store_whose_name_needs_quoting_is_named_as_a_shell_wants_it(
    place: Path, said: Said, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(place)
    monkeypatch.delenv("DIAGNOSE_CASES")
    Path("my cases.sqlite").write_bytes(Path("cases.sqlite").read_bytes()[:5000])
    assert said("cases", "list", "--cases", "my cases.sqlite")[2].endswith(
        "to put back a copy: diagnose cases restore COPY --cases 'my cases.sqlite'\n"
    )
    assert said("cases", "copy", "-o", "c.sqlite", "--cases", "cases.sqlite")[1].endswith(
        "\nTo put it back: diagnose cases restore c.sqlite --cases cases.sqlite\n"
    )


def test_a_copy_to_go_on_with(place: Path, said: Said) -> None:
    copy = place / "branch.sqlite"
    assert said("cases", "copy", "-o", str(copy), "--new-origin") == (
        0,
        f"The store is copied to {copy}\n"
        "It is a store of its own now; cases that both hold count twice where both are merged.\n",
        "",
    )
    with open_store(str(copy)) as opened, open_store(str(place / "cases.sqlite")) as store:
        assert opened.origin != store.origin
        opened.confirm(1, "grit", NOON)


def test_what_cannot_be_done_is_told(place: Path, said: Said) -> None:
    missing = place / "none.sqlite"
    assert said("cases", "copy", "-o", str(place / "c.sqlite"), "--cases", str(missing)) == (
        1,
        "",
        f"there is no case store {missing} yet; nothing was copied\n",
    )
    assert said("cases", "restore", str(missing)) == (
        1,
        "",
        f"there is no file {missing}; nothing was put back\n",
    )
    assert said("cases", "copy")[0] == 2
    assert said("cases", "restore")[0] == 2
