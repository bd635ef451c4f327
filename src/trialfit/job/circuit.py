"""Records of the job document: what the parts and joints do not say of the water circuit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field

from trialfit.job.pump import PumpFigures, UseEntry
from trialfit.job.values import LengthAboveZero, Name, Record

SourceKind = Literal["axle pump", "crankshaft pump", "hand pump", "outside pump", "injector"]
PumpValve = Literal["suction", "delivery"]
Plug = Literal["straight", "L", "T"]
Sight = Literal[
    "feeds the boiler",
    "does not feed the boiler",
    "returns to the tank",
    "does not return to the tank",
    "locks solid",
    "moves freely",
    "spits air",
    "runs without air",
    "hot",
    "cold",
    "wet",
    "dry",
]
Together = Annotated[tuple[Name, ...], Field(min_length=2)]

# Ports of the parts that have a handle, going round the plug: straight on is half a turn away, a side a quarter.
COCK_PORTS: Mapping[str, tuple[str, ...]] = {
    "cock": ("inlet", "outlet"),
    "three-way cock": ("inlet", "left", "right"),
}
# What a cock does of which nothing is said; the first is how it stands unless a setting says otherwise.
TWO_WAY: Mapping[str, tuple[tuple[str, ...], ...]] = {"shut": (), "open": (("inlet", "outlet"),)}
ENGINE = "engine"
BY_THE_AXLE = ("axle pump", "crankshaft pump")
DRIVES: Mapping[str, tuple[str, ...]] = {
    "axle pump": ("standing", "running"),
    "crankshaft pump": ("standing", "running"),
    "hand pump": ("at rest", "worked"),
    "injector": ("steam off", "steam on"),
    "outside pump": ("hose off", "pumping"),
}
CAPPED = ("cap on", "cap off", "pumping")


class HandleEntry(Record):
    """What the positions of a cock's handle connect."""

    what: str = Field("", description="What the owner calls it.", examples=["bypass, under the cab floor"])
    positions: dict[str, tuple[Together, ...]] = Field(
        default_factory=dict,
        description="By the position's name, the ports it connects with each other; none where it shuts all. "
        "Needed for a three-way cock; a cock is shut or open.",
        examples=[{"shut": [], "open": [["inlet", "outlet"]]}],
    )
    plug: Plug | None = Field(
        None,
        description="How a three-way cock's plug is drilled; then its positions are held against it.",
        examples=["L"],
    )
    usual: Name | None = Field(
        None, description="Position it stands in unless a setting says otherwise; else the first.", examples=["shut"]
    )


class SourceEntry(Record):
    """What moves water: a pump or an injector."""

    kind: SourceKind = Field(description="What it is, by what drives it.", examples=["axle pump"])
    part: Name | None = Field(
        None, description="The part it is; without it, the part of the same name.", examples=["axle_pump"]
    )
    port: Name | None = Field(
        None, description="Where the hose of an outside pump goes on, as part.port.", examples=["tee.branch"]
    )
    valves: tuple[PumpValve, ...] = Field(
        ("suction", "delivery"),
        description="Valves that a pump has in its own body; those that are parts of the job are left out.",
        examples=[["suction", "delivery"]],
    )
    duty: Literal["boiler", "tank"] = Field(
        "boiler", description="What it is there to fill; it draws from the tank.", examples=["boiler"]
    )
    pump: PumpFigures | None = Field(None, description="Its figures, where it is a pump with a ram.")


class CircuitPipe(Record):
    """What was measured of a pipe, or of a fitting, that water goes through."""

    bore: LengthAboveZero | None = Field(
        None, description="Its bore; without it that of its tube, or else 1.5 to 4 mm is assumed.", examples=["3 mm"]
    )
    length: LengthAboveZero | None = Field(
        None, description="Length of a pipe; without it 50 to 600 mm is assumed.", examples=["280 mm"]
    )


class SettingEntry(Record):
    """One way the owner sets handles and drives."""

    what: str = Field("", description="What he is doing then.", examples=["running, feed on"])
    positions: dict[str, Name] = Field(
        default_factory=dict,
        description="Position of each handle and drive that is not as usual.",
        examples=[{"bypass": "shut", "engine": "running"}],
    )


class SymptomEntry(Record):
    """What was seen, and how handles and drives stood."""

    positions: dict[str, Name] = Field(
        default_factory=dict,
        description="Position of each handle and drive that is not as usual.",
        examples=[{"bypass": "shut", "engine": "running"}],
    )
    where: Name = Field(description='The source, pipe or open mouth it was seen at, or "tank".', examples=["axle_pump"])
    seen: Sight = Field(description="What was seen there.", examples=["does not feed the boiler"])


class CircuitEntry(Record):
    """The water circuit, as far as parts and joints do not say it."""

    boiler: tuple[Name, ...] = Field(
        min_length=1, description="Parts, or ports, that open into the boiler.", examples=[["clack_bush"]]
    )
    tank: tuple[Name, ...] = Field(
        min_length=1, description="Parts, or ports, that open into the tank.", examples=[["suction_union", "return"]]
    )
    blanked: tuple[Name, ...] = Field(
        (),
        description="Ports without a joint that are shut all the same; any other is an open mouth.",
        examples=[["tee.branch"]],
    )
    handles: dict[str, HandleEntry] = Field(
        default_factory=dict, description="Cocks that need a word, by the part's name."
    )
    sources: dict[str, SourceEntry] = Field(default_factory=dict, description="Pumps and injectors, by name.")
    pipes: dict[str, CircuitPipe] = Field(
        default_factory=dict, description="Bores and lengths, by the pipe's or fitting's name: what parts the flows."
    )
    use: UseEntry | None = Field(None, description="What the boiler uses, and the water it is fed with.")
    settings: dict[str, SettingEntry] = Field(
        default_factory=dict, description="Settings in use, by name; without any, each handle moved by itself."
    )
    symptoms: tuple[SymptomEntry, ...] = Field((), description="What is amiss, as far as it was seen.")
