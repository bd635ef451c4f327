"""Records of the job document: how things come off the engine, what has to, and what the owner has to do it with."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from trialfit.job.tooling import ThreadName
from trialfit.job.values import Angle, LengthAboveZero, Name, Number, Record, YesNo, refused

Triple = tuple[Number, Number, Number]

_ONLY_FOR: dict[str, tuple[str, ...]] = {
    "turns": ("unscrew",),
    "thread": ("unscrew",),
    "left_hand": ("unscrew",),
    "by": ("pull", "lift"),
    "angle": ("turn",),
}
_NEEDED = {"pull": "by", "lift": "by", "turn": "angle"}


class MoveEntry(Record):
    """One motion, as the thing comes off. It goes on the other way round."""

    do: Literal["unscrew", "pull", "lift", "turn"] = Field(description="What is done.", examples=["unscrew"])
    turns: Number | None = Field(
        None,
        gt=0,
        description="Turns until the thread lets go; without it what the joint hides, over the pitch.",
        examples=[4.5],
    )
    thread: ThreadName | None = Field(
        None, description="The thread; without it that of its joint.", examples=["1/4x40"]
    )
    left_hand: YesNo = Field(False, description="Whether it is a left-hand thread.", examples=[True])
    by: LengthAboveZero | None = Field(None, description="How far it is pulled or lifted.", examples=["30 mm"])
    angle: Angle | None = Field(
        None, description="How far it is turned: anticlockwise, seen from where it comes off.", examples=["90 deg"]
    )
    along: Triple | None = Field(
        None,
        description="The way out, as x, y, z of the card; without it that of its joint.",
        examples=[[0, -1, 0]],
    )
    axis: tuple[Name, Name] | None = Field(
        None,
        description="Instead of `along`: two surveyed points on its axis, the inner one first.",
        examples=[["elbow.face", "elbow.back"]],
    )
    only: Name | None = Field(
        None, description="The one thing of a group that makes this motion: a nut that slides back.", examples=["nut"]
    )

    @model_validator(mode="after")
    def _keys_fit(self) -> MoveEntry:
        for key, kinds in _ONLY_FOR.items():
            if key in self.model_fields_set and self.do not in kinds:
                remedy = f"Take it out, or is it to {' or '.join(kinds)}?"
                raise refused(f'"{key}" with "{self.do}"', f"{key} only with {', '.join(kinds)}", remedy, key)
        key = _NEEDED.get(self.do, "")
        if key and getattr(self, key) is None:
            raise refused("nothing", f"{key} with {self.do}", f"Add {key}: it says how far.", key)
        if self.along is not None and not any(self.along):
            raise refused(str(list(self.along)), "a direction", "Write which way it comes out.", "along")
        return self


class ComesOffEntry(Record):
    """One way in which a thing comes off; several may be given, and any one will do."""

    moves: tuple[MoveEntry, ...] = Field(min_length=1, description="Motion after motion, from its place outwards.")
    side: tuple[Name, ...] = Field(
        (), description="Sides of the engine one can stand at to do it; without any, every side.", examples=[["left"]]
    )
    spanner: LengthAboveZero | None = Field(
        None, description="Across flats of what the spanner goes on; without it, its hexagon's.", examples=["10 mm"]
    )
    by_hand: YesNo = Field(False, description="Whether fingers are enough.", examples=[True])


class OwnerSpanner(Record):
    """One spanner the owner has."""

    across_flats: LengthAboveZero = Field(description="The hexagon it fits.", examples=["10 mm"])
    length: LengthAboveZero | None = Field(
        None, description="From the nut's middle to the hand; without it a usual length.", examples=["130 mm"]
    )
    thick: LengthAboveZero | None = Field(
        None, description="Thickness of its head; without it 0.45 of the flats.", examples=["4.5 mm"]
    )
    head_across: LengthAboveZero | None = Field(
        None, description="Width of its head; without it 2.2 times the flats.", examples=["21 mm"]
    )
    handle_across: LengthAboveZero | None = Field(
        None, description="Width of its handle; without it 0.8 of the flats.", examples=["9 mm"]
    )
    head: Literal["straight", "slanted"] = Field(
        "straight",
        description="Slanted: the jaws stand 15 deg to the handle, so that it can be turned over between pulls.",
        examples=["slanted"],
    )


class OrderEntry(Record):
    """What has to come off and go on."""

    off: tuple[Name, ...] = Field((), description="What has to come off; old pipes always do.", examples=[["elbow"]])
    on: tuple[Name, ...] = Field((), description="What has to go on; new pipes always do.", examples=[["elbow"]])
    new: tuple[Name, ...] = Field(
        (), description="Parts that are not there yet when things come off.", examples=[["new_elbow"]]
    )
    gone: tuple[Name, ...] = Field(
        (), description="Parts that do not come back: they are not there when things go on.", examples=[["stub"]]
    )
    stays: tuple[Name, ...] = Field(
        (), description="Parts that must stay where they are, whatever it costs.", examples=[["gauge_glass"]]
    )
    together: tuple[tuple[Name, ...], ...] = Field(
        (), description="Groups that come off and go on as one.", examples=[[["cock", "cock_handle"]]]
    )
    directions: dict[str, Triple] = Field(
        default_factory=dict,
        description="What the owner calls the directions of the card: x, y, z of each. Sides are best called so too.",
        examples=[{"left": [-1, 0, 0], "front": [0, -1, 0], "top": [0, 0, 1]}],
    )
    spanners: tuple[OwnerSpanner, ...] = Field(
        (), description="The spanners the owner has; without any, one that fits is assumed."
    )
