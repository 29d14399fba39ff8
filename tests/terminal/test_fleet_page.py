"""A fleet's page at a terminal: every line fits, and names from a card cannot break it."""

import pytest

from diagnose.rounds.fleet import FleetVehicle, fleet_of
from diagnose.rounds.fleet_chance import Assumptions, Work, forecast
from diagnose.rounds.fleet_needs import Errand, OpenWalk, Part
from diagnose.rounds.fleet_walks import WalkAhead
from diagnose.terminal.fleet_page import fleet_page
from diagnose.terminal.wrapping import display_width
from tests.rounds.fleets import TODAY, day

LONG = "the long one with a name of sixty characters, as long as any"


def made_up():
    gas = Errand("gas-engineer", "gas-hose", "gas hose", "date over", 20)
    walk = OpenWalk("water-pump", "The water pump does not run", "w12-fill", 12, WalkAhead(93.4, 60))
    return fleet_of(
        "wake-up",
        "",
        TODAY,
        [
            FleetVehicle(name="van 10", file="", verdict="ready", tasks=19),
            FleetVehicle(
                name="van 9",
                file="",
                verdict="not-ready",
                tasks=19,
                left=("w4-tyres", "w5-brakes"),
                round_minutes=33,
                walks=(walk,),
                errands=(gas,),
                parts=(Part("gas hose for the gas engineer to fit", "w14-gas", True),),
            ),
            FleetVehicle(
                name=LONG,
                file="",
                verdict="limited",
                tasks=19,
                errands=(gas,),
                parts=(Part("bulbs", "j4", False),),
            ),
        ],
        ("van 3",),
    )


def test_a_fleet_reads_as_a_table_with_what_each_waits_for():
    lines = fleet_page(made_up(), None, 80).splitlines()
    assert lines[:2] == [
        "Wake-up: 3 vehicles, 2026-11-29",
        "1 ready, 1 limited, 1 not ready. 126 minutes of work left in all.",
    ]
    assert lines[2] == "On this round in the store, and without a card here: van 3."
    at = lines.index("VEHICLES")
    assert lines[at + 1 : at + 11] == [
        "VEHICLE                   VERDICT        DONE  MINUTES",
        "van 10                    ready      19 of 19        0",
        "  - nothing left to do",
        LONG,
        "                          limited    19 of 19        0",
        "  - gas engineer: gas hose",
        "van 9                     NOT READY  17 of 19      126",
        "  - walk of case 12: The water pump does not run, 93 minutes",
        "  - gas engineer: gas hose",
        "  - to buy: gas hose for the gas engineer to fit",
    ]
    assert "Gas engineer: 2 vehicles, about 40 minutes there" in lines
    assert "  - bulbs: perhaps 1 for the long one with a name of sixty characters, as long" in lines


@pytest.mark.parametrize("width", [40, 80])
def test_every_line_fits_and_nothing_is_called_safe(width):
    fleet = made_up()
    told = forecast(fleet, [Work(each.name) for each in fleet.vehicles], day(10), Assumptions(runs=50))
    page = fleet_page(fleet, told, width)
    assert max(map(display_width, page.splitlines())) <= width
    assert "does not certify" in page
    assert page.lower().count("safe") == 1


def test_an_empty_part_says_so():
    page = fleet_page(fleet_of("lay-up", "", TODAY, []), None, 80)
    assert "Nobody has to be called for what is known so far." in page
    assert "Nothing has to be bought for what is known so far." in page
    assert "No date on the cards is over." in page
