"""The water circuit of a job, from its parts, its joints, and the little they do not say.

A fitting (bush, union, elbow, tee, adaptor) is one place: water passes through it whatever is set. A union nut holds no
water; it is what is undone. The cap of a check valve is taken to be on unless another part is joined there.

Source: docs/methods/feed.md; the valves in the body of a pump or injector are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import combinations
from typing import NamedTuple

from trialfit.errors import Refusal
from trialfit.feed.names import called_after, node_name
from trialfit.feed.records import AIR, BOILER, TANK, Circuit, Node, Piece, Source, Way, WayKind
from trialfit.job.circuit import COCK_PORTS, ENGINE, TWO_WAY, CircuitEntry, SourceEntry
from trialfit.job.circuit_faults import possible_positions
from trialfit.job.records import Job
from trialfit.parts.build import build_joints, build_parts
from trialfit.parts.records import Part, Port

_PUMP_VALVES: tuple[tuple[str, Piece, str, str], ...] = (
    ("suction", "suction valve", "inlet", "inside"),
    ("delivery", "delivery valve", "inside", "outlet"),
)
_HOLDS_NO_WATER = ("union nut", "handle", "pin")
FITTINGS = ("bush", "union body", "union cone", "elbow", "tee", "adaptor")


def circuit_of(job: Job) -> Circuit:
    """Make the water circuit of a job.

    Parameters
    ----------
    job
        The job document, with a circuit.

    Returns
    -------
    Circuit
        Its places, ways, handles and sources.

    Raises
    ------
    Refusal
        The job has no circuit, a part opens into a reservoir in more places than one, or nothing joins the tank to
        the boiler.
    """
    if job.circuit is None:
        remedy = "Add a table [circuit] that says what opens into the boiler and the tank; docs/job-file.md shows how."
        raise Refusal("circuit", "none in the job", "a table [circuit]", remedy)
    making = _Making(job, job.circuit, {part.name: part for part in build_parts(job)})
    return making.made()


class _Rough(NamedTuple):
    """A way whose ends are still ports."""

    name: str
    part: str
    kind: WayKind
    a: str
    b: str | int
    handle: str = ""
    passes: frozenset[str] = frozenset()
    where: str = ""
    piece: Piece = ""


@dataclass
class _Making:
    """What is known while the circuit is being put together."""

    job: Job
    entry: CircuitEntry
    parts: dict[str, Part]
    over: dict[str, str] = field(default_factory=dict)
    joined: set[str] = field(default_factory=set)
    ways: list[_Rough] = field(default_factory=list)

    def made(self) -> Circuit:
        """Put it together."""
        nuts = self._join()
        openings = self._openings()
        for part in self.parts.values():
            self._through(part)
        sources = [self._source(name, each) for name, each in self.entry.sources.items()]
        self._mouths(openings, nuts)
        return self._numbered(nuts, sources)

    def root(self, port: str) -> str:
        """Find the port that stands for a place."""
        while self.over.setdefault(port, port) != port:
            port = self.over[port]
        return port

    def merge(self, a: str, b: str) -> None:
        """Make two ports one place."""
        self.over[self.root(b)] = self.root(a)

    def kind(self, port: str) -> str:
        """Give the kind of part a port belongs to."""
        return self.parts[port.rpartition(".")[0]].kind

    def _join(self) -> dict[str, list[str]]:
        """Merge what the joints and fittings make one place; give the nuts by the port they hold."""
        nuts: dict[str, list[str]] = {}
        for joint in build_joints(self.job, self.parts.values()):
            a, b = joint.a, joint.b
            if a.is_dry or b.is_dry:
                continue
            if "union nut" in (self.kind(a.full_name), self.kind(b.full_name)):
                nut, held = (a, b) if self.kind(a.full_name) == "union nut" else (b, a)
                if nut.name == "thread" and self.kind(held.full_name) != "union nut":
                    nuts.setdefault(held.full_name, []).append(nut.part)
                continue
            self.merge(a.full_name, b.full_name)
            self.joined |= {a.full_name, b.full_name}
        for part in self.parts.values():
            if part.kind in FITTINGS:
                for port in part.ports[1:]:
                    self.merge(part.ports[0].full_name, port.full_name)
            elif part.kind == "check valve":
                self.merge(f"{part.name}.outlet", f"{part.name}.cap")
        return nuts

    def _openings(self) -> set[str]:
        """Add the ways into boiler and tank; give the loose ports that they explain."""
        explained = {port for name in self.entry.blanked for port in self._ports_into(name)}
        for number, names in ((BOILER, self.entry.boiler), (TANK, self.entry.tank)):
            for name in names:
                ports = self._ports_into(name)
                self.ways.append(_Rough(name, name.partition(".")[0], "opening", ports[0], number))
                explained |= set(ports)
        return explained

    def _ports_into(self, name: str) -> list[str]:
        if name not in self.parts:
            part, _, port = name.rpartition(".")
            return [self.parts[part].port(port).full_name]
        part_there = self.parts[name]
        ports = [port.full_name for port in part_there.ports if not port.is_dry]
        if part_there.kind in FITTINGS:
            return ports
        loose = [port for port in ports if port not in self.joined and not port.endswith(".cap")]
        if len(loose) != 1:
            listing = ", ".join(loose or ports)
            remedy = f"Say which port of it: {listing}."
            raise Refusal(f"circuit, {name}", f"a {part_there.kind} with {len(loose)} loose ports", "one port", remedy)
        return loose

    def _through(self, part: Part) -> None:
        """Add the ways through a part."""
        name = part.name
        if part.kind == "pipe":
            self._way(name, name, "pipe", f"{name}.start", f"{name}.end", where=name)
        elif part.kind == "check valve":
            self._way(name, name, "check", f"{name}.inlet", f"{name}.outlet", where=name)
        elif part.kind in COCK_PORTS:
            given = self.entry.handles.get(name)
            positions = (given.positions if given else {}) or TWO_WAY
            for a, b in combinations(COCK_PORTS[part.kind], 2):
                passes = frozenset(at for at, groups in positions.items() if any({a, b} <= set(g) for g in groups))
                self._way(name, name, "cock", f"{name}.{a}", f"{name}.{b}", name, passes)
        elif part.kind == "pump":
            source = next((s for n, s in self.entry.sources.items() if (s.part or n) == name), None)
            valves = source.valves if source else ("suction", "delivery")
            for valve, piece, a, b in _PUMP_VALVES:
                if valve in valves:
                    self._piece(piece, name, "check", f"{name}.{a}", f"{name}.{b}")
                else:
                    self.merge(f"{name}.{a}", f"{name}.{b}")
        elif part.kind == "injector":
            inside = f"{name}.inside"
            self._piece("water way", name, "water", f"{name}.water", inside)
            self._piece("own check", name, "check", inside, f"{name}.delivery")
            self._piece("overflow", name, "overflow", inside, f"{name}.overflow")
            if f"{name}.steam" in self.joined:
                self._piece("steam cone", name, "nozzle", f"{name}.steam", inside)
            else:
                self._piece("steam", name, "nozzle", inside, BOILER)

    def _way(
        self, name: str, part: str, kind: WayKind, a: str, b: str | int, handle: str = "",
        passes: frozenset[str] = frozenset(), where: str = "",
    ) -> None:  # fmt: skip
        self.ways.append(_Rough(name, part, kind, a, b, handle, passes, where))

    def _piece(self, piece: Piece, part: str, kind: WayKind, a: str, b: str | int, where: str = "") -> None:
        self.ways.append(_Rough(f"{piece} of {part}", part, kind, a, b, where=where, piece=piece))

    def _source(self, name: str, entry: SourceEntry) -> tuple[str, SourceEntry, str, str, str, str | None]:
        part = entry.part or name
        if entry.kind == "outside pump":
            assert entry.port is not None  # the reader of the job saw to it
            self._ports_into(entry.port)
            return name, entry, entry.port, name, "pumping", None
        drive = ENGINE if entry.kind in ("axle pump", "crankshaft pump") else name
        on = {"hand pump": "worked", "injector": "steam on"}.get(entry.kind, "running")
        steam = f"{part}.steam" if entry.kind == "injector" and f"{part}.steam" in self.joined else None
        return name, entry, f"{part}.inside", "" if steam else drive, "" if steam else on, steam

    def _mouths(self, explained: set[str], nuts: dict[str, list[str]]) -> None:
        """Add the open mouths and the caps: every loose port that nothing explains."""
        hoses = {each.port: name for name, each in self.entry.sources.items() if each.port}
        caps = {part.name for part in self.parts.values() if part.kind == "cap"}
        capped = {joint.b if joint.a.rpartition(".")[0] in caps else joint.a: joint.a.rpartition(".")[0]
                  if joint.a.rpartition(".")[0] in caps else joint.b.rpartition(".")[0]
                  for joint in self.job.joints
                  if caps & {joint.a.rpartition(".")[0], joint.b.rpartition(".")[0]}}  # fmt: skip
        for port, cap in capped.items():
            hose = hoses.get(port, "")
            off = frozenset({"cap off"}) if hose else frozenset()
            self._way(cap, cap, "cap", port, AIR, hose, off, where=cap)
        for port, name in hoses.items():
            if port not in capped:
                self._way(name, port.rpartition(".")[0], "mouth", port, AIR, name, frozenset({"hose off"}), where=name)
        loose = [port.full_name for port in self._wet() if port.full_name not in self.joined | explained | set(hoses)]
        loose = [port for port in loose if not port.endswith((".cap", ".steam")) and port not in nuts]
        for port in loose:
            part = port.rpartition(".")[0]
            alone = sum(each.rpartition(".")[0] == part for each in loose) == 1
            self._piece("mouth", part, "mouth", port, AIR, part if alone else port)

    def _wet(self) -> Iterator[Port]:
        return (port for part in self.parts.values() if part.kind not in ("union nut", "cap")
                for port in part.ports if not port.is_dry)  # fmt: skip

    def _numbered(
        self, nuts: dict[str, list[str]], sources: Iterable[tuple[str, SourceEntry, str, str, str, str | None]]
    ) -> Circuit:
        """Keep what is joined to a reservoir, and number it."""
        whole: dict[str, str] = {}

        def group(place: str) -> str:
            while whole.setdefault(place, place) != place:
                place = whole[place]
            return place

        for way in self.ways:
            if isinstance(way.b, str):
                whole[group(self.root(way.b))] = group(self.root(way.a))
        reached: dict[int, set[str]] = {BOILER: set(), TANK: set()}
        for way in self.ways:
            if way.kind == "opening" and isinstance(way.b, int):
                reached[way.b].add(group(self.root(way.a)))
        if not reached[BOILER] & reached[TANK]:
            remedy = "Look for the joint that is left out, or the pipe that is not in the job."
            raise Refusal("circuit", "nothing that joins the tank to the boiler", "a way to the boiler", remedy)
        kept = reached[BOILER] | reached[TANK]
        places: dict[str, list[str]] = {}
        for port in [*self.over]:
            if group(self.root(port)) in kept:
                places.setdefault(self.root(port), []).append(port)
        touched = {self.root(end) for way in self.ways for end in (way.a, way.b) if isinstance(end, str)}
        roots = [root for root in places if root in touched]
        number = {root: n for n, root in enumerate(roots)}
        after = {root: called_after(places[root], self.parts) for root in roots}
        nodes = [
            Node(
                node_name(*after[root]),
                tuple(port for port in places[root] if not port.endswith(".inside")),
                tuple(nut for port in places[root] for nut in nuts.get(port, ())),
                all(port.endswith(".inside") for port in places[root]),
                *after[root],
            )
            for root in roots
        ]
        ways = [
            Way(
                way.name, way.part, way.kind, number[self.root(way.a)],
                number[self.root(way.b)] if isinstance(way.b, str) else way.b,
                way.handle, way.passes, way.where, way.piece,
            )
            for way in self.ways if self.root(way.a) in number
        ]  # fmt: skip
        in_it = {port.rpartition(".")[0] for ports in places.values() for port in ports}
        aside = tuple(p.name for p in self.parts.values() if p.name not in in_it and p.kind not in _HOLDS_NO_WATER)
        made = [
            Source(name, entry.kind, number[self.root(at)], handle, on,
                   None if steam is None else number[self.root(steam)], entry.duty)
            for name, entry, at, handle, on, steam in sources if self.root(at) in number
        ]  # fmt: skip
        used = {way.handle for way in ways} | {source.handle for source in made}
        every = possible_positions(self.job.model_dump(mode="json"))
        handles = {name: positions for name, positions in every.items() if name in used}
        return Circuit(tuple(nodes), tuple(ways), handles, tuple(made), aside)
