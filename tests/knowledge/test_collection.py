"""Trees by id: the shipped ones, those of one's own folders before them, and what an unknown word gets."""

from __future__ import annotations

import shutil

import pytest

from diagnose.knowledge import collection
from diagnose.knowledge.collection import Heading, Library, UnknownSymptom, shipped_folder
from diagnose.terms import FlawedKnowledge, WrongUsage


@pytest.fixture
def own(tmp_path, tree_text):
    """A folder of one's own with one tree."""
    folder = tmp_path / "own"
    folder.mkdir()
    (folder / "heater-cold.yaml").write_text(tree_text("heater-cold"), encoding="utf-8")
    return folder


def test_every_shipped_tree_loads_without_advice():
    shelf = Library()
    assert len(shelf.ids()) >= 6
    for id in shelf.ids():
        tree = shelf.tree(id)
        assert tree.shipped
        assert [str(advice) for advice in tree.advice] == []


def test_own_folders_win_and_the_last_wins_over_the_first(own, tmp_path):
    other = tmp_path / "other"
    shutil.copytree(own, other)
    text = (own / "heater-cold.yaml").read_text(encoding="utf-8")
    (other / "heater-cold.yaml").write_text(text.replace("stays cold", "is icy"), encoding="utf-8")
    (other / "water-pump.yaml").write_text(text, encoding="utf-8")
    shelf = Library([own, other])
    assert shelf.ids() == tuple(sorted({*Library().ids(), "heater-cold"}))
    assert shelf.tree("heater-cold").symptom == "The heater is icy"
    assert shelf.path_of("water-pump") == other / "water-pump.yaml"
    assert not shelf.tree("water-pump").shipped
    assert Library([other, own]).tree("heater-cold").symptom == "The heater stays cold"


def test_the_common_files_are_the_shipped_ones_whatever_a_folder_holds(own):
    (own / "common").mkdir()
    (own / "common" / "hazards.yaml").write_text("gas: {says: Harmless}\n", encoding="utf-8")
    assert Library([own]).common() == Library().common()


def test_a_path_stands_wherever_an_id_does(own, monkeypatch):
    monkeypatch.chdir(own)
    for word in ("heater-cold.yaml", "./heater-cold.yaml", str(own / "heater-cold.yaml")):
        tree = Library().tree(word)
        assert (tree.id, tree.file, tree.shipped) == ("heater-cold", "heater-cold.yaml", False)


def test_a_remedy_may_see_any_tree_at_hand(own):
    path = own / "heater-cold.yaml"
    text = path.read_text(encoding="utf-8").replace("accept: {see-unknown: the other tree comes later}\n", "")
    path.write_text(text.replace("leisure-battery-weak", "water-pump"), encoding="utf-8")
    assert Library([own]).tree("heater-cold").advice == ()
    path.write_text(text.replace("leisure-battery-weak", "nobody-wrote-this"), encoding="utf-8")
    assert [advice.name for advice in Library([own]).tree("heater-cold").advice] == ["see-unknown"]


def test_an_unknown_symptom_names_the_three_nearest():
    with pytest.raises(UnknownSymptom) as refused:
        Library().tree("water-pumb")
    assert len(refused.value.nearest) == 3
    assert refused.value.nearest[0] == "water-pump"
    assert str(refused.value) == (
        'there is no symptom "water-pumb"; the nearest are '
        f"{', '.join(refused.value.nearest)} (diagnose symptoms lists all)"
    )
    assert refused.value.exit_code == 1


def test_a_path_that_leads_nowhere_is_told():
    with pytest.raises(FlawedKnowledge, match=r"^no/such\.yaml:1:1: there is no such file$"):
        Library().tree("no/such.yaml")


def test_a_folder_that_is_not_there_is_wrong_usage(tmp_path):
    with pytest.raises(WrongUsage, match="there is no folder"):
        Library([tmp_path / "none"])


def test_headings_are_those_of_the_trees_read_whole(own):
    shelf = Library([own])
    for heading in shelf.headings():
        tree = shelf.tree(heading.id)
        assert heading == Heading(tree.id, tree.symptom, tree.also_said, tree.system, tree.shipped)


@pytest.mark.parametrize(
    "text",
    [
        "{system: heating, also_said: [x, 'y: z'], symptom: It is odd}\n",
        "\ufeff# a\r\nsymptom: >-\r\n  It is\r\n  odd\r\nfaults: [\r\n"
        "also_said:\r\n- x\r\n- 'y: z'\r\nsystem: heating\r\n",
        "system: heating\nsymptom: 'It\n  is odd'\nalso_said:\n  - x\n  # one more\n  - 'y: z'\nchecks: {}\n",
    ],
)
def test_headings_are_read_from_any_layout(tmp_path, text):
    (tmp_path / "odd.yaml").write_bytes(text.encode())
    heading = next(one for one in Library([tmp_path]).headings() if one.id == "odd")
    assert heading == Heading("odd", "It is odd", ("x", "y: z"), "heating", False)


def test_the_heading_of_a_broken_file_is_its_name(tmp_path):
    (tmp_path / "no-warm-air.yaml").write_bytes(b"\xff\xfe")
    (tmp_path / "empty.yaml").write_bytes(b"")
    (tmp_path / "Not An Id.yaml").write_bytes(b"symptom: x")
    found = [one for one in Library([tmp_path]).headings() if not one.shipped]
    assert found == [
        Heading("empty", "empty", (), "", False),
        Heading("no-warm-air", "no warm air", (), "", False),
    ]


def test_headings_parse_only_the_heads(monkeypatch):
    lengths = []
    whole = collection.compose

    def measured(text, file):
        lengths.append(len(text))
        return whole(text, file)

    monkeypatch.setattr(collection, "compose", measured)
    Library().headings()
    assert lengths
    assert max(lengths) < 1500


def test_the_shipped_folder_is_the_packages_own_where_it_has_one(tmp_path, monkeypatch):
    assert shipped_folder().name == "trees"
    module = tmp_path / "diagnose" / "knowledge" / "collection.py"
    (tmp_path / "diagnose" / "_trees").mkdir(parents=True)
    monkeypatch.setattr(collection, "__file__", str(module))
    assert shipped_folder() == (tmp_path / "diagnose" / "_trees").resolve()
