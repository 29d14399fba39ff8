"""The tables of the files of rounds: what a task holds, what a round holds, and a task's place in one."""

from __future__ import annotations

from collections.abc import Mapping

from diagnose.knowledge.fields import HANDS, NEEDS, NOT_NEGATIVE, POSITIVE, ROLES, Field
from diagnose.terms.rounds import ROUNDS

IF_WRONG = ("limited", "not-ready")
"""What a vehicle can be while a task is wrong; `ready` is not among them."""

ROUND_TABLES: Mapping[str, tuple[Field, ...]] = {
    "task": (
        Field("what", "text", "what is looked at or done, in a line", required=True),
        Field("how", "text", "how it is done, step by step", required=True),
        Field("at", "id", "the place on the vehicle", required=True, names="place"),
        Field("hands", "word", "what it takes: looking, controls, or tools", required=True, words=HANDS),
        Field("by", "word", "who may do it", required=True, words=ROLES),
        Field("hazard", "id or ids", "the hazard or hazards that belong to it; none if nothing can hurt",
              required=True, least=1, names="hazard"),
        Field("minutes", "number", "minutes of work", required=True, limits=POSITIVE),
        Field("wait", "number", "minutes in which nobody need be there", limits=NOT_NEGATIVE),
        Field("price", "number", "money that it costs", limits=NOT_NEGATIVE),
        Field("wants", "ids", "what it wants of day, weather or vehicle", names="want"),
        Field("for", "ids by id", "facts of the vehicle and the answers for which it is meant", names="fact"),
        Field("opens", "ids", "trees that may be walked where it is wrong, the likeliest first"),
        Field("prevents", "ids by id", "trees and those of their causes that it keeps away", names="tree"),
        Field("refer", "id", "whom it is left to where it is wrong and no tree opens", names="referral"),
        Field("dates", "ids", "dates of the vehicle's card that have to hold", names="date"),
        Field("safety", "truth", "whether even the shortest round holds it"),
        Field("if_wrong", "word", "what the vehicle is while it is wrong", words=IF_WRONG),
        Field("must_not_use", "text", "what must not be used while it is wrong or was not looked at"),
        Field("part", "id", "the part whose whereabouts the vehicle's card gives"),
        Field("needs", "words", "what the body must be able to do", words=NEEDS),
        Field("buy", "texts", "what is bought where it is wrong"),
        Field("was", "id or ids", "ids that it had in older versions of the file"),
    ),
    "round": (
        Field("round", "word", "which round it is: the file's own name", required=True, words=ROUNDS),
        Field("says", "text", "what the round is for", required=True),
        Field("tasks", "tables", "its tasks in order", required=True, of="turn", least=1),
    ),
    "turn": (Field("after", "id or ids", "tasks of the round that come before it", least=1),),
}  # fmt: skip
