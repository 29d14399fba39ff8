"""A fleet's printed page: the same words as on the screen, whatever stands on a card shown as text."""

from io import BytesIO

import pypdf
import pytest

from diagnose.drawing.fleet_pdf import fleet_pdf
from diagnose.rounds.fleet import FleetVehicle, fleet_of
from diagnose.rounds.fleet_needs import Errand
from diagnose.rounds.fleet_statements import CLOSING, waits
from tests.rounds.fleets import TODAY

HOSE = Errand("gas-engineer", "gas-hose", "gas hose", "date over", 20)


def fleet(number, name="van {}"):
    return fleet_of(
        "wake-up",
        "",
        TODAY,
        [
            FleetVehicle(name=name.format(n), file="", verdict="not-ready", tasks=19, errands=(HOSE,))
            for n in range(1, number + 1)
        ],
    )


def pages(made):
    return [page.extract_text() for page in pypdf.PdfReader(BytesIO(made)).pages]


def test_a_small_fleet_stands_on_one_page_of_a4():
    made = fleet_pdf(fleet(8), None)
    (page,) = pypdf.PdfReader(BytesIO(made)).pages
    assert (round(page.mediabox.width), round(page.mediabox.height)) == (595, 842)  # ISO 216 in points
    text = " ".join(page.extract_text().split())
    assert "Wake-up: 8 vehicles, 2026-11-29" in text
    assert "Gas engineer: 8 vehicles, about 160 minutes there" in text
    assert waits(fleet(1).vehicles[0])[0] in text
    assert all(sentence in text for sentence in CLOSING)
    assert made == fleet_pdf(fleet(8), None)


@pytest.mark.long
def test_a_large_fleet_takes_pages_and_repeats_what_the_columns_are():
    told = pages(fleet_pdf(fleet(120), None))
    assert len(told) > 3
    assert "Verdict" not in told[0]
    assert "Verdict" in told[1]
    assert "Verdict" in told[2]
    assert f"{len(told)} of {len(told)}" in told[-1]


@pytest.mark.parametrize(("number", "brief"), [(12, False), (13, True)])
def test_what_decides_stands_on_the_first_page_where_one_does_not_hold_it_all(number, brief):
    first, *behind = pages(fleet_pdf(fleet(number), None))
    assert bool(behind) == brief
    text = " ".join(first.split())
    assert ("The least left van 1, 0 minutes van 2, 0 minutes van 3, 0 minutes van 4" in text) == brief
    assert f"Gas engineer: {number} vehicles, about {20 * number} minutes there" in text
    assert ("van 11" in text) != brief
    assert all(sentence in text for sentence in CLOSING)


def test_markup_in_a_name_is_text():
    name = '#strong[x] $a$ <b> "q" {}'
    assert '#strong[x] $a$ <b> "q" 1' in " ".join(pages(fleet_pdf(fleet(1, name), None))[0].split())
