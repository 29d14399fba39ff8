"""Every danger of the trade, tree by tree, and whom it leads to.

These lists are the tests' own and are not read off the trees or off the program's ear for danger. What is
dangerous, and whose it is, is common practice, no source; the project's own list of dangers says the same.
"""

from __future__ import annotations

GAS = {"gas-engineer", "gas-escape", "co-suspected"}
CO = {"co-suspected"}
ESCAPE = {"gas-escape"}
MAINS = {"electrician", "mains-danger"}
LIVE = {"mains-danger"}
BATTERY = {"auto-electrician", "mains-danger"}
ROAD = {"recovery"}
WORKSHOP = {"workshop", "co-suspected", "gas-escape", "recovery"}
AMMONIA = WORKSHOP | {"ammonia-escape"}
"""Whom a danger leads to: the one that the trade names, or a firmer one."""

DANGERS = [
    # tree, words that stand in the question or the answer, whom it leads to
    ("engine-no-crank", "lithium, 24 v", BATTERY),
    ("engine-no-crank", "colder than -5", BATTERY),
    ("engine-no-crank", "smoke, sparks", BATTERY),
    ("engine-no-start", "smell of fuel", WORKSHOP),
    ("engine-no-start", "drip", WORKSHOP),
    ("heater-no-fire", "lay-up cover, tried with it on", CO),
    ("heater-no-fire", "nest, web, soot, dent, loose pipe", GAS),
    ("heater-no-fire", "bang, smoke, soot, smell", CO),
    ("heater-no-fire", "yellow, sooty", GAS),
    ("heater-no-fire", "cut-off, again, knock, hose is harmed", GAS),
    ("hook-up-trips", "polarity lamp, wrong", MAINS),
    ("hook-up-trips", "plug, brown, melted, burnt", MAINS),
    ("hook-up-trips", "lead, gnawed", MAINS),
    ("water-heater-no-fire", "lay-up cover, tried with it on", CO),
    ("water-heater-no-fire", "nest, web, soot, dent, loose", GAS),
    ("water-heater-no-fire", "yellow, sooty", GAS),
    ("water-heater-no-fire", "fired while it was empty", GAS),
    ("wet-heating-cold", "lay-up cover, tried with it on", CO),
    ("wet-heating-cold", "nest, web, soot", GAS),
    ("hob-goes-out", "yellow, sooty", GAS),
    ("hob-goes-out", "flame had gone out, hissing", ESCAPE),
    ("gas-gone", "gauge, fall, every gas appliance off", ESCAPE),
    ("gas-gone", "gas gone, nobody was burning", ESCAPE),
    ("gas-gone", "cut-off, again, knock, hose is harmed", GAS),
    ("gas-gone", "hose, crack, kink", GAS),
    ("absorption-fridge", "sharp smell", AMMONIA),
    ("absorption-fridge", "run on gas, winter cover", CO),
    ("absorption-fridge", "yellow or sooty", GAS),
    ("leak-inside", "water near a socket, charger, fuse box", LIVE),
    ("damp-musty", "water near a socket, charger, fuse box", LIVE),
    ("wet-after-washing", "water near a socket, charger, fuse box", LIVE),
    ("wet-after-washing", "fridge, vents, jet", GAS),
    ("wet-after-washing", "behind the fridge", GAS),
    ("water-pump", "near a socket, charger, fuse box", LIVE),
    ("toilet-no-flush", "near a socket, charger, fuse box", LIVE),
    ("frost-valve-opens", "near a socket, charger, fuse box", LIVE),
    ("no-hot-water", "cover, tried with it on", CO),
    ("tyres-soft-old", "cord", ROAD),
    ("tyres-soft-old", "bulge", ROAD),
    ("tyres-soft-old", "split", ROAD),
    ("tyres-soft-old", "nail in the side", ROAD),
    ("brakes-drag", "no chocks, creeps", ROAD),
    ("brakes-drag", "pedal that sinks", ROAD),
    ("alarm-sounded-earlier", "full alarm", GAS),
    ("alarm-sounded-earlier", "stain, flue", CO),
    ("alarm-sounded-earlier", "rotten eggs", BATTERY),
    ("lights-dim", "melted, smell burnt", BATTERY),
    ("habitation-dead", "melted, clamp", BATTERY),
    ("habitation-dead", "trips, buzzes, smells burnt", MAINS),
    ("leisure-battery-weak", "colder than -5", BATTERY),
    ("leisure-battery-weak", "24 v, cannot be read", BATTERY),
    ("compressor-fridge", "hiss, smell sharp", WORKSHOP),
    ("mouse-signs", "gas hose, gnawed", GAS),
    ("mouse-signs", "mains, sheath, gnawed", MAINS),
    ("mouse-signs", "engine belt, brake line, chewed", ROAD),
    ("mouse-signs", "seat belt, chewed, mount", {"belt-workshop", "workshop", "recovery"}),
    ("hob-hisses-on", "hiss now", ESCAPE),
    ("hob-hisses-on", "went on for longer", GAS),
    ("hob-hisses-on", "knob turned off", GAS),
    ("roof-light-or-step", "hang loose", WORKSHOP),
    ("cassette-blade", "bleach", WORKSHOP | {"poison-fumes"}),
    ("bits-in-water", "smell of fuel", WORKSHOP),
]

FIXED_DANGERS = {
    "smell-of-gas": (("smell gas", "hissing", "locker", "low down outside"), "gas-escape"),
    "co-alarm": (("alarm sounding", "pet", "sick", "giddy", "drowsy", "headache"), "co-suspected"),
    "mains-harmed": (("wet", "scorched", "buzzing", "broken", "gnawed", "tingle"), "mains-danger"),
    "battery-harmed": (
        ("cracked", "swollen", "hot", "leaking", "frozen", "rotten eggs"),
        "auto-electrician",
    ),
}
G, C, M, B = FIXED_DANGERS
ASKED_FIRST = {
    "engine-no-crank": (B,),
    "engine-no-start": (B,),
    "heater-no-fire": (G, C, B),
    "habitation-dead": (M, B),
    "leisure-battery-weak": (M, B),
    "hook-up-trips": (M,),
    "water-heater-no-fire": (G, C, B),
    "wet-heating-cold": (G, C, B),
    "hob-goes-out": (G, C),
    "gas-gone": (G, C),
    "absorption-fridge": (G, C, M, B),
    "compressor-fridge": (B,),
    "water-pump": (M, B),
    "no-hot-water": (G, C, M),
    "frost-valve-opens": (B,),
    "leak-inside": (G, C, M),
    "wet-after-washing": (G, C, M),
    "toilet-no-flush": (B,),
    "alarm-sounded-earlier": (G, C, B),
    "lights-dim": (M, B),
    "mouse-signs": (G, C, M, B),
    "roof-light-or-step": (B,),
    "hob-hisses-on": (G, C),
}
"""Which of the four danger questions a tree asks at least, by the hazards of what is behind its symptom."""
