"""The locker card: one page of HTML or of plain text, whatever stands on the vehicle's card."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from tests.cli.card_of_the_van import CARD


def test_the_locker_card_says_whom_to_call_where_things_are_and_what_is_due(run, card):
    ran = run("card", "print", "van.yaml", "--plain", COLUMNS="40")
    assert (ran.code, ran.err) == (0, "")
    said = " ".join(ran.out.split())
    for text in (
        "THE BLUE VAN",
        "Call 112 or 999.",
        "Gas engineer: 01632 960001.",
        "Heater panel: above the sliding door, ZEBRA.",
        "Gas hose: of May 2015 - DUE.",
        "Carbon-monoxide alarm: ends 31 March 2015 - DUE.",
        "Heater fuel: Gas.",
        "This does not certify that the vehicle is safe.",
    ):
        assert text in said
    assert "cannot" not in said.lower()
    assert "0.4" not in said
    assert max(map(len, ran.out.splitlines())) <= 40


def test_tyres_are_told_in_the_units_of_the_country(run, card):
    card.write_text("country: uk\ntyres: {rear: {pressure: 4.5 bar, load: 1650 kg}}\n", encoding="utf-8")
    # 4.5 bar is 65.27 psi: 1 bar is 14.5038 psi (by the exact definitions of pound and inch).
    assert "Rear: 65 psi (4.5 bar), weighed 1650 kg." in run("card", "print", "van.yaml", "--plain").out
    card.write_text("country: de\ntyres: {rear: {pressure: 4.5 bar, load: 1650 kg}}\n", encoding="utf-8")
    assert "Rear: 4.5 bar (65 psi), weighed 1650 kg." in run("card", "print", "van.yaml", "--plain").out


class Page(HTMLParser):
    """The elements of a page and its text."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.attributes, self.texts = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [(tag, *each) for each in attrs]

    def handle_data(self, data):
        self.texts.append(data)


ALLOWED = {
    *("html", "head", "meta", "title", "style", "body", "footer"),
    *("h1", "h2", "section", "p", "b", "strong"),
}


def test_whatever_stands_on_a_card_is_text_on_the_page_and_never_markup(run, card):
    nasty = "<script>alert(1)</script><img src=x onerror=alert(1)>\\\"'&amp; {0} {title}"
    card.write_text(f'label: "</title><script>x</script>"\nwhere: {{flue: "{nasty}"}}\n', encoding="utf-8")
    ran = run("card", "print", "van.yaml")
    assert ran.code == 0
    page = Page(ran.out)
    assert set(page.tags) <= ALLOWED
    assert "alert(1)" in "".join(page.texts)
    assert "{0} {title}" in "".join(page.texts)
    assert not [each for each in page.attributes if each[1].startswith("on") or each[1] in ("src", "href")]
    assert "default-src 'none'" in ran.out


def test_the_page_fetches_nothing_and_is_one_sheet_of_a4(run, card, tmp_path):
    ran = run("card", "print", "van.yaml", "-o", "locker.html")
    assert (ran.code, ran.out, ran.err) == (0, "", "")
    text = (tmp_path / "locker.html").read_text(encoding="utf-8")
    assert "size: A4 portrait" in text
    assert not re.search(r"https?:|url\(|@import|<script|<link", text)
    size = re.search(r"font: (\d+)pt", text)
    assert size is not None
    assert int(size[1]) >= 16


def test_the_card_itself_is_not_written_over_by_its_page(run, card):
    ran = run("card", "print", "van.yaml", "-o", "./van.yaml")
    assert (ran.code, ran.out) == (2, "")
    assert card.read_text(encoding="utf-8") == CARD


@pytest.fixture
def full(tmp_path):
    """A card with more on it than one page can hold, of whatever parts the trees name."""
    from diagnose.knowledge.card_words import CardWords
    from diagnose.knowledge.collection import Library

    place = "behind the third flap from the left, under the long seat, look for the red tape around it"
    lines = [f"  {part}: {place}" for part in CardWords(Library()).parts]
    text = CARD.replace("  heater-panel: above the sliding door, ZEBRA", "\n".join(lines))
    path = tmp_path / "full.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_what_has_no_room_on_the_page_is_counted_there_and_told(run, full, tmp_path):
    ran = run("card", "print", "full.yaml", "-o", "locker.html")
    assert (ran.code, ran.out) == (0, "")
    assert re.fullmatch(
        r'No room on one page for: \d+ under "Where it is", 2 under "What it has"\. See the card itself\.\n',
        ran.err,
    )
    text = (tmp_path / "locker.html").read_text(encoding="utf-8")
    assert "font: 12pt" in text
    assert "No room here for: " in text
    for kept in ("01632 960001", "Call 112 or 999.", "Gas hose:", "This does not certify"):
        assert kept in text


def test_as_plain_text_it_is_one_page_as_well(run, full):
    ran = run("card", "print", "full.yaml", "--plain")
    assert ran.code == 0
    assert len(ran.out.splitlines()) <= 60
    assert "No room on one page for: " in ran.err
    assert "DUE." in ran.out
    # A narrow screen says the same, in more lines.
    narrow = run("card", "print", "full.yaml", "--plain", COLUMNS="40")
    assert narrow.out.split() == ran.out.split()


def test_a_card_with_escapes_in_it_is_refused_and_none_reaches_the_terminal(run, card):
    card.write_bytes(b"label: \"a\\u001b]0;x\\u0007\"\nwhere:\n  flue: 'a\x1b[2J'\n")
    for arguments in (
        ("card", "print", "van.yaml", "--plain"),
        ("walk", "heater-no-fire", "--vehicle", "van.yaml"),
    ):
        ran = run(*arguments)
        assert ran.code == 1
        assert "\x1b" not in ran.out + ran.err
        assert "\x07" not in ran.out + ran.err
