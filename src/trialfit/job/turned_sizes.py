"""The sizes a ready-made turned part is given by, and which of them each part needs."""

from __future__ import annotations

from typing import Any, Literal, Self, get_args

from pydantic import Field, model_validator

from trialfit.job.tooling import ThreadName
from trialfit.job.values import AngleAboveZero, LengthAboveZero, LengthFromZero, Record, YesNo, refused

PatternName = Literal[
    "threaded tail",
    "union cone",
    "union nut",
    "blanking cap",
    "adaptor",
    "bush",
    "ball seat",
    "shim washer",
]


class TurnedSizes(Record):
    """Sizes of a ready-made part; which of them it takes depends on the part."""

    thread: ThreadName | None = Field(None, description="Its thread.", examples=["1/4x40"])
    thread_long: LengthAboveZero | None = Field(
        None, description="Length of the thread: of a male one all of it, of a female one its depth.", examples=["8 mm"]
    )
    thread_shows: LengthFromZero | None = Field(
        None,
        description="Of a male thread, what is seen of it when it is home; the joint says what is hidden.",
        examples=["0 mm"],
    )
    other: ThreadName | None = Field(None, description="The thread at the other end.", examples=["5/16x32"])
    other_long: LengthAboveZero | None = Field(None, description="Its length or depth.", examples=["7 mm"])
    other_inside: YesNo = Field(False, description="Whether that thread is female.", examples=[True])
    port: str | None = Field(
        None, description="part.port that the thread makes; its joint gives the hidden length.", examples=["tail.a"]
    )
    bore: LengthAboveZero | None = Field(None, description="Bore right through.", examples=["5/32 in"])
    hexagon: LengthAboveZero | None = Field(None, description="Hexagon across its flats.", examples=["10 mm"])
    hexagon_long: LengthAboveZero | None = Field(None, description="Length of the hexagon.", examples=["6 mm"])
    body: LengthAboveZero | None = Field(None, description="Greatest plain diameter.", examples=["9.5 mm"])
    long: LengthAboveZero | None = Field(
        None, description="Length of the body, or of the whole part where it has but one.", examples=["12 mm"]
    )
    spigot: LengthAboveZero | None = Field(None, description="Diameter of the spigot or sleeve.", examples=["6.5 mm"])
    spigot_long: LengthAboveZero | None = Field(None, description="Length of the spigot or sleeve.", examples=["5 mm"])
    socket: LengthAboveZero | None = Field(None, description="Bore of the socket for the tube.", examples=["4.86 mm"])
    socket_deep: LengthAboveZero | None = Field(None, description="Depth of the socket.", examples=["5 mm"])
    angle: AngleAboveZero | None = Field(None, description="Included angle of the cone.", examples=["60 deg"])
    nose: LengthAboveZero | None = Field(None, description="Diameter of the cone's small end.", examples=["5.2 mm"])
    o_ring: LengthAboveZero | None = Field(None, description="Section of the O-ring.", examples=["1.78 mm"])
    ring_bore: LengthAboveZero | None = Field(None, description="Bore of the O-ring, free.", examples=["2.9 mm"])
    ball: LengthAboveZero | None = Field(None, description="Diameter of the ball.", examples=["5/32 in"])
    chamber: LengthAboveZero | None = Field(None, description="Bore of the ball's chamber.", examples=["6 mm"])
    chamber_deep: LengthAboveZero | None = Field(None, description="Depth of the chamber.", examples=["5 mm"])


# For each part the sizes it cannot do without, and those it may have besides.
PATTERN_SIZES: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "threaded tail": (
        ("thread", "bore", "hexagon", "hexagon_long"),
        ("thread_long", "thread_shows", "port", "spigot", "spigot_long"),
    ),
    "union cone": (
        ("body", "long", "angle", "nose", "bore"),
        ("spigot", "spigot_long", "socket", "socket_deep"),
    ),
    "union nut": (("thread", "thread_long", "hexagon", "long", "bore"), ("port",)),
    "blanking cap": (("thread", "thread_long", "hexagon", "long", "o_ring", "ring_bore"), ("port",)),
    "adaptor": (
        ("thread", "other", "other_long", "hexagon", "hexagon_long", "bore"),
        ("thread_long", "thread_shows", "port", "other_inside"),
    ),
    "bush": (("thread", "body", "long", "spigot", "spigot_long"), ("port",)),
    "ball seat": (("body", "long", "bore", "ball"), ("chamber", "chamber_deep", "thread", "port")),
    "shim washer": (("body", "bore", "long"), ()),
}
# Sizes that make no sense one without the other.
_TOGETHER = (("spigot", "spigot_long"), ("socket", "socket_deep"), ("chamber", "chamber_deep"))
# Either the whole male thread, or what shows of it with the port whose joint hides the rest.
_MALE_THREADS = ("threaded tail", "adaptor")


class PatternRule(Record):
    """A ready-made part and its sizes, which must go together."""

    pattern: PatternName | None = Field(
        None, description="A ready-made part; its sizes stand under `sizes`.", examples=["union cone"]
    )
    sizes: TurnedSizes | None = Field(None, description="Sizes of the ready-made part.")

    @model_validator(mode="after")
    def _sizes_of_the_pattern(self) -> Self:
        if self.pattern is None:
            if self.sizes is not None:
                known = ", ".join(get_args(PatternName))
                raise refused("sizes without a pattern", "a pattern", f"Add pattern = ...: one of {known}.", "sizes")
            return self
        given = {key for key in TurnedSizes.model_fields if getattr(self.sizes, key, None) not in (None, False)}
        needed, more = PATTERN_SIZES[self.pattern]
        lacking = [key for key in needed if key not in given]
        if lacking:
            raise _missing(self.pattern, *lacking)
        for key in sorted(given - {*needed, *more}):
            remedy = f"Take it out; the sizes of a {self.pattern} are {', '.join((*needed, *more))}."
            raise refused(f"{key} of a {self.pattern}", "sizes this part has", remedy, "sizes", key)
        for one, other in _TOGETHER:
            if (one in given) != (other in given):
                raise _missing(self.pattern, other if one in given else one)
        if self.pattern in _MALE_THREADS:
            self._male_thread(given)
        return self

    def _male_thread(self, given: set[str]) -> None:
        if ("thread_long" in given) == ("thread_shows" in given):
            got = "both thread_long and thread_shows" if "thread_long" in given else "neither length of the thread"
            remedy = (
                'Write thread_long = "8 mm" for the whole of it, or thread_shows = "0 mm" with the port whose '
                "joint says how much is hidden."
            )
            raise refused(got, "one of thread_long and thread_shows", remedy, "sizes")
        if "thread_shows" in given and "port" not in given:
            raise _missing(str(self.pattern), "port")


def _missing(pattern: str, *keys: str) -> Any:
    remedy = f"Add {'; '.join(_to_add(key) for key in keys)}."
    listed = keys[0] if len(keys) == 1 else f"{', '.join(keys[:-1])} and {keys[-1]}"
    return refused(f"a {pattern} without {listed}", listed, remedy, "sizes")


def _to_add(key: str) -> str:
    field = TurnedSizes.model_fields[key]
    example = (field.examples or [""])[0]
    what = (field.description or "").rstrip(".")
    written = "true" if example is True else f'"{example}"'
    return f"{key} = {written}: {what[0].lower()}{what[1:]}"
