"""What each single fault does, how it shows, and who could be hurt.

Source: docs/methods/feed.md; who stands where is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from trialfit.feed.faults import Fault, faults_of
from trialfit.feed.outcome import Outcome, outcome_of
from trialfit.feed.records import AIR, TANK, Circuit, spoken
from trialfit.feed.settings import Setting, all_settings, whenever
from trialfit.feed.sights import Looked, into, sights_of

HarmKind = Literal["lock", "scald", "into the tank", "at a nut", "no feed", "air"]
GRAVEST: tuple[HarmKind, ...] = ("scald", "lock", "into the tank", "at a nut", "no feed", "air")


@dataclass(frozen=True)
class Harm:
    """One thing a fault does that the sound circuit does not.

    Parameters
    ----------
    kind
        What sort of thing.
    words
        What happens.
    who
        Who or what could be hurt.
    when
        The fewest handles that bring it about; one empty setting: always.
    count
        Number of settings in which it happens. [-]
    """

    kind: HarmKind
    words: str
    who: str
    when: tuple[Setting, ...]
    count: int


@dataclass(frozen=True)
class Shown:
    """One thing that is seen otherwise than in the sound circuit.

    Parameters
    ----------
    looked
        What is looked at.
    is_so
        Whether it is seen now and was not; otherwise it no longer is.
    when
        The fewest handles in which it is seen.
    count
        Number of settings in which it is. [-]
    """

    looked: Looked
    is_so: bool
    when: tuple[Setting, ...]
    count: int


@dataclass(frozen=True)
class Fails:
    """A single fault and what comes of it.

    Parameters
    ----------
    fault
        The fault.
    harms
        What it does, the gravest first; none where nothing changes.
    shown
        How it shows, what shows in most settings first; none where no setting shows it.
    shows_in
        Number of settings that show it. [-]
    hidden_in_use
        Whether none of the settings in use shows it.
    """

    fault: Fault
    harms: tuple[Harm, ...]
    shown: tuple[Shown, ...]
    shows_in: int
    hidden_in_use: bool


def fails(circuit: Circuit, in_use: Sequence[Setting]) -> tuple[Fails, ...]:
    """Go through every single fault in every setting.

    Parameters
    ----------
    circuit
        The circuit.
    in_use
        The settings in use.

    Returns
    -------
    tuple of Fails
        One a fault, in the circuit's order.
    """
    settings = all_settings(circuit)
    faults = faults_of(circuit)
    outcome = outcome_of(circuit, settings, [(), *((fault,) for fault in faults)])
    sights = sights_of(circuit, outcome)
    used = sum(1 << n for n, setting in enumerate(settings) if setting in in_use)
    return tuple(_one(circuit, outcome, sights, used, n, fault) for n, fault in enumerate(faults, 1))


def _one(
    circuit: Circuit, outcome: Outcome, sights: dict[Looked, int], used: int, n: int, fault: Fault
) -> Fails:  # fmt: skip
    shown: list[Shown] = []
    seen_in = 0
    settings = outcome.states.settings
    for looked, states in sights.items():
        sound, now = (outcome.states.settings_of(states, each) for each in (0, n))
        seen_in |= sound ^ now
        for is_so, changed in ((True, now & ~sound), (False, sound & ~now)):
            if changed:
                count = changed.bit_count()
                shown.append(Shown(looked, is_so, whenever(circuit, settings, changed), count))
    shown.sort(key=lambda each: -each.count)
    harms = sorted(_harms(circuit, outcome, n, fault), key=lambda each: GRAVEST.index(each.kind))
    return Fails(fault, tuple(harms), tuple(shown), seen_in.bit_count(), not seen_in & used)


def _harms(circuit: Circuit, outcome: Outcome, n: int, fault: Fault) -> list[Harm]:
    settings = outcome.states.settings
    found: list[Harm] = []

    def add(kind: HarmKind, states: int, words: str, who: str) -> None:
        sound, now = (outcome.states.settings_of(states, each) for each in (0, n))
        new = now & ~sound
        if new:
            found.append(Harm(kind, words, who, whenever(circuit, settings, new), new.bit_count()))

    for k, way in enumerate(circuit.ways):
        if way.b == AIR and way.where:
            name = spoken(way.where if way.kind != "mouth" else way.part)
            opening = f"the {'overflow' if _is_overflow(circuit, k) else 'open mouth'} of {name}"
            at = opening if way.kind == "mouth" else f"the mouth that {name} closes"
            free, little = (pushed[way.a] & outcome.passing.on[k] for pushed in (outcome.boiler, outcome.boiler_weeps))
            add("scald", free, f"boiler water and steam come out at {at}", f"anybody near {at}: scald")
            add(
                "scald",
                little & ~free,
                f"boiler water weeps out, flashing to steam, at {at}",
                f"anybody near {at}: scald",
            )
    if fault.node is not None:
        at = spoken(fault.where)
        free = outcome.boiler[fault.node] & outcome.states.under(n)
        little = outcome.boiler_weeps[fault.node] & outcome.states.under(n) & ~free
        add("scald", free | little, f"boiler water and steam come out at {at}", f"anybody near {at}: scald")
    free = into(outcome, TANK, outcome.boiler)
    little = into(outcome, TANK, outcome.boiler_weeps) & ~free
    add(
        "into the tank", free, "the boiler empties into the tank",
        "the boiler's crown, left bare; a hand in the tank: scald",
    )  # fmt: skip
    add("into the tank", little, "boiler water weeps back into the tank", "a hand in the tank; the boiler loses water")
    for name, driven in outcome.driven.items():
        where = spoken(name)
        add(
            "lock",
            driven.locks,
            f"{where} locks: its water has nowhere to go",
            "its drive, its pipes, whoever works it",
        )
        add("air", driven.air, f"{where} draws air", "the boiler, which is fed less or not at all")
        fed = [outcome.states.settings_of(driven.feeds, each) for each in (0, n)]
        if fed[0] & ~fed[1]:
            new = fed[0] & ~fed[1]
            words = f"{where} does not feed" if not fed[1] else f"{where} does not feed where it did"
            when = whenever(circuit, settings, new) if fed[1] else ({},)
            found.append(Harm("no feed", words, "the boiler, which runs short of water", when, new.bit_count()))
    return found + _at_nuts(circuit, outcome, n)


def _is_overflow(circuit: Circuit, mouth: int) -> bool:
    return any(way.kind == "overflow" and way.b == circuit.ways[mouth].a for way in circuit.ways)


def _at_nuts(circuit: Circuit, outcome: Outcome, n: int) -> list[Harm]:
    """Joints that never stand at boiler pressure in the sound circuit, and do now."""
    new = 0
    names: list[str] = []
    for k, node in enumerate(circuit.nodes):
        sound, now = (outcome.states.settings_of(outcome.boiler_weeps[k], each) for each in (0, n))
        if now & ~sound and not node.inside:
            names.append(node.name)
            new |= now & ~sound
    if not names:
        return []
    when = whenever(circuit, outcome.states.settings, new)
    listed = ", ".join(names[:5]) + (f" and {len(names) - 5} more" if len(names) > 5 else "")
    words = f"boiler pressure stands at {listed}"
    return [Harm("at a nut", words, "whoever undoes a nut there: scald", when, new.bit_count())]


def unseen(found: Sequence[Fails]) -> tuple[Fails, ...]:
    """Give the faults that no setting at all shows.

    Parameters
    ----------
    found
        All faults.

    Returns
    -------
    tuple of Fails
        Those of them.
    """
    return tuple(each for each in found if not each.shows_in)
