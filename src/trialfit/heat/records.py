"""What one heat is made of, and what is said of it.

Source: none; these are records.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from trialfit.finding import Band, Finding
from trialfit.heat.network import Array, Lump, Network, Pipe, Sink, network
from trialfit.heat.torch import Torchlight
from trialfit.job.heating import HeatingEntry
from trialfit.parts.stands import Limit


class HeatCaution(StrEnum):
    """What a heat has to be warned of."""

    FLAME = "flame"
    SHUT = "shut"
    CADMIUM = "cadmium"
    ZINC = "zinc"
    FLUX = "flux"
    ACID = "acid"
    QUENCH = "quench"
    CHARRED = "charred"


@dataclass(frozen=True)
class Watched:
    """Something that must stay as it is.

    Parameters
    ----------
    name
        Its name in the job.
    words
        What it is and where.
    on
        The body or pipe it is on.
    along_mm
        How far along that pipe. [mm]
    limit
        What it stands.
    """

    name: str
    words: str
    on: str
    along_mm: float
    limit: Limit


@dataclass(frozen=True)
class Work:
    """One heat, ready to be worked out.

    Parameters
    ----------
    name, what
        Its name in the job, and in words.
    entry
        As the job has it.
    lumps, pipes, sinks
        What hangs together, and what cools it.
    torch
        The torch.
    needs_c
        How hot the joint must be. [°C]
    needs_most_c
        What it must not go much over; None where nothing limits it. [°C]
    joint_on, joint_mm
        Where the joint is.  [mm]
    watched
        What must stay as it is.
    pressure_mpa
        Working pressure of the engine. [MPa]
    """

    name: str
    what: str
    entry: HeatingEntry
    lumps: tuple[Lump, ...]
    pipes: tuple[Pipe, ...]
    sinks: tuple[Sink, ...]
    torch: Torchlight
    needs_c: float
    needs_most_c: float | None
    joint_on: str
    joint_mm: float
    watched: tuple[Watched, ...]
    pressure_mpa: float

    def net(self, more: tuple[Sink, ...] = (), own: bool = True) -> Network:
        """The network, with more sinks if any.

        Parameters
        ----------
        more
            Rags and clamps tried.
        own
            Whether those the job has are there too.

        Returns
        -------
        Network
            Cold.
        """
        sinks = (*self.sinks, *more) if own else more
        return network(self.lumps, self.pipes, self.entry.flame_on, sinks)

    def joint(self, net: Network) -> Array:
        """Weights of the joint's place.

        Parameters
        ----------
        net
            The network.

        Returns
        -------
        array
            Shape (n,). [-]
        """
        return net.place(self.joint_on, self.joint_mm)


@dataclass(frozen=True)
class Outcome:
    """What a heat comes to with a weak, a likely and a strong flame.

    Parameters
    ----------
    reached_s
        When the joint was hot enough; None where it never was. [s]
    stalls
        Where the joint would stall if the flame stayed. [°C]
    most
        Highest temperature of each thing watched, by its name. [°C]
    bodies
        The same of each body. [°C]
    """

    reached_s: tuple[float | None, float | None, float | None]
    stalls: Band
    most: dict[str, Band]
    bodies: dict[str, Band]

    @property
    def time(self) -> Band | None:
        """How long it takes; None unless it comes up with any flame in the band. [s]"""
        slow, likely, quick = self.reached_s
        if slow is None or likely is None or quick is None:
            return None
        return Band(quick, likely, slow, "s", 0)


@dataclass(frozen=True)
class HeatReport:
    """All that is said of one heat.

    Parameters
    ----------
    name, what
        Its name in the job, and in words.
    do
        What it is for, in words.
    needs_c
        How hot the joint must be. [°C]
    torch
        The torch.
    takes_w
        Least heat the work must take for the joint to come up at all. [W]
    outcome
        What it comes to.
    watched
        What must stay as it is.
    cool
        Where a wet rag or a clamp goes, in words, one line each thing that is to be kept cool.
    hot_gap
        Gap per side when hot; None where the job gives no fit. [mm]
    wire
        Length of solder wire, in words; empty where not asked.
    findings
        Every question with its answer.
    cautions
        What to be warned of.
    """

    name: str
    what: str
    do: str
    needs_c: float
    torch: Torchlight
    takes_w: float
    outcome: Outcome
    watched: tuple[Watched, ...]
    cool: tuple[str, ...]
    hot_gap: Band | None
    wire: str
    findings: tuple[Finding, ...]
    cautions: tuple[HeatCaution, ...]
