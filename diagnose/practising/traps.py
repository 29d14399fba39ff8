"""Acts that nobody may do, offered among the choices so that a learner may see through them.

None is described in a way that could be followed: each says what somebody might be tempted to, why it is
forbidden, what it can do, and what a careful person does instead. Which of them an exercise holds follows
from the hazards of its tree. That they are forbidden the trees' own cautions say; else it is common practice.
"""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.terms import Hands

Where = Hands


@dataclass(frozen=True, slots=True)
class Trap:
    """One forbidden act; it counts as no evidence, and no speed makes up for it."""

    id: str
    hazards: frozenset[str]
    """It is offered where the tree has one of these."""
    among: Hands
    """The kind of step among which it stands."""
    says: str
    because: str
    """Why nobody may do it."""
    can: str
    """What it can do."""
    instead: str


def _trap(id: str, hazards: str, among: Hands, says: str, because: str, can: str, instead: str) -> Trap:
    return Trap(id, frozenset(hazards.split()), among, says, because, can, instead)


TRAPS: tuple[Trap, ...] = (
    _trap(
        "flame-at-a-leak",
        "gas",
        "look",
        "Look for a leak with a flame",
        "A flame finds escaped gas by setting it alight. It lies low down, and nobody sees how much it is.",
        "The vehicle can explode with everybody in it.",
        "Whoever smells gas or hears it goes out, with no switch touched, and calls from there.",
    ),
    _trap(
        "gas-union-undone",
        "gas",
        "tools",
        "Undo a gas union to see whether gas comes",
        "Gas pipes and unions are for a registered engineer alone, who tests them for tightness afterwards.",
        "Gas gathers in the vehicle and burns at the next spark. A union that was moved may leak for years.",
        "Look at what the gas does for another appliance, and leave the rest to the engineer.",
    ),
    _trap(
        "flame-guard-bridged",
        "gas",
        "controls",
        "Bridge the flame guard so that the flame stays alight",
        "The guard shuts the gas off when the flame is out. Whatever trips it is at fault, not the guard.",
        "Unburnt gas flows on into the vehicle, unseen, until something lights it.",
        "Leave the appliance off, and tell the engineer how it goes out.",
    ),
    _trap(
        "started-again-and-again",
        "gas",
        "controls",
        "Keep on starting it until it lights",
        "Each start that fails leaves unburnt gas behind. That is why a tree counts the starts.",
        "The gathered gas can go off with a bang, and burn whoever stands before it.",
        "Stop after as many starts as are allowed, and let it air.",
    ),
    _trap(
        "alarm-silenced",
        "gas",
        "controls",
        "Take the alarm out of the way, since it disturbs",
        "Carbon monoxide has no smell. The alarm is the only one who notices it.",
        "Everybody falls asleep, and nobody wakes up.",
        "When it sounds, everybody goes out into fresh air, and it is looked into from there.",
    ),
    _trap(
        "safety-switch-again",
        "mains",
        "controls",
        "Put the safety switch back a second time",
        "A switch that trips twice has found current where it must not flow. Once is allowed, no more.",
        "Metal that somebody touches can be live, and kill.",
        "Leave it off, and call an electrician.",
    ),
    _trap(
        "safety-switch-bridged",
        "mains",
        "tools",
        "Bridge the safety switch, to see whether it is the culprit",
        "It is the one thing that cuts the current off before a heart stops.",
        "The next fault kills whoever touches it.",
        "A safety switch that will not hold is for the electrician, whatever the reason.",
    ),
    _trap(
        "mains-reached-into",
        "mains",
        "tools",
        "Reach into a mains box or socket to look for a loose wire",
        "Mains boxes, sockets and appliances stay closed, unplugged or not. Only an electrician opens them.",
        "One touch can kill.",
        "Look from outside for what is wet, scorched or broken, and touch nothing of it.",
    ),
    _trap(
        "battery-sparked",
        "high-current",
        "tools",
        "Try a battery by the spark that it makes",
        "A battery gives off a gas that explodes, and metal across its posts carries hundreds of amperes.",
        "It can burst and throw acid into the face; a spanner or a ring glows at once.",
        "Read the volts at a socket, a panel or a meter.",
    ),
    _trap(
        "harmed-battery-charged",
        "high-current",
        "controls",
        "Charge the battery although it is swollen or was frozen",
        "Its plates may touch inside, and it cannot take the charge.",
        "It heats up, gives off gas and can burst or burn.",
        "Leave it unjoined and unused, and let somebody qualified take it away.",
    ),
    _trap(
        "bigger-fuse",
        "high-current",
        "controls",
        "Fit a bigger fuse, since the right one keeps blowing",
        "The fuse guards the cable. One that blows again says that the cable carries too much.",
        "The cable takes the fuse's place: it glows inside the wall and sets the vehicle alight.",
        "A fuse of the same value goes in once. If it blows again, that is a finding.",
    ),
    _trap(
        "fuel-let-out",
        "fuel",
        "tools",
        "Let some fuel out, to look at it",
        "Fuel in the open gives off a vapour that creeps along the ground to the next spark.",
        "It burns in a flash, and clothes burn with it.",
        "Nothing is drained. What was filled, and when, is on the receipt.",
    ),
    _trap(
        "cooling-unit-knocked",
        "refrigerant",
        "tools",
        "Knock the cooling unit, or warm it, to get it going",
        "The unit is under pressure and holds what burns eyes and lungs.",
        "A pipe can split and fill the vehicle with it.",
        "Look for a yellow stain from where you are, and leave the unit alone.",
    ),
    _trap(
        "driven-to-try",
        "road",
        "controls",
        "Drive it round the block, to see whether it goes away",
        "A vehicle that may not steer, stop or stand is not moved to find out more.",
        "It may not stop when it has to, and others are on the road as well.",
        "Look with the wheels chocked, and have it fetched.",
    ),
    _trap(
        "roof-walked-on",
        "height",
        "look",
        "Step onto the roof for a better look",
        "The roof is thin, smooth and often wet, and has no edge to hold on to.",
        "A fall from there breaks bones or worse, and the roof leaks afterwards.",
        "Look from inside and from the ground, or from a window higher up.",
    ),
    _trap(
        "swept-dry",
        "infection",
        "controls",
        "Sweep the droppings out dry, before looking any further",
        "Dust from droppings carries germs that are breathed in.",
        "People have died of the fever that it brings.",
        "Air the vehicle first, damp everything down, and wear gloves and a mask.",
    ),
    _trap(
        "water-tasted",
        "infection",
        "look",
        "Taste the water, to tell whether it is good",
        "Stale water can carry germs that nobody tastes.",
        "It can make a whole family ill.",
        "Look and smell, and drink none of it until the system is clean.",
    ),
    _trap(
        "hot-water-opened",
        "hot",
        "controls",
        "Let the water heater run empty while it is hot",
        "What comes out is near boiling and under pressure.",
        "It scalds hands and face at once.",
        "Switch it off, and let it cool before anything of it is opened.",
    ),
    _trap(
        "cleaners-mixed",
        "chemical",
        "controls",
        "Add a second cleaner, since the first did nothing",
        "Cleaners that meet can give off poison gas, even through what is left in a pipe.",
        "It burns the lungs within a few breaths, in a room that small.",
        "One cleaner only, with the windows open, and plenty of clear water after it.",
    ),
)

MOST_TRAPS = 4
