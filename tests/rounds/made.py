"""Rounds made up for tests, and the plainest ways to time and to list their orders.

Nothing here is shared with `diagnose/rounds`: orders are listed by networkx, and timed by a clock of its own.
"""

from random import Random

import networkx as nx

from diagnose.terms import Place
from diagnose.terms.rounds import Task


def place(id, access):
    """A place that costs so many minutes to come to."""
    return Place(id, f"at the {id}", float(access))


def task(id, at, minutes, wait=0.0, safety=False, wants=()):
    """A task of which nothing else matters here."""
    return Task(id, id, id, at, "look", "owner", float(minutes), float(wait), safety=safety, wants=wants)


def made_up(number, seed, places=4, links=0.2, waits=0.3, safety=0.3):
    """Tasks, their order and places: of a seeded dice, with minutes whose sums are not exact in floats."""
    dice = Random(seed)
    known = {f"p{n}": place(f"p{n}", dice.choice([0, 0.1, 1, 2, 3, 4, 6])) for n in range(places)}
    tasks = {
        f"t{n}": task(
            f"t{n}",
            dice.choice(list(known)),
            dice.choice([0.1, 0.3, 1, 2, 5, 5, 10, 20]),
            dice.choice([0.7, 5, 20, 60]) if dice.random() < waits else 0,
            dice.random() < safety,
            ("daylight",) if dice.random() < 0.3 else (),
        )
        for n in range(number)
    }
    line = dice.sample(list(tasks), number)
    after = {
        id: frozenset(other for other in line[:at] if dice.random() < links) for at, id in enumerate(line)
    }
    return tasks, {id: ids for id, ids in after.items() if ids}, known


def graph_of(tasks, after):
    """What must come before what, as a graph."""
    graph = nx.DiGraph()
    graph.add_nodes_from(tasks)
    graph.add_edges_from((before, id) for id, ids in after.items() for before in ids)
    return graph


def orders_of(tasks, after):
    """Every order there is, as networkx lists them (Knuth & Szwarcfiter 1974, from its documentation)."""
    return nx.all_topological_sorts(graph_of(tasks, after))


def clocked(order, tasks, after, places, here="outside", running=()):
    """Minutes until the last task of an order is done: whoever does it goes there, waits, and works."""
    graph, now, where = graph_of(tasks, after), 0.0, here
    until = dict(running)
    for id in order:
        now += places[tasks[id].at].access if tasks[id].at != where else 0.0
        where = tasks[id].at
        now = max([now, *(until[before] for before in nx.ancestors(graph, id) if before in until)])
        now += tasks[id].minutes
        until[id] = now + tasks[id].wait
    return now
