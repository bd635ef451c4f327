"""What mates with what: every feature two ports have in common, each with its reason.

Source: the checks' own, in `threads`, `seats` and `sizes`; `docs/methods/fitup.md` lists them.
"""

from __future__ import annotations

from collections.abc import Iterable

from trialfit.finding import Answer, Finding, Reason
from trialfit.job.ports import Feature
from trialfit.parts.build import JointPorts
from trialfit.parts.records import Check, Mating, Port
from trialfit.parts.seats import seat_checks
from trialfit.parts.sizes import size_checks
from trialfit.parts.threads import thread_checks

_HELD = Reason("One is held on the other by its shape; that shape is not checked.")


def mate(a: Port, b: Port) -> Mating:
    """Hold two ports against each other.

    Parameters
    ----------
    a, b
        The two ports.

    Returns
    -------
    Mating
        Every feature they have in common, each with its answer and reason; nothing in common is a stop, nothing known
        of one of them a look.
    """
    if a.is_dry or b.is_dry:
        return Mating(a.full_name, b.full_name, (_held(a, b),))
    together = (*thread_checks(a, b), *seat_checks(a, b), *size_checks(a, b))
    if not together:
        return Mating(a.full_name, b.full_name, (_apart(a, b),))
    return Mating(a.full_name, b.full_name, (*together, *_one_sided(a, b), *_one_sided(b, a)))


def mate_all(joints: Iterable[JointPorts]) -> tuple[Mating, ...]:
    """Hold the ports of every joint against each other.

    Parameters
    ----------
    joints
        The joints with their ports.

    Returns
    -------
    tuple of Mating
        In the same order.
    """
    return tuple(mate(joint.a, joint.b) for joint in joints)


def joint_findings(matings: Iterable[Mating]) -> tuple[Finding, ...]:
    """Say of each joint whether it goes together.

    Parameters
    ----------
    matings
        The joints, each held against its fellow.

    Returns
    -------
    tuple of Finding
        One a joint, in the same order; the reasons begin with the gravest.
    """
    return tuple(_finding(mating) for mating in matings)


def _finding(mating: Mating) -> Finding:
    order = list(Answer)
    checks = sorted(mating.checks, key=lambda check: -order.index(check.answer))
    measured = next((check for check in checks if check.figure is not None), None)
    # A figure that passed must not stand beside an answer it did not decide.
    deciding = measured if measured is not None and measured.answer is mating.answer else None
    return Finding(
        stage="parts",
        about=f"{mating.a} and {mating.b}",
        question=f"Does {mating.a} go together with {mating.b}?",
        answer=mating.answer,
        figure=None if deciding is None else deciding.figure,
        limit=None if deciding is None else deciding.limit,
        because=tuple(check.reason for check in checks),
        do=" ".join(check.do for check in checks if check.do),
    )


def _held(a: Port, b: Port) -> Check:
    """A dry port is held on what has nothing else to meet it with; a thread or seat there is meant for another."""
    wet = next((port for port in (a, b) if port.has), None)
    if wet is None:
        return Check("joint", Answer.GO, _HELD)
    dry = b if wet is a else a
    said = f"They have nothing in common: {wet.full_name} has a {_listed(wet.has, 'and a')}, {dry.full_name} is held."
    return Check("joint", Answer.STOP, Reason(said), "Look at which ports meet, or make an adaptor.")


def _apart(a: Port, b: Port) -> Check:
    unknown = [port for port in (a, b) if not port.has]
    if unknown:
        names = " and ".join(port.full_name for port in unknown)
        said = f"Nothing is given of {names}, so the joint cannot be checked."
        asked = " and ".join(f"{_listed(port.may_have, 'or')} of {port.full_name}" for port in unknown)
        return Check("joint", Answer.LOOK, Reason(said), f"Measure the {asked}.")
    said = (
        f"They have nothing in common: {a.full_name} has a {_listed(a.has, 'and a')}, "
        f"{b.full_name} a {_listed(b.has, 'and a')}."
    )
    return Check("joint", Answer.STOP, Reason(said), "Look at which ports meet, or make an adaptor.")


def _one_sided(a: Port, b: Port) -> tuple[Check, ...]:
    """What `a` has and `b` could have, but nothing is said of."""
    features: tuple[Feature, ...] = ("thread", "seat")
    return tuple(
        Check(
            feature,
            Answer.LOOK,
            Reason(f"{a.full_name} has a {feature}; whether {b.full_name} has one is not given."),
            f"Look whether {b.full_name} has a {feature}, and add it.",
        )
        for feature in features
        if feature in a.has and feature in b.may_have and feature not in b.has
    )


def _listed(features: Iterable[Feature], join: str) -> str:
    order: tuple[Feature, ...] = ("thread", "seat", "tube", "bore")
    words = [feature for feature in order if feature in set(features)]
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {join} {words[-1]}"
