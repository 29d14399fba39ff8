"""What follows from a change to a tree, as a page for any width: what speaks against it comes first."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.reasoning.figures import Parts
from diagnose.revising.consequences import Consequences, Costs, Proof
from diagnose.terminal.layout import Page
from diagnose.terminal.replay_page import comparison
from diagnose.terms import Advice, Flaw, Role

MOST_SHOWN = 8
"""Of flaws or advice of one kind."""
SAME = 0.05
"""Figures that are nearer than this are told as the same."""
_WHO: dict[Role, str] = {"owner": "An owner", "technician": "A technician"}


def consequences_page(found: Consequences, width: int) -> Page:
    """The whole page."""
    page = Page(width)
    _flaws(page, found)
    if found.after is None:
        return page
    if found.after.refused:
        page.gap().say("REFUSED: A SAFETY RULE WOULD BE BROKEN", "danger").say(found.after.refused)
        return page
    rules = ", ".join(map(str, found.after.proved))
    page.gap().say(f"Safety rules proved for owner and technician: {rules}.")
    _advice(page, found)
    _minutes(page, found)
    if found.replay is not None:
        _past(page, found)
    return page


def _flaws(page: Page, found: Consequences) -> None:
    for title, flaws in (("NEW FLAWS", found.flaws_new), ("FLAWS STILL THERE", found.flaws_left)):
        _listed(page, title, flaws)
    if found.flaws_gone:
        page.gap().say(f"Flaws gone: {len(found.flaws_gone)}.")


def _advice(page: Page, found: Consequences) -> None:
    if not found.advice_new and not found.advice_gone:
        page.say("No advice is new or gone.")
        return
    _listed(page, "NEW ADVICE", found.advice_new)
    _listed(page, "ADVICE GONE", found.advice_gone)


def _listed(page: Page, title: str, found: Sequence[Flaw | Advice]) -> None:
    if not found:
        return
    page.gap().say(title)
    for each in found[:MOST_SHOWN]:
        page.hang("- ", str(each), indent=0)
    if len(found) > MOST_SHOWN:
        page.say(f"and {len(found) - MOST_SHOWN} more", indent=2)


def _minutes(page: Page, found: Consequences) -> None:
    assert found.after is not None
    basis = "by the file's own figures"
    if found.counted:
        cases = "1 past case teaches" if found.counted == 1 else f"{found.counted:,.0f} past cases teach"
        basis = f"with what {cases}"
    page.gap().say("EXPECTED MINUTES").say(f"Reckoned {basis}.")
    for role, costs in found.after.costs.items():
        page.say(f"{_WHO[role]}: {_told(_before(found.before, role), costs)}")
        for line in _parts(_before(found.before, role), costs):
            page.say(line, indent=2)


def _before(proof: Proof | None, role: str) -> Costs | None:
    return next((costs for of, costs in proof.costs.items() if of == role), None) if proof else None


def _told(before: Costs | None, after: Costs) -> str:
    now = after.expected.cost
    saved = f"{100 * after.gap:.0f}"
    gap = "no route can be better" if saved == "0" else f"no route can save more than {saved} % of it"
    if before is None:
        return f"{now:.1f}; {gap}."
    then = before.expected.cost
    if abs(now - then) < SAME:
        return f"{now:.1f}, as before; {gap}."
    return f"{then:.1f} before, {now:.1f} now ({now - then:+.1f}); {gap}."


def _parts(before: Costs | None, after: Costs) -> list[str]:
    names = (("hands-on minutes", "hands_on"), ("waiting minutes", "wait"), ("money", "price"))
    lines = []
    for name, key in names:
        now = _part(after.expected, key)
        then = now if before is None else _part(before.expected, key)
        lines.append(f"{name} {now:.1f}" if abs(now - then) < SAME else f"{name} {then:.1f} to {now:.1f}")
    return [", ".join(lines)]


def _part(parts: Parts, key: str) -> float:
    return float(getattr(parts, key))


def _past(page: Page, found: Consequences) -> None:
    replay = found.replay
    assert replay is not None
    if not replay.cases:
        page.gap().say("No confirmed case is at hand to try the change on.")
        return
    noun = "past case" if replay.cases == 1 else "past cases"
    page.gap().say(f"TRIED ON {replay.cases:,} {noun.upper()}")
    comparison(page, replay)
    if replay.worse:
        shown = ", ".join(str(each.case) for each in replay.worse[:MOST_SHOWN])
        page.gap().say(f"Cases that got worse, the most first: {shown}" + _more(len(replay.worse)) + ".")


def _more(number: int) -> str:
    return f" and {number - MOST_SHOWN:,} more" if number > MOST_SHOWN else ""
