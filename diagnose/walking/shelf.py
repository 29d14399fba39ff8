"""Compiled routes kept in the user's cache folder by content, and proved again whenever one is taken out.

The name of a kept route is a digest of all that it depends on: tree, common files, role, what the person
cannot do, settings, tallies, the trees that it may hand over to, and the program's version. A damaged file is
compiled anew without a word: the cache is a convenience, never a source.
"""

from __future__ import annotations

import json
import os
import tempfile
from hashlib import sha256
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose import __version__
from diagnose.terms import DiagnoseError, Tree

if TYPE_CHECKING:
    from diagnose.reasoning.model import Model
    from diagnose.reasoning.route import Route


def route_for(model: Model, folder: Path | None = None) -> Route:
    """The proved route of a model, from the cache folder if it holds it; raises UnsafeRoute.

    Without a folder, or where it cannot be written, the route is compiled each time.
    """
    kept = folder / f"{route_digest(model)}.json" if folder is not None else None
    if kept is not None:
        route = _taken_from(kept, model)
        if route is not None:
            return route
    from diagnose.reasoning.compiling import compile_route
    from diagnose.reasoning.graph import route_graph
    from diagnose.reasoning.proof import prove

    route = compile_route(model)
    prove(route_graph(route, model, rankings=False), model)
    if kept is not None:
        _put(kept, route)
    return route


def minutes_kept(model: Model, folder: Path) -> tuple[float, ...] | None:
    """What the route costs for each of the model's causes, where the folder holds the route; never compiled.

    The minutes are kept beside the route once they were worked out, so that asking again takes no time.
    """
    kept = folder / f"{route_digest(model)}.json"
    beside = kept.with_suffix(".minutes")
    try:
        found = tuple(float(each) for each in json.loads(beside.read_text(encoding="utf-8")))
        if kept.exists() and len(found) == len(model.ids) and all(0 <= each < inf for each in found):
            return found
    except (OSError, ValueError, TypeError):
        pass
    route = _taken_from(kept, model)
    if route is None:
        return None
    from diagnose.reasoning.robustness import cost_by_cause

    minutes = tuple(float(each) for each in cost_by_cause(route, model))
    _put_text(beside, json.dumps(minutes))
    return minutes


def route_digest(model: Model) -> str:
    """The name under which a model's route is kept."""
    tree, tally = model.tree, model.tally
    settings = model.settings
    content = json.dumps(
        [
            __version__,
            tree.id,
            tree.digest,
            tree.common_digest,
            model.role if _role_matters(tree) else "anybody",
            model.hurry,
            sorted(model.cannot & _needed(tree)),
            [settings.wait_rate, settings.money_per_minute, settings.expect_strength, settings.half_life],
            sorted(tally.causes.items()),
            sorted(tally.answers.items()),
            [ending.step.of for ending in model.endings],
        ]
    )
    return sha256(content.encode()).hexdigest()


def _role_matters(tree: Tree) -> bool:
    """Whether any step is for a technician only; if none is, one route serves both roles."""
    remedies = (cause.remedy for cause in tree.causes())
    by = {check.by for check in tree.checks.values()} | {each.by for each in remedies if each is not None}
    return "technician" in by


def _needed(tree: Tree) -> frozenset[str]:
    """All that any step asks of the body; what no step needs makes no other route."""
    remedies = [cause.remedy for cause in tree.causes() if cause.remedy is not None]
    needs = [check.needs for check in tree.checks.values()] + [remedy.needs for remedy in remedies]
    return frozenset().union(*needs)


def _taken_from(kept: Path, model: Model) -> Route | None:
    """The route in a file if it is whole, this model's, and proved; else None."""
    from diagnose.reasoning.graph import route_graph
    from diagnose.reasoning.proof import prove
    from diagnose.reasoning.route import route_from_json

    try:
        route = route_from_json(kept.read_text(encoding="utf-8"))
        if route.ids != model.ids or any(len(node.shares) != len(model.ids) for node in route.nodes):
            return None
        prove(route_graph(route, model, rankings=False), model)
    except (OSError, UnicodeDecodeError, DiagnoseError, KeyError, ValueError):
        return None
    return route


def _put(kept: Path, route: Route) -> None:
    """Writes a route so that a reader never sees half of it; a full or closed disk is no trouble."""
    from diagnose.reasoning.route import route_to_json

    _put_text(kept, route_to_json(route))


def _put_text(kept: Path, text: str) -> None:
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=kept.parent, suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        Path(name).replace(kept)
    except OSError:
        return
