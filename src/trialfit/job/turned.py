"""The records of a turned part in a job document: a stack of features along its axis, one line a feature.

The part lies with its axis level. Lines of the outside run from its left end to its right; lines of the inside are
counted from the end they are worked from, and each depth from that end's finished face.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, Literal, Self

from pydantic import Field, model_validator

from trialfit.job.tooling import DrillName, MetalName, ThreadName
from trialfit.job.turned_sizes import PatternRule
from trialfit.job.values import (
    Angle,
    AngleAboveZero,
    LengthAboveZero,
    LengthFromZero,
    Record,
    Whole,
    YesNo,
    refused,
)

_OUTSIDE = ("plain", "spigot", "hexagon", "thread", "groove", "taper", "chamfer")
_INSIDE = ("bore", "counterbore", "thread", "cone", "groove")
_RING = ("o_ring", "ring_bore", "against")


class BarEntry(Record):
    """A bar to turn from."""

    shape: Literal["round", "hexagon"] = Field(description="Its section.", examples=["hexagon"])
    size: LengthAboveZero = Field(description="Diameter, or width across flats.", examples=["10 mm"])


class Hidden(Record):
    """A length out of sight when a joint is made up. Without a plus-or-minus it is written as the bare length."""

    value: LengthFromZero = Field(description="The length.", examples=["8 mm"])
    pm: LengthAboveZero | None = Field(None, description="Its plus-or-minus, k = 2.", examples=["0.2 mm"])
    by: str = Field("", description="Who measured it, with what.", examples=["workshop, depth rod"])

    @model_validator(mode="before")
    @classmethod
    def _short_form(cls, written: Any) -> Any:
        return written if isinstance(written, dict | Hidden) else {"value": written}


class OutsideLine(Record):
    """One line of the outside, from the left end to the right. It begins with what it is."""

    plain: LengthAboveZero | None = Field(None, description="A plain diameter: body, collar.", examples=["9.5 mm"])
    spigot: LengthAboveZero | None = Field(
        None, description="A plain diameter that enters another part.", examples=["6.5 mm"]
    )
    hexagon: LengthAboveZero | None = Field(None, description="A hexagon across its flats.", examples=["10 mm"])
    thread: ThreadName | None = Field(None, description="A male thread.", examples=["1/4x40"])
    groove: LengthAboveZero | None = Field(
        None, description="A groove or undercut: diameter at its bottom.", examples=["5.4 mm"]
    )
    taper: LengthAboveZero | None = Field(
        None, description="A taper: diameter at its left end; two of `to`, `long`, `angle`.", examples=["8 mm"]
    )
    chamfer: LengthAboveZero | None = Field(
        None,
        description="A 45 deg chamfer on the edge it stands at; it takes nothing from the length.",
        examples=["0.4 mm"],
    )
    long: LengthAboveZero | None = Field(None, description="Its length along the axis.", examples=["8 mm"])
    shows: LengthFromZero | None = Field(
        None,
        description="Instead of `long`: what is seen of it when it is home; the joint of `port` adds what is hidden.",
        examples=["0 mm"],
    )
    port: str | None = Field(None, description="part.port that this line makes.", examples=["tail.a"])
    undercut: LengthAboveZero | None = Field(
        None,
        description="Width of an undercut at the thread's shoulder, inside its length; cut 0.1 mm below the core.",
        examples=["1.3 mm"],
    )
    to: LengthAboveZero | None = Field(None, description="Diameter at a taper's right end.", examples=["5 mm"])
    angle: AngleAboveZero | None = Field(None, description="Included angle of a taper.", examples=["60 deg"])
    o_ring: LengthAboveZero | None = Field(None, description="Section of the O-ring in a groove.", examples=["1.78 mm"])
    ring_bore: LengthAboveZero | None = Field(None, description="Bore of that O-ring, free.", examples=["6.07 mm"])
    against: LengthAboveZero | None = Field(None, description="Bore the O-ring seals against.", examples=["9 mm"])

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        kind = _one_of(self, _OUTSIDE, 'Begin with what it is, for instance { thread = "1/4x40", long = "8 mm" }.')
        lengths = ("long", "shows", "port")
        allowed = {
            "groove": ("long", *_RING),
            "taper": ("to", "long", "angle"),
            "chamfer": (),
            "thread": (*lengths, "undercut"),
        }.get(kind, lengths)
        _only(self, kind, allowed)
        if kind == "taper":
            given = [key for key in ("to", "long", "angle") if getattr(self, key) is not None]
            if len(given) != 2:
                got = f"{' and '.join(given) or 'none'} of to, long, angle"
                raise refused(got, "two of them", 'For instance { taper = "8 mm", to = "5 mm", angle = "60 deg" }.')
        elif kind == "groove":
            _needs(self, kind, "long", '"1.5 mm"')
        elif kind != "chamfer":
            _one_of(self, ("long", "shows"), 'Write long = "8 mm", or shows = "0 mm" with a port.')
            if self.shows is not None:
                _needs(self, "line with shows", "port", '"tail.a"')
        _ring_whole(self)
        return self


class InsideLine(Record):
    """One line of the inside, from the end it is worked from. It begins with what it is."""

    bore: LengthAboveZero | None = Field(None, description="A plain hole, drilled.", examples=["5/32 in"])
    counterbore: LengthAboveZero | None = Field(None, description="A flat-bottomed hole.", examples=["6.5 mm"])
    thread: ThreadName | None = Field(None, description="A female thread.", examples=["5/16x32"])
    cone: AngleAboveZero | None = Field(
        None, description="A cone at the mouth: its included angle.", examples=["60 deg"]
    )
    groove: LengthAboveZero | None = Field(
        None, description="A groove in the bore: diameter at its bottom.", examples=["8.4 mm"]
    )
    deep: LengthAboveZero | None = Field(
        None, description="Depth from the finished face to the end of the full diameter or full thread.",
        examples=["7 mm"],
    )  # fmt: skip
    through: YesNo = Field(False, description="Whether it goes right through.", examples=[True])
    mouth: LengthAboveZero | None = Field(None, description="A cone's diameter at the face.", examples=["4.8 mm"])
    at: LengthFromZero | None = Field(None, description="A groove's near side, from the face.", examples=["2 mm"])
    long: LengthAboveZero | None = Field(None, description="A groove's width.", examples=["2.4 mm"])
    flat: YesNo = Field(
        False, description="Whether a blind bore or tapping hole ends flat, not in a drill's point.", examples=[True]
    )
    reamed: YesNo = Field(False, description="Whether a bore is finished with a reamer.", examples=[True])
    drill: DrillName | None = Field(None, description="Tapping drill, if not the shop's choice.", examples=["7/32 in"])
    drilled: LengthAboveZero | None = Field(
        None, description="Depth of a blind tapping hole to its full diameter.", examples=["9 mm"]
    )
    port: str | None = Field(None, description="part.port that this line makes.", examples=["nut.thread"])
    ball: LengthAboveZero | None = Field(
        None, description="Ball that seats on the edge of this bore.", examples=["5/32 in"]
    )
    o_ring: LengthAboveZero | None = Field(
        None, description="Section of the O-ring in a groove, or at the bottom of a counterbore.", examples=["1.78 mm"]
    )
    ring_bore: LengthAboveZero | None = Field(None, description="Bore of that O-ring, free.", examples=["6.07 mm"])
    against: LengthAboveZero | None = Field(None, description="Rod or spigot it seals against.", examples=["6 mm"])

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        kind = _one_of(self, _INSIDE, 'Begin with what it is, for instance { bore = "5/32 in", through = true }.')
        allowed = {
            "bore": ("deep", "through", "flat", "reamed", "ball"),
            "counterbore": ("deep", "o_ring", "ring_bore"),
            "thread": ("deep", "through", "drill", "drilled", "flat", "port"),
            "cone": ("mouth",),
            "groove": ("at", "long", *_RING),
        }[kind]
        _only(self, kind, allowed)
        for key, example in {"cone": (("mouth", '"4.8 mm"'),), "counterbore": (("deep", '"5 mm"'),)}.get(kind, ()):
            _needs(self, kind, key, example)
        if kind == "groove":
            _needs(self, kind, "at", '"2 mm"')
            _needs(self, kind, "long", '"2.4 mm"')
        if kind in ("bore", "thread"):
            _one_of(self, ("deep", "through"), 'Write deep = "7 mm", or through = true.')
        if self.through:
            _only(self, "through hole", ("bore", "thread", "through", "reamed", "drill", "port", "ball"))
        if kind == "cone" and self.cone is not None and self.cone.to("deg") >= 180:
            raise refused(str(self.cone), "an included angle under 180 deg", "Write the included angle.", "cone")
        if kind == "groove":
            _ring_whole(self)
        return self


class CrossHole(Record):
    """A hole across the axis."""

    hole: LengthAboveZero = Field(description="Its diameter.", examples=["2 mm"])
    at: LengthAboveZero = Field(description="Its middle, from the left end's finished face.", examples=["9 mm"])
    walls: Literal["one", "both"] = Field(description="Through one wall or both.", examples=["one"])
    turn: Angle | None = Field(
        None,
        description="How far round it is from the first cross hole, anticlockwise seen from the left.",
        examples=["90 deg"],
    )


class TurnedEntry(PatternRule):
    """A part to be turned: its features along the axis, or a ready-made part with its sizes."""

    what: str = Field("", description="Which one, in words.", examples=["new tail for the check valve"])
    metal: MetalName = Field(description="Its metal, by its name in the tables.", examples=["CW451K"])
    count: Whole = Field(1, ge=1, description="How many are wanted.", examples=[2])
    bar: BarEntry | None = Field(None, description="Bar to turn it from; without it the shop's choice.")
    least_wall: LengthAboveZero | None = Field(
        None, description="Least wall allowed anywhere; without it 0.5 mm is assumed.", examples=["0.6 mm"]
    )
    outside: tuple[OutsideLine, ...] = Field((), description="The outside, from the left end to the right.")
    from_left: tuple[InsideLine, ...] = Field((), description="The inside, worked from the left end.")
    from_right: tuple[InsideLine, ...] = Field((), description="The inside, worked from the right end.")
    cross_holes: tuple[CrossHole, ...] = Field((), description="Holes across the axis.")

    @model_validator(mode="after")
    def _has_a_shape(self) -> Self:
        lines = [key for key in ("outside", "from_left", "from_right", "cross_holes") if getattr(self, key)]
        if self.pattern is not None and lines:
            got = f"both a pattern and lines under {lines[0]}"
            raise refused(got, "one of the two", "Take the pattern out, or the lines.", lines[0])
        if self.pattern is None and not any(_kind(line, _OUTSIDE) != "chamfer" for line in self.outside):
            remedy = 'Add outside = [{ thread = "1/4x40", long = "8 mm" }, ...], or a pattern.'
            raise refused("no outside", "at least one line with a length", remedy, "outside")
        return self


def outside_kind(line: OutsideLine) -> str:
    """Say what a line of the outside is.

    Parameters
    ----------
    line
        The line.

    Returns
    -------
    str
        Plain, spigot, hexagon, thread, groove, taper or chamfer.
    """
    return _kind(line, _OUTSIDE)


def inside_kind(line: InsideLine) -> str:
    """Say what a line of the inside is.

    Parameters
    ----------
    line
        The line.

    Returns
    -------
    str
        Bore, counterbore, thread, cone or groove.
    """
    return _kind(line, _INSIDE)


def _kind(line: Record, kinds: Collection[str]) -> str:
    return next(kind for kind in kinds if getattr(line, kind) is not None)


def _one_of(line: Record, keys: tuple[str, ...], remedy: str) -> str:
    given = [key for key in keys if getattr(line, key) not in (None, False)]
    if len(given) != 1:
        got = " and ".join(given) if given else f"none of {', '.join(keys)}"
        raise refused(got, f"one of {', '.join(keys)}" if not given else "only one of them", remedy)
    return given[0]


def _only(line: Record, kind: str, allowed: Collection[str]) -> None:
    for key in type(line).model_fields:
        if key not in (kind, *allowed) and getattr(line, key) not in (None, False):
            remedy = f"Take it out; with {kind} go {', '.join(allowed)}." if allowed else "Take it out."
            raise refused(f"{key} on a {kind}", f"keys that belong to a {kind}", remedy, key)


def _needs(line: Record, kind: str, key: str, example: str) -> None:
    if getattr(line, key) is None:
        about = (type(line).model_fields[key].description or "").rstrip(".")
        raise refused(f"a {kind} without {key}", key, f"Add {key} = {example}: {about[0].lower()}{about[1:]}.")


def _ring_whole(line: Record) -> None:
    given = [key for key in _RING if getattr(line, key) is not None]
    if given and len(given) < 3:
        lacking = next(key for key in _RING if key not in given)
        raise refused(f"{given[0]} without {lacking}", "all of o_ring, ring_bore, against", f"Add {lacking} = ...")
