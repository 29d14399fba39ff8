"""Reading the fault tree of a file: events, gates and causes, each defined once, wherever else it is named.

What comes out is a draft: every event with what its mapping said, which inputs feed it, and what stands above
the place where it is defined. References (`flat-battery: {}`) may point to a place further down, so they are
judged once everything is read; a cycle is found without recursion, since a chain may be long.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from diagnose.knowledge.cycles import cycles
from diagnose.knowledge.fields import GATES, TABLES
from diagnose.knowledge.form import Filled, Flaws, fill, wrong_id
from diagnose.knowledge.ids import nearest, quoted
from diagnose.knowledge.nodes import MapNode, Node, Scalar, what_it_is
from diagnose.terms import TOP, Gate

MOST_EVENTS = 1000
MOST_INPUTS = 5000
"""More events, causes and inputs than this nobody could look after, and they would slow everybody down."""

_REMEDY_KINDS = ("do", "refer", "see")


@dataclass(slots=True)
class DraftRemedy:
    """A remedy as written: its kind and its mapping."""

    kind: str
    filled: Filled


@dataclass(slots=True)
class DraftEvent:
    """An event as written. `key` is where it is defined; `inputs` are the keys under its gate."""

    id: str
    key: Node
    filled: Filled
    gate: Gate | None
    chain: tuple[str, ...] = ()
    inputs: list[Scalar] = field(default_factory=list)
    remedy: DraftRemedy | None = None

    def input_ids(self) -> tuple[str, ...]:
        """The ids of its inputs in file order."""
        return tuple(dict.fromkeys(key.value for key in self.inputs))


@dataclass(slots=True)
class DraftFaults:
    """All events by id in file order, the top first; `sound` says that every reference leads somewhere."""

    events: dict[str, DraftEvent]
    sound: bool = True

    def causes(self) -> list[DraftEvent]:
        """The causes in file order."""
        return [event for event in self.events.values() if event.gate is None]

    def gates(self) -> dict[str, tuple[Gate | None, tuple[str, ...]]]:
        """Gate and inputs of every event."""
        return {event.id: (event.gate, event.input_ids()) for event in self.events.values()}


def read_faults(node: Node, key: Node, flaws: Flaws) -> DraftFaults:
    """The events of `faults:`; flaws are noted as they are met."""
    return _FaultReader(flaws).read(node, key)


def no_faults(at: Node) -> DraftFaults:
    """What stands in for `faults:` where a file has none."""
    return DraftFaults({TOP: DraftEvent(TOP, at, Filled(at), "any_of")}, sound=False)


class _FaultReader:
    def __init__(self, flaws: Flaws) -> None:
        self.flaws = flaws
        self.events: dict[str, DraftEvent] = {}
        self.sound = True

    def read(self, node: Node, key: Node) -> DraftFaults:
        filled = fill("faults", node, key, "faults", self.flaws, extra="event")
        top = DraftEvent(TOP, key, filled, None)
        self.events[TOP] = top
        self._gate(top, "faults", (), node)
        top.gate = top.gate or "any_of"
        inputs = sum(len(event.inputs) for event in self.events.values())
        if len(self.events) > MOST_EVENTS or inputs > MOST_INPUTS:
            text = f"faults hold {len(self.events) - 1} events and causes and name them {inputs} times"
            self.flaws.at(key, f"{text}; {MOST_EVENTS} and {MOST_INPUTS} are the most")
            self.sound = False
        else:
            self._references()
        return DraftFaults(self.events, self.sound)

    def _gate(self, event: DraftEvent, name: str, chain: tuple[str, ...], node: Node) -> None:
        """Read an event's gate and what is under it; a misspelt gate is read as what it means to be."""
        gates = [gate for gate in GATES if gate in event.filled]
        if len(gates) == 2:
            second = max((event.filled.keys[gate] for gate in gates), key=lambda key: (key.line, key.column))
            self.flaws.at(second, f"{name} has any_of and all_of; it takes one gate")
        chosen = gates[0] if gates else misspelt_gate(node)
        if not chosen and event.id == TOP:
            if isinstance(node, MapNode):
                self.flaws.at(event.key, "faults lack a gate: any_of or all_of")
            self.sound = False
            return
        event.gate = "all_of" if chosen in ("all_of", "all_off") else "any_of"
        if "in_100" in event.filled and event.gate == "any_of":
            text = f"{name} has any_of and takes no in_100; it belongs to its causes"
            self.flaws.at(event.filled.key("in_100"), text)
        for gate in gates or [chosen]:
            value = event.filled.nodes.get(gate) if gates else _value(node, chosen)
            for key, body in value.pairs if isinstance(value, MapNode) else []:
                self._input(event, key, body, chain)
            if not isinstance(value, MapNode) or not value.pairs:
                self.sound = False

    def _input(self, parent: DraftEvent, key: Scalar, body: Node, chain: tuple[str, ...]) -> None:
        wrong_id(key, self.flaws)
        parent.inputs.append(key)
        if isinstance(body, MapNode) and not body.pairs:
            return  # an event defined elsewhere
        if not isinstance(body, MapNode):
            text = f"{quoted(key.value)} holds {what_it_is(body)}; write its mapping, "
            text += "or {} if it is defined elsewhere"
            self.flaws.at(key, text)
            self.sound = False
            return
        if key.value in self.events:
            first = self.events[key.value].key.line
            self.flaws.at(
                key, f"{quoted(key.value)} is defined twice (first on line {first}); write {{}} here"
            )
            self.sound = False
            return
        if any(gate in (name.value for name, _ in body.pairs) for gate in GATES) or misspelt_gate(body):
            self._event(key, body, chain)
        else:
            self._cause(key, body, chain)

    def _event(self, key: Scalar, body: MapNode, chain: tuple[str, ...]) -> None:
        name = f"event {quoted(key.value)}"
        filled = fill("event", body, key, name, self.flaws, extra="cause")
        event = DraftEvent(key.value, key, filled, "any_of", chain)
        self.events[key.value] = event
        self._gate(event, name, (key.value, *chain), body)

    def _cause(self, key: Scalar, body: MapNode, chain: tuple[str, ...]) -> None:
        filled = fill("cause", body, key, f"cause {quoted(key.value)}", self.flaws, extra="do remedy")
        cause = DraftEvent(key.value, key, filled, None, chain)
        self.events[key.value] = cause
        node = filled.nodes.get("remedy")
        if isinstance(node, MapNode):
            cause.remedy = read_remedy(key.value, node, filled.key("remedy"), self.flaws)

    def _references(self) -> None:
        """Every input is defined somewhere, and no event stands below itself."""
        for event in self.events.values():
            for key in event.inputs:
                if key.value not in self.events:
                    meant = self.flaws.nearest(key.value, [id for id in self.events if id != TOP])
                    self.flaws.at(key, f"{quoted(key.value)} is defined nowhere in this tree", meant)
                    self.sound = False
        for path, key in cycles({id: event.inputs for id, event in self.events.items()}):
            self.flaws.at(key, f"{quoted(key.value)} stands below itself: {' > '.join(path)}")
            self.sound = False


def misspelt_gate(node: Node) -> str:
    """A key of a mapping that holds a mapping and is nearly a gate, where neither gate nor remedy stands."""
    if not isinstance(node, MapNode):
        return ""
    known = {line.key for table in ("event", "cause", "faults") for line in TABLES[table]}
    keys = [key.value for key, value in node.pairs if isinstance(value, MapNode) and key.value not in known]
    if len(node.pairs) > 20 or any(key.value in (*GATES, "remedy") for key, _ in node.pairs):
        return ""
    return next((key for key in keys if nearest(key, GATES)), "")


def _value(node: Node, key: str) -> Node | None:
    return node.get(key) if isinstance(node, MapNode) and key else None


def read_remedy(cause: str, node: MapNode, key: Node, flaws: Flaws) -> DraftRemedy | None:
    """A remedy as written; it has exactly one of do, refer and see; None where that cannot be told."""
    name = f"remedy of {quoted(cause)}"
    kinds = [name_ for name_, _ in node.pairs if name_.value in _REMEDY_KINDS]
    if not kinds:
        flaws.at(key, f"{name} lacks do, refer or see")
        for wrong, _ in node.pairs:
            if wrong.value not in {line.key for line in TABLES["do remedy"]}:
                meant = flaws.nearest(
                    wrong.value, [*_REMEDY_KINDS, *(line.key for line in TABLES["do remedy"])]
                )
                flaws.at(wrong, f"key {quoted(wrong.value)} is not known in {name}", meant)
        return None
    for second in kinds[1:]:
        flaws.at(second, f"{name} has {kinds[0].value} and {second.value}; it takes one of do, refer and see")
    kind = kinds[0].value
    one = MapNode(node.line, node.column, [pair for pair in node.pairs if pair[0] not in kinds[1:]])
    extra = "check" if kind == "do" else "do remedy"
    return DraftRemedy(kind, fill(f"{kind} remedy", one, key, name, flaws, extra))
