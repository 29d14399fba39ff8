"""One view of every kind, as the engine hands them out, with the longest texts that the common files have.

The texts of cautions and referrals are those of the common files; all else is made up.
"""

from __future__ import annotations

from functools import cache

from diagnose.knowledge.collection import Library
from diagnose.walking import showing
from diagnose.walking.views import FETCH_HELP, NO_CERTIFICATE, NOT_CHECKED, OTHER_LEADS

NO_EFFORT = {"minutes": 0, "wait": 0, "price": 0}
NOWHERE = {"place": "", "part": "", "whereabouts": ""}
YES_OR_NO = [{"id": "yes", "says": "Yes"}, {"id": "no", "says": "No"}]
DANGER_ANSWERS = [{"id": "no", "says": "No, neither"}, {"id": "yes", "says": "Yes, a smell or a hiss"}]
OUTCOMES = [{"id": each.id, "says": each.says} for each in showing.OUTCOMES]
RANKING = [
    {"cause": "air", "says": "Air stands in the line after lay-up", "share": 0.312, "cases": 0},
    {"cause": "empty", "says": "The cylinder in use is empty", "share": 0.25, "cases": 0},
    {"cause": "not-listed", "says": "not listed", "share": 0.08, "cases": 0},
    {"cause": "shut", "says": "A valve is shut", "share": 0.04, "cases": 0},
]


@cache
def common():
    return Library().common()


def caution(id):
    found = common().cautions[id]
    return {"id": id, "word": found.word, "say": found.say}


def referral(id):
    found = common().referrals[id]
    return {
        "id": id,
        "to": found.to,
        "say": found.say,
        "untilHelp": found.until_help,
        "minutes": found.minutes,
        "wait": found.wait,
        "price": found.price,
    }


def view(kind, **more):
    return {
        "kind": kind,
        "symptom": "The blown-air gas heater will not fire",
        "cautions": [],
        "notices": [],
        "ranking": RANKING,
        "numbers": ["112", "999"],
        "canGoBack": True,
        "commands": ["answer", "notSure", "back", "why", "leaveOff", "danger"],
    } | more


def question(**more):
    return (
        view("question")
        | {
            "check": "hob-flame",
            "ask": "Does a hob ring light and burn with a steady blue flame?",
            "how": "Open one window. Light one ring, watch it for a minute, turn it off.",
            "choices": [
                {"id": "steady", "says": "Steady and blue"},
                {"id": "weak", "says": "Weak"},
                {"id": "yellow", "says": "Yellow or sooty"},
                {"id": "none", "says": "No flame"},
            ],
            "measures": None,
            "alsoReadIn": [],
            "effort": {"minutes": 5, "wait": 0, "price": 0},
            "where": {"place": "at the kitchen", "part": "", "whereabouts": ""},
            "needs": ["smell"],
            "askFirst": False,
            "again": False,
            "fact": False,
            "starts": False,
            "triesLeft": None,
        }
        | more
    )


def end(kind, state, **more):
    ended = {
        "state": state,
        "commands": [],
        "prevention": [
            {
                "says": "The cylinder in use is empty",
                "prevent": "Weigh both cylinders at the end of the season",
            },
            {
                "says": "The flue is blocked",
                "prevent": "Cover the flue at lay-up, and tie a note to the wheel",
            },
        ],
        "leftAlone": [
            {"says": "The regulator passes too little gas", "why": "left for: A gas engineer"},
            {"says": "The burner is dirty", "why": "left for: A gas engineer"},
            {"says": "A relay has failed", "why": "a technician's work"},
        ],
        "done": {"minutes": 12, "wait": 0, "price": 0},
        "certificate": NO_CERTIFICATE,
    }
    return view(kind) | ended | more


def every_view():
    """Name -> view: of every kind, and of each in the forms that look different."""
    danger = {
        "check": "smell-of-gas",
        "ask": "Can you smell gas or hear hissing - inside, in a locker, or low down outside?",
        "how": "Touch no switch while you find out, and light nothing. The gas sinks.",
        "choices": DANGER_ANSWERS,
        "measures": None,
    }
    volts = {"unit": "V", "low": 0, "high": 16, "uncertainty": 0.15}
    bands = [{"id": "low", "says": "low"}, {"id": "good", "says": "good"}]
    return {
        "cautions": question(
            cautions=[caution(id) for id in ("carbon-monoxide", "cylinder-change", "hot-surfaces", "rinse")]
        ),
        "danger-question": question(
            **danger,
            askFirst=True,
            ranking=[],
            again=True,
            notices=["The walk is taken up again, so the danger questions are asked again."],
        ),
        "unsure": view("unsure", **danger, advice=FETCH_HELP, ranking=[]),
        "question": question(),
        "other-tree": question(notices=[NOT_CHECKED, OTHER_LEADS]),
        "start-question": question(starts=True, triesLeft=1),
        "reading": question(ask="What does the panel show as the fan starts?", measures=volts, choices=bands),
        "reading-below-zero": question(
            ask="How cold is it outside?",
            measures={"unit": "°C", "low": -30, "high": 45, "uncertainty": 2},
            choices=bands,
        ),
        "reading-in-units": question(
            ask="What does the gauge show?",
            measures={"unit": "bar", "low": 0, "high": 8, "uncertainty": 0.05},
            alsoReadIn=["psi"],
            choices=bands,
        ),
        "remedy": view(
            "remedy",
            remedy="air",
            says="Air stands in the line after lay-up",
            do=[
                "a window open, burn one hob ring to a steady blue flame (yellow: answer danger), turn it off"
            ],
            how=["Hold the knob in for twenty seconds."],
            choices=OUTCOMES,
            effort={"minutes": 10, "wait": 30, "price": 35},
            where=[
                {"place": "at the gas locker", "part": "gas-valves", "whereabouts": "behind the left flap"}
            ],
            needs=["lift", "reach"],
            triesLeft=1,
        ),
        "remedy-of-several": view(
            "remedy",
            remedy="a+b",
            says="The seal is worn and the vent is shut",
            do=["Renew the seal", "Open the vent"],
            how=[],
            choices=OUTCOMES,
            effort=NO_EFFORT,
            where=[NOWHERE],
            needs=[],
            triesLeft=None,
        ),
        "cured-question": view(
            "cured-question",
            remedy="air",
            says="Air",
            ask="Has it run for ten minutes and blown warm air?",
            minutes=12,
            choices=YES_OR_NO,
        ),
        "cleared-question": view(
            "cleared-question",
            ask="The last walk of this vehicle was stopped for danger. "
            "Has somebody qualified looked at that since, and cleared it?",
            stoppedBy=referral("gas-escape"),
            choices=YES_OR_NO,
            ranking=[],
        ),
        "cured": end("cured", "cured", cause="air", says="Air stands in the line"),
        "referred": end(
            "referred",
            "referred",
            referral=referral("gas-engineer"),
            register=common().countries["uk"].gas_register,
            ownNumber="01632 960 001",
        ),
        "stopped": end(
            "stopped",
            "stopped",
            referrals=[referral("gas-escape"), referral("co-suspected"), referral("mains-danger")],
            because="You answered: danger.",
            first="Stop here. Everybody out into the open air now, pets too, touching no switch and no metal "
            "on the way. If there is fire, smoke or a shock, or anybody is unwell: call 112.",
            ownNumbers={"gas-escape": "01632960002"},
        ),
        "left-off": end("left-off", "left-off", commands=["resume"]),
        "not-for-this": end(
            "not-for-this",
            "left-off",
            fact="heater-fuel",
            ask="What does the heater burn?",
            fits=["Gas"],
            has="Diesel",
        ),
        "handed-over": end(
            "handed-over", "referred", tree="gas-gone", says="No appliance gets gas", carry=[], here=True
        ),
        "handed-over-elsewhere": end(
            "handed-over", "referred", tree="gone", says="No appliance gets gas", carry=[], here=False
        ),
    }
