"""Small water circuits as job documents, and random ones with an oracle that walks every path one by one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st

from loaded import Loaded
from trialfit.feed.faults import Fault
from trialfit.feed.records import AIR, BOILER, TANK, Circuit, Node, Source, Way, WayKind
from trialfit.job.read import read_job
from trialfit.job.records import Job

nx = Loaded("networkx")

HEAD = """format = 1
[job]
name = "dunlin-feed"
owner = "N. Tarnbrook"
date = 2026-05-02
[engine]
name = "Dunlin"
working_pressure = "60 psi"
"""


def job_text(parts: Mapping[str, str], joints: str, circuit: str) -> str:
    """A job with these parts, joints written ``a.x - b.y`` a line, and this circuit."""
    written = "".join(f'[parts.{name}]\nkind = "{kind}"\n' for name, kind in parts.items())
    pairs = [line.split(" - ") for line in joints.split("\n") if line.strip()]
    written += "".join(f'[[joints]]\na = "{a.strip()}"\nb = "{b.strip()}"\n' for a, b in pairs)
    return HEAD + written + circuit


# Tank, axle pump, tee with a bypass back to the tank, tee with a drain, check valve, boiler.
SMALL_PARTS = {
    "suction": "pipe", "pump": "pump", "delivery": "pipe", "tee": "tee", "bypass": "cock", "back": "pipe",
    "feed": "pipe", "low_tee": "tee", "drain": "cock", "riser": "pipe", "clack": "check valve", "bush": "bush",
}  # fmt: skip
SMALL_JOINTS = """suction.end - pump.inlet
pump.outlet - delivery.start
delivery.end - tee.run_a
tee.branch - bypass.inlet
bypass.outlet - back.start
tee.run_b - feed.start
feed.end - low_tee.run_a
low_tee.branch - drain.inlet
low_tee.run_b - riser.start
riser.end - clack.inlet
clack.outlet - bush.thread"""
SMALL_CIRCUIT = """[circuit]
boiler = ["bush"]
tank = ["suction.start", "back.end"]
[circuit.sources]
pump = { kind = "axle pump" }
"""


def small_job(parts: Mapping[str, str] | None = None, joints: str = SMALL_JOINTS, circuit: str = SMALL_CIRCUIT) -> Job:
    """The small circuit, or one near it."""
    return read_job(job_text({**SMALL_PARTS, **(parts or {})}, joints, circuit))


# ---- random circuits

_KINDS: tuple[WayKind, ...] = ("pipe", "check", "check", "cock")


@st.composite
def circuits(draw: st.DrawFn) -> Circuit:
    """Up to six places joined anyhow, one or two handles, a pump somewhere."""
    count = draw(st.integers(2, 6))
    place = st.integers(0, count - 1)
    ways: list[Way] = []
    handles: dict[str, tuple[str, ...]] = {"pump": ("at rest", "worked")}
    for n in range(draw(st.integers(count - 1, 8))):
        a, b = draw(st.tuples(place, place).filter(lambda ends: ends[0] != ends[1]))
        kind = draw(st.sampled_from(_KINDS))
        if kind == "cock" and len(handles) > 2:
            kind = "pipe"
        name = f"{kind}{n}"
        if kind == "cock":
            handles[name] = ("shut", "open")
        passes = frozenset({"open"}) if kind == "cock" else frozenset[str]()
        ways.append(Way(name, name, kind, a, b, name if kind == "cock" else "", passes, name))
    for k, at in enumerate(draw(st.lists(place, min_size=1, max_size=2, unique=True))):
        ways.append(Way(f"tank{k}", f"tank{k}", "opening", at, TANK))
    ways.append(Way("bush", "bush", "opening", draw(place), BOILER))
    if draw(st.booleans()):
        ways.append(Way("hole", "hole", "mouth", draw(place), AIR, where="hole"))
    source = Source("pump", "hand pump", draw(place), "pump", "worked", None, "boiler")
    return Circuit(tuple(Node(f"n{n}", ()) for n in range(count)), tuple(ways), handles, (source,))


@dataclass(frozen=True)
class Walked:
    """One state, by walking every path: reservoirs that push in at each place, and that each can push out to."""

    pushes: list[set[str]]
    weeps: list[set[str]]
    relieves: list[set[str]]
    pump: Mapping[str, bool]


def walked(circuit: Circuit, setting: Mapping[str, str], fault: Fault | None) -> Walked:
    """Walk one state with networkx, by simple paths alone."""
    free, little = (_digraph(circuit, setting, fault, weeping) for weeping in (False, True))
    count = len(circuit.nodes)
    pushes = [_coming(free, n) for n in range(count)]
    weeps = [_coming(little, n) for n in range(count)]
    relieves = [_going(free, n) for n in range(count)]
    (source,) = circuit.sources
    on = setting[source.handle] == source.on
    enter, leave = pushes[source.node], relieves[source.node]
    feeds = on and enter == {"tank"} and leave == {"boiler"} and _going(little, source.node) == {"boiler"}
    pump = {
        "feeds": feeds and "boiler" not in weeps[source.node],
        "locks": on and not leave,
        "air": on and "air" in enter,
        "starved": on and not enter,
        "hot": on and "boiler" in enter,
        "spills": on and "air" in leave,
    }
    return Walked(pushes, weeps, relieves, pump)


def _coming(graph: Any, n: int) -> set[str]:
    return {r for r in ("boiler", "tank", "air") if any(nx.all_simple_paths(graph, ("from", r), n))}


def _going(graph: Any, n: int) -> set[str]:
    return {r for r in ("boiler", "tank", "air") if any(nx.all_simple_paths(graph, n, ("to", r)))}


def _digraph(circuit: Circuit, setting: Mapping[str, str], fault: Fault | None, weeping: bool) -> Any:
    graph = nx.DiGraph()
    graph.add_nodes_from(range(len(circuit.nodes)))
    names = {BOILER: "boiler", TANK: "tank", AIR: "air"}
    graph.add_nodes_from((way, r) for way in ("from", "to") for r in names.values())

    def arc(a: int, b: int) -> None:
        graph.add_edge(a if a >= 0 else ("from", names[a]), b if b >= 0 else ("to", names[b]))

    for n, way in enumerate(circuit.ways):
        mine = fault.kind if fault is not None and n in fault.ways else ""
        is_open = not way.handle or setting[way.handle] in way.passes
        if mine == "blocked":
            continue
        if way.kind == "check":
            arc(way.a, way.b)
            if mine == "stuck open" or (weeping and mine == "weeps"):
                arc(way.b, way.a)
        elif is_open or (weeping and mine == "passes"):
            arc(way.a, way.b)
            arc(way.b, way.a)
    if fault is not None and fault.node is not None:
        arc(fault.node, AIR)
        arc(AIR, fault.node)
    return graph
