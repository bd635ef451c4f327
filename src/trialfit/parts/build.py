"""Parts of a job with all their ports, from what the job says of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from trialfit.errors import Fault, Refusal, Refusals
from trialfit.job.nearest import did_you_mean
from trialfit.job.port_faults import part_faults
from trialfit.job.ports import KINDS, PortKind
from trialfit.job.records import Job, Joint, PartEntry, PipeEntry, PortEntry
from trialfit.parts.records import Part, Port, Seat
from trialfit.tables.designations import find_thread
from trialfit.tables.threads import Thread
from trialfit.units import Quantity


@dataclass(frozen=True)
class JointPorts:
    """A joint of the job with its two ports.

    Parameters
    ----------
    a, b
        The ports.
    """

    a: Port
    b: Port


def build_parts(job: Job) -> tuple[Part, ...]:
    """Give every part of a job with all the ports its kind has; a pipe that is wanted counts as a pipe.

    Parameters
    ----------
    job
        The job document.

    Returns
    -------
    tuple of Part
        In the job's order, the wanted pipes last.

    Raises
    ------
    Refusals
        Ports their kind does not have, features a port cannot have, threads the tables do not know; all at once.
    """
    faults = [fault for name, entry in job.parts.items() for fault in _faults(name, entry)]
    if faults:
        raise Refusals(faults)
    parts = [_part(name, entry) for name, entry in job.parts.items()]
    return (*parts, *(_pipe(name, entry) for name, entry in job.pipes.items()))


def build_joints(job: Job, parts: Iterable[Part]) -> tuple[JointPorts, ...]:
    """Give every joint of a job with its two ports.

    Parameters
    ----------
    job
        The job document.
    parts
        Its parts, built.

    Returns
    -------
    tuple of JointPorts
        In the job's order.

    Raises
    ------
    Refusals
        Joints that name a part or port that is not there; all at once.
    """
    parts = tuple(parts)
    found: list[JointPorts] = []
    faults: list[Fault] = []
    for joint in job.joints:
        try:
            found.append(_joint(joint, parts))
        except Refusal as refusal:
            faults += refusal.faults
    if faults:
        raise Refusals(faults)
    return tuple(found)


def find_port(parts: Iterable[Part], written: str) -> Port:
    """Find a port by its full name.

    Parameters
    ----------
    parts
        The parts there are.
    written
        As part.port.

    Returns
    -------
    Port
        The port.

    Raises
    ------
    Refusal
        No such part, or its kind has no such port; the nearest is named.
    """
    known = {part.name: part for part in parts}
    name, _, port = written.rpartition(".")
    if name not in known:
        remedy = did_you_mean(name, known, "Add the part to the job.")
        raise Refusal(f"port {written}", f'the part "{name}"', "a part that is there", remedy)
    return known[name].port(port)


def _joint(joint: Joint, parts: tuple[Part, ...]) -> JointPorts:
    return JointPorts(find_port(parts, joint.a), find_port(parts, joint.b))


def _faults(name: str, entry: PartEntry) -> Iterator[Fault]:
    ports = {port: given.model_dump(exclude_none=True) for port, given in entry.ports.items()}
    for found in part_faults(name, entry.kind, ports):
        yield Fault(found.what, found.got, found.wanted, found.remedy)
    for port, given in entry.ports.items():
        try:
            _thread(f"part {name}, port {port}", given)
        except Refusal as refusal:
            yield from refusal.faults


def _thread(what: str, given: PortEntry) -> Thread | None:
    return None if given.thread is None else find_thread(given.thread, f"{what}, thread")


def _part(name: str, entry: PartEntry) -> Part:
    nothing = PortEntry.model_validate({})
    ports = tuple(_port(name, kind, entry.ports.get(kind.name, nothing)) for kind in KINDS[entry.kind])
    return Part(name, entry.kind, entry.what, entry.metal, ports)


def _pipe(name: str, entry: PipeEntry) -> Part:
    ends = PortEntry.model_validate({"tube": entry.tube.od})
    return Part(name, "pipe", entry.what, entry.tube.metal, tuple(_port(name, kind, ends) for kind in KINDS["pipe"]))


def _port(part: str, kind: PortKind, given: PortEntry) -> Port:
    thread = _thread(f"part {part}, port {kind.name}", given)
    seat = given.seat
    return Port(
        part=part,
        name=kind.name,
        may_have=kind.may_have,
        thread=thread,
        gender=None if thread is None else given.gender or kind.gender,
        seat=None if seat is None else Seat(seat.kind, seat.gender, _in(seat.angle, "deg"), _in(seat.across, "mm")),
        tube_mm=_in(given.tube, "mm"),
        bore_mm=_in(given.socket, "mm"),
        bore_is=kind.bore_is,
        direction=kind.direction if given.direction is None else given.direction,
        face=given.face,
        axis_from=given.axis_from,
        axis_of=given.axis_of,
        axis_against=given.axis_sense == "against",
        at_mm=None if given.at is None else mm_of(given.at),
        at_k2_mm=_in(given.at_pm, "mm"),
    )


def mm_of(triple: tuple[Quantity, Quantity, Quantity]) -> tuple[float, float, float]:
    """Read three lengths of the job.

    Parameters
    ----------
    triple
        x, y, z as written.

    Returns
    -------
    tuple of float
        The three. [mm]

    Source
    ------
    The job document.
    """
    x, y, z = (float(each.to("mm")) for each in triple)
    return x, y, z


def _in(quantity: Quantity | None, unit: str) -> float | None:
    return None if quantity is None else float(quantity.to(unit))
