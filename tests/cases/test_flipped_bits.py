"""A store in which one bit was flipped: refused with its bytes as they were, or read; never a traceback.

Not every flipped bit can be seen: the file has no checksums, and a letter that is changed in an answer
makes another answer. What the structure of the file, the store's own marks or the sums tell is told.
"""

from __future__ import annotations

import random
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

import pytest

from diagnose.cases.checking import differences, integrity, journals_of_wrong_length
from diagnose.cases.refusals import StoreDamaged, StoreRefused
from diagnose.cases.store import open_store
from tests.cases.at_one_store import confirmed

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    path = tmp_path_factory.mktemp("whole") / "cases.sqlite"
    with open_store(str(path)) as store:
        confirmed(store, "abcde", "van 7")
    return path.read_bytes()


def told_of(path: Path) -> str:
    """What opening and checking the store says."""
    before = path.read_bytes()
    try:
        store = open_store(str(path))
    except StoreRefused:
        assert path.read_bytes() == before
        assert sorted(each.name for each in path.parent.iterdir()) == [path.name]
        return "refused"
    with store:
        try:
            with store.reading() as connection:
                found = differences(connection), journals_of_wrong_length(connection)
            found += (integrity(store),)
            store.cases()
            store.tally("hob", NOON)
        except StoreDamaged:
            return "found damaged"
    return "checked" if any(found) else "nothing"


def flipped(whole: bytes, at: int, bit: int) -> bytes:
    return whole[:at] + bytes([whole[at] ^ (1 << bit)]) + whole[at + 1 :]


@pytest.fixture(autouse=True)
def _looks_again_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("diagnose.cases.judging._SOON", (0.0, 0.0))


def outcomes(whole: bytes, tmp_path: Path, places: list[int], seed: int) -> Counter[str]:
    chance = random.Random(seed)
    told: Counter[str] = Counter()
    for number, at in enumerate(places):
        folder = tmp_path / str(number)
        folder.mkdir()
        (folder / "cases.sqlite").write_bytes(flipped(whole, at, chance.randrange(8)))
        told[told_of(folder / "cases.sqlite")] += 1
    return told


def test_a_bit_flipped_in_the_marks_of_the_file_is_refused(whole: bytes, tmp_path: Path) -> None:
    # SQLite's file format, section 1.3: magic text, page size, payload fractions; then this program's own
    # version and mark.
    marks = [0, 7, 15, 16, 17, 21, 22, 23, *range(60, 64), *range(68, 72)]
    assert outcomes(whole, tmp_path, marks, seed=1) == {"refused": len(marks)}


def test_a_bit_flipped_in_the_order_of_a_page_is_told(whole: bytes, tmp_path: Path) -> None:
    # The first bytes of each page: its kind, and how many rows it has (section 1.6).
    places = [page * 4096 + byte for page in range(1, len(whole) // 4096) for byte in (0, 3, 4)]
    told = outcomes(whole, tmp_path, places, seed=2)
    assert told["nothing"] == 0
    assert told["refused"] > len(places) * 0.9


@pytest.mark.parametrize("text", [b"hob", b"flame", b"CREATE TABLE entries", b"yes"])
def test_what_is_no_text_any_more_is_told_as_damage(whole: bytes, tmp_path: Path, text: bytes) -> None:
    # UTF-8 knows no byte 0xff; SQLite's own complaint may quote it.
    (tmp_path / "cases.sqlite").write_bytes(whole.replace(text, b"\xff" + text[1:]))
    assert told_of(tmp_path / "cases.sqlite") in ("refused", "found damaged")


def test_a_bit_flipped_anywhere_ends_in_words_or_is_read(whole: bytes, tmp_path: Path) -> None:
    used = [at for at, byte in enumerate(whole) if byte]
    told = outcomes(whole, tmp_path, random.Random(3).sample(used, 32), seed=3)
    assert sum(told.values()) == 32
    assert told["refused"] + told["found damaged"] + told["checked"] > 8
