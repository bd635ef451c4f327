"""How far one port goes into another when their joint is made up, and how truly the joint holds it.

The depth is how far the male's outermost end lies inside the female's mouth, along their common axis. For two cones
of one angle that touch it is (mouth - nose) / 2 over the tangent of half the angle.

Source: geometry of cone, ball and helix; what is assumed where nothing was measured is common practice, no published
source.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, sin, tan

from trialfit.finding import Basis
from trialfit.job.records import Joint
from trialfit.parts.proportions import across_mm
from trialfit.parts.records import Port, Seat

# How far a joint holds a part out of place each way [mm] and out of line [deg], k = 2, where the job says nothing.
_SLACK = {"seat": (0.05, 0.5), "thread": (0.15, 1.0), "tube": (0.1, 1.0), "hole": (0.3, 3.0), "held": (0.3, 3.0)}
_HIDDEN_K2_MM = 0.2
_TURNS_K2 = 0.25
_SIX_MM, _MOUTH, _NOSE, _BALL = 6.0, 0.8, 0.65, 0.8
_DEPTH_SHARE, _DEPTH_LEAST_MM = 0.3, 0.5
_SAME_ANGLE_DEG = 60.0


@dataclass(frozen=True)
class MadeUp:
    """A joint as it stands made up.

    Parameters
    ----------
    a, b
        The two ports, as part.port.
    how
        What holds it: seats, a thread, a tube in a socket, a tube through a hole, or its mere shape.
    depth_mm
        How far the male end is inside the female's mouth; 0 where it slides. [mm]
    depth_k2_mm
        Two standard deviations of it. [mm]
    slack_k2_mm, lean_k2_deg
        How far out of place each way [mm] and out of line [deg] it may hold the part, k = 2.
    slides
        Whether nothing stops it along its axis.
    basis
        What the depth rests on.
    because
        The same as a sentence.
    pitch_mm
        Pitch of its thread; 0 where none holds it. [mm]
    """

    a: str
    b: str
    how: str
    depth_mm: float
    depth_k2_mm: float
    slack_k2_mm: float
    lean_k2_deg: float
    slides: bool
    basis: Basis
    because: str
    pitch_mm: float = 0.0

    @property
    def parts(self) -> tuple[str, str]:
        """The two parts."""
        return self.a.rpartition(".")[0], self.b.rpartition(".")[0]


def made_up(joint: Joint, a: Port, b: Port) -> MadeUp:
    """Make up a joint.

    Parameters
    ----------
    joint
        As the job has it.
    a, b
        Its two ports.

    Returns
    -------
    MadeUp
        From the hidden length, else the turns, else the two seats, else what is usual.
    """
    how = _how(a, b)
    slack, lean = _SLACK[how]
    slack = slack if joint.slack is None else float(joint.slack.to("mm"))
    lean = lean if joint.lean is None else float(joint.lean.to("deg"))
    thread = a.thread or b.thread
    pitch = thread.pitch_mm if thread is not None and how in ("thread", "seat") else 0.0
    depth, k2, basis, because = _depth(joint, a, b, how)
    slides = how == "hole" and joint.hidden is None
    return MadeUp(a.full_name, b.full_name, how, depth, k2, slack, lean, slides, basis, because, pitch)


def seat_depth_mm(male: Seat, female: Seat) -> float | None:
    """How far a male seat's foremost end lies inside its fellow's mouth when the two touch.

    Parameters
    ----------
    male, female
        The two seats, their diameters known.

    Returns
    -------
    float or None
        Depth; negative where it stands short of the mouth; None where a figure is lacking. [mm]

    Source
    ------
    Geometry: a sharper male cone touches at its nose or the mouth as the angles decide; a ball of radius r in a cone
    of half angle h touches where its middle is r / sin h from the cone's apex.
    """
    if male.kind == "flat" and female.kind == "flat":
        return 0.0
    angle = female.angle_deg if female.angle_deg is not None else male.angle_deg
    if angle is None or male.across_mm is None or female.across_mm is None or female.kind != "cone":
        return None
    half = radians(angle / 2)
    mouth = female.across_mm
    if male.kind == "ball":
        r = male.across_mm / 2
        return mouth / 2 / tan(half) - r / sin(half) + r
    if male.kind != "cone":
        return None
    blunter = male.angle_deg is not None and male.angle_deg > angle
    touching = radians((male.angle_deg if blunter and male.angle_deg is not None else angle) / 2)
    return (mouth - male.across_mm) / 2 / tan(touching)


def _how(a: Port, b: Port) -> str:
    if a.seat is not None and b.seat is not None:
        return "seat"
    if a.thread is not None or b.thread is not None:
        return "thread"
    for tube, bore in ((a, b), (b, a)):
        if tube.tube_mm is not None and bore.bore_mm is not None:
            return "hole" if bore.bore_is == "clearance hole" else "tube"
    return "held"


def _depth(joint: Joint, a: Port, b: Port, how: str) -> tuple[float, float, Basis, str]:
    if joint.hidden is not None:
        hidden = float(joint.hidden.value.to("mm"))
        k2 = _HIDDEN_K2_MM if joint.hidden.pm is None else float(joint.hidden.pm.to("mm"))
        return hidden, k2, Basis.MEASURED, f"{hidden:.2f} mm of the male end is hidden, as measured."
    thread = a.thread or b.thread
    if joint.turns is not None and thread is not None:
        deep = joint.turns * thread.pitch_mm
        said = f"{joint.turns:g} turns of {thread.designation}, {thread.pitch_mm:.4g} mm each, are {deep:.3f} mm."
        return deep, _TURNS_K2 * thread.pitch_mm, Basis.MEASURED, said
    if how == "seat" and a.seat is not None and b.seat is not None:
        return _seated(a, b, a.seat, b.seat)
    if how in ("hole", "held"):
        return 0.0, _SLACK[how][0], Basis.ASSUMED, "Nothing is said of how far it goes on."
    male = a if a.gender == "male" or a.tube_mm is not None else b
    size = across_mm(male, across_mm(b if male is a else a, _SIX_MM))
    what = "thread" if how == "thread" else "tube"
    return size, _assumed_k2(size), Basis.ASSUMED, f"It is taken to go in as far as its {what} is thick."


def _seated(a: Port, b: Port, one: Seat, other: Seat) -> tuple[float, float, Basis, str]:
    male, female, wide = (one, other, b) if one.gender == "male" else (other, one, a)
    found = seat_depth_mm(male, female)
    if found is not None:
        return found, _HIDDEN_K2_MM, Basis.COMPUTED, f"The seats touch with the male end {found:.2f} mm past the mouth."
    d = across_mm(wide, _SIX_MM)
    mouth = female.across_mm or _MOUTH * d
    nose = male.across_mm or (_BALL if male.kind == "ball" else _NOSE) * d
    angle = female.angle_deg or male.angle_deg or _SAME_ANGLE_DEG
    kind = "cone" if female.kind == "flat" else female.kind
    guess = seat_depth_mm(Seat(male.kind, "male", male.angle_deg, nose), Seat(kind, "female", angle, mouth)) or 0.0
    said = f"The seats are taken to be {mouth:.1f} mm at the mouth and {nose:.1f} mm at the nose."
    return guess, _assumed_k2(guess), Basis.ASSUMED, said


def _assumed_k2(size_mm: float) -> float:
    return max(_DEPTH_LEAST_MM, _DEPTH_SHARE * abs(size_mm))
