"""What the options of `cases add` say of a case, and how they are typed again."""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from diagnose.cli.cases.given_findings import findings_given
from diagnose.terms import State, WrongUsage

if TYPE_CHECKING:
    from diagnose.cases.adding import KnownCase
    from diagnose.terminal.quick_log import Draft, Picked

ENDS: tuple[State, ...] = ("cured", "referred", "stopped")


@dataclass(frozen=True, slots=True)
class GivenCase:
    """What the options say of the case, whatever it turns out to have been."""

    vehicle: str
    opened: datetime
    state: State
    found: tuple[str, ...]
    options: tuple[str, ...]
    """`--cases` and `--trees` as they were typed."""
    forget: tuple[str, ...]
    """What a command to take the case back has to repeat of them."""

    def known(self, picked: Picked) -> KnownCase:
        """The case as it would be logged; raises WrongUsage for findings that its tree does not know."""
        from diagnose.cases.adding import KnownCase

        tree, findings = picked.tree, findings_given(self.found, picked.tree)
        return KnownCase(tree.id, tree.digest, picked.cause, self.state, self.opened, self.vehicle, findings)

    def draft(self, again: int | None) -> Draft:
        """The same in words."""
        from diagnose.terminal.quick_log import Draft

        return Draft(self.vehicle, f"{self.opened:%Y-%m-%d}", self.state, self.found, again)

    def as_options(self) -> list[str]:
        """The options to be typed again."""
        typed = ["--vehicle", self.vehicle] if self.vehicle else []
        typed += ["--on", f"{self.opened:%Y-%m-%d}"] if self.opened.date() != date.today() else []
        typed += ["--state", self.state] if self.state != "cured" else []
        return typed + [part for each in self.found for part in ("--finding", each)]

    def command(self, symptom: str, cause: str) -> str:
        """What to type to log it without being asked, once it is known what it was."""
        named = ["--symptom", symptom, "--cause", cause, *self.as_options(), "--yes"]
        return shlex.join(["diagnose", "cases", "add", *named, *self.options])

    def forget_command(self, case: int) -> str:
        """What to type to take the case back."""
        return shlex.join(["diagnose", "cases", "forget", str(case), *self.forget])


def vehicle_label(label: str, plates: bool) -> str:
    """The vehicle's label; raises WrongUsage for one that the store should not hold."""
    from diagnose.knowledge.card_fields import LONGEST_LABEL
    from diagnose.knowledge.ids import quoted
    from diagnose.knowledge.plates import looks_like_a_plate

    if len(label) > LONGEST_LABEL:
        raise WrongUsage(f"the vehicle's name has {len(label)} characters; {LONGEST_LABEL} at most")
    if not label.isprintable():
        raise WrongUsage("a control or invisible character stands in the vehicle's name")
    if label.startswith("="):
        raise WrongUsage(f"{quoted(label)} is a formula to a spreadsheet; give the vehicle another name")
    if looks_like_a_plate(label) and not plates:
        raise WrongUsage(
            f"{quoted(label)} looks like a number plate, which tells whose vehicle it is; give it a name of "
            "your own, such as van 7 (or add --plates)"
        )
    return label
