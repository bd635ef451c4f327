"""What is wrong: from what was seen to the faults that explain it all, and to the next thing to look at.

Source: docs/methods/feed.md; the next look is the one whose answer is least certain (Shannon's entropy). The odds of
the faults against each other are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import log2

from trialfit.errors import Refusal
from trialfit.feed.faults import ODDS, Fault, faults_of
from trialfit.feed.outcome import Outcome, outcome_of
from trialfit.feed.records import AIR, Circuit, spoken
from trialfit.feed.settings import Setting, all_settings, setting_of, setting_words, usual
from trialfit.feed.sights import POSITIVE, Looked, sights_of
from trialfit.job.circuit import Sight, SymptomEntry
from trialfit.job.nearest import did_you_mean

_LEAST_BITS = 1e-9
_MOST_STATES = 400_000

# What to do to see it. Common practice, no source.
HOW: Mapping[Sight, str] = {
    "feeds the boiler": "note the water in the glass, wait some minutes with everything else left alone, look again",
    "returns to the tank": "look at the mouth of the return pipe in the tank",
    "locks solid": "turn the engine over, or work the pump, slowly and by hand, and stop as soon as it goes hard",
    "spits air": "look for bubbles where the return pipe enters the tank",
    "hot": "hold the back of a hand near it, do not touch; or let a drop of water fall on it",
    "wet": "wipe it dry, lay dry paper under it, look from the side with the face well away",
}


@dataclass(frozen=True)
class Symptom:
    """Something that was seen.

    Parameters
    ----------
    setting
        How every handle and drive stood.
    looked
        What was looked at.
    is_so
        Whether it was so.
    """

    setting: Setting
    looked: Looked
    is_so: bool


@dataclass(frozen=True)
class Explanation:
    """Faults that explain all that was seen.

    Parameters
    ----------
    alike
        Sets of faults between which no setting tells; each alone explains everything.
    share
        Its share of the odds. [-]
    """

    alike: tuple[tuple[Fault, ...], ...]
    share: float

    @property
    def words(self) -> str:
        """The faults as they are said."""
        pairs = [each for each in self.alike if len(each) == 2]
        if len(pairs) == len(self.alike) > 1:
            first, second = (list(dict.fromkeys(each[n].words for each in pairs)) for n in (0, 1))
            if len(first) * len(second) == len(pairs):
                return f"{' or '.join(first)}, and {' or '.join(second)}"
        return ", or ".join(" and ".join(fault.words for fault in each) for each in self.alike)


@dataclass(frozen=True)
class NextLook:
    """The next thing to look at.

    Parameters
    ----------
    setting
        How to set the handles.
    looked
        What to look at.
    question
        As it is asked of the owner.
    how
        What to do to see it.
    bits
        What its answer is worth, in halvings of what is left. [bit]
    yes, no
        Which explanations are left after either answer, by their number from 0. [-]
    caution
        What may happen meanwhile, if one of the explanations is right; empty where nothing bad.
    """

    setting: Setting
    looked: Looked
    question: str
    how: str
    bits: float
    yes: tuple[int, ...]
    no: tuple[int, ...]
    caution: str


@dataclass(frozen=True)
class Diagnosis:
    """What may be wrong.

    Parameters
    ----------
    symptoms
        What was seen.
    nothing_wrong
        Whether the sound circuit does all this too.
    two_at_once
        Whether no single fault explains it, and two together do.
    explanations
        What explains it all, the likeliest first.
    looks
        What to look at next, the best first; none where nothing tells the explanations apart.
    """

    symptoms: tuple[Symptom, ...]
    nothing_wrong: bool
    two_at_once: bool
    explanations: tuple[Explanation, ...]
    looks: tuple[NextLook, ...]


def symptom_of(circuit: Circuit, entry: SymptomEntry) -> Symptom:
    """Read a symptom of the job.

    Parameters
    ----------
    circuit
        The circuit.
    entry
        As it stands in the job.

    Returns
    -------
    Symptom
        With every handle's position.

    Raises
    ------
    Refusal
        A handle, position or place that is not there, or something that cannot be seen at that place.
    """
    seen, is_so = POSITIVE[entry.seen]
    looked = Looked(entry.where, seen)
    faults = faults_of(circuit)
    known = sights_of(circuit, outcome_of(circuit, [usual(circuit)], [(), *((each,) for each in faults)]))
    if looked not in known:
        places = list(dict.fromkeys(each.where for each in known))
        here = [each.seen for each in known if each.where == entry.where]
        if here:
            wanted = f"{', '.join(here)}, or the opposite"
            remedy = "Say what of this was seen there."
            raise Refusal(f"symptom at {entry.where}", f'"{entry.seen}"', wanted, remedy)
        remedy = did_you_mean(entry.where, places, f"The places are {', '.join(places)}.")
        raise Refusal("symptom", f'"{entry.where}"', "a source, pipe or mouth of the circuit", remedy)
    return Symptom(setting_of(circuit, entry.positions), looked, is_so)


def what_is_wrong(circuit: Circuit, symptoms: Sequence[Symptom], looks: int = 3) -> Diagnosis:
    """Find the faults that explain all symptoms, and what to look at next.

    Parameters
    ----------
    circuit
        The circuit.
    symptoms
        What was seen.
    looks
        How many next looks to give at most. [-]

    Returns
    -------
    Diagnosis
        Explanations by their odds. Where no single fault explains everything, two at once are tried.
    """
    singles = [(fault,) for fault in faults_of(circuit)]
    sound = bool(_explaining(circuit, symptoms, [()]))
    left = _explaining(circuit, symptoms, singles)
    two = False
    if not left and not sound:
        pairs = [(a, b) for (a,), (b,) in combinations(singles, 2) if a.name != b.name]
        left = _explaining(circuit, symptoms, pairs)
        two = bool(left)
    if not left:
        return Diagnosis(tuple(symptoms), sound, two, (), ())
    outcome = outcome_of(circuit, _to_ask_in(circuit, symptoms, len(left)), left)
    sights = sights_of(circuit, outcome)
    explanations, members = _grouped(outcome, sights, left)
    next_looks = _looks(circuit, outcome, sights, explanations, members, looks, [s.setting for s in symptoms])
    return Diagnosis(tuple(symptoms), sound, two, explanations, next_looks)


def _to_ask_in(circuit: Circuit, symptoms: Sequence[Symptom], count: int) -> tuple[Setting, ...]:
    """Settings to ask in: all, or where that is more than can be weighed, those near to the usual one."""
    settings = all_settings(circuit)
    if len(settings) * count <= _MOST_STATES:
        return settings
    been = [symptom.setting for symptom in symptoms]
    as_usual = usual(circuit)
    return tuple(
        each for each in settings if each in been or sum(each[name] != as_usual[name] for name in as_usual) <= 2
    )


def _explaining(
    circuit: Circuit, symptoms: Sequence[Symptom], faults: Sequence[tuple[Fault, ...]]
) -> list[tuple[Fault, ...]]:
    settings = [dict(each) for each in {tuple(symptom.setting.items()) for symptom in symptoms}]
    if not settings:
        return list(faults)
    outcome = outcome_of(circuit, settings, faults)
    sights = sights_of(circuit, outcome)
    wide = len(settings)
    kept: list[tuple[Fault, ...]] = []
    for n, together in enumerate(faults):
        # A place nobody would look at unless it leaks stays dry under any other fault.
        seen = (
            bool(sights.get(each.looked, 0) >> (n * wide + settings.index(dict(each.setting))) & 1) == each.is_so
            for each in symptoms
        )
        if all(seen):
            kept.append(together)
    return kept


def _grouped(
    outcome: Outcome, sights: Mapping[Looked, int], left: Sequence[tuple[Fault, ...]]
) -> tuple[tuple[Explanation, ...], tuple[int, ...]]:
    """Put together what nothing tells apart; give one member of each group to ask of."""
    groups: dict[tuple[int, ...], list[int]] = {}
    for n in range(len(left)):
        groups.setdefault(tuple(outcome.states.settings_of(states, n) for states in sights.values()), []).append(n)
    odds = {n: _product(ODDS[fault.kind] for fault in together) for n, together in enumerate(left)}
    total = sum(odds.values())
    made = [
        (
            Explanation(tuple(left[n] for n in sorted(ns, key=lambda n: -odds[n])), sum(odds[n] for n in ns) / total),
            ns[0],
        )
        for ns in groups.values()
    ]
    made.sort(key=lambda each: -each[0].share)
    return tuple(each for each, _ in made), tuple(member for _, member in made)


def _product(odds: Iterable[float]) -> float:
    total = 1.0
    for each in odds:
        total *= each
    return total


def _looks(
    circuit: Circuit, outcome: Outcome, sights: Mapping[Looked, int], explanations: Sequence[Explanation],
    members: Sequence[int], most: int, been: Sequence[Setting],
) -> tuple[NextLook, ...]:  # fmt: skip
    """The looks whose answers are worth most, each at a place of its own; such as hurt nobody first.

    A setting the owner has already been in asks no more of him than he has done.
    """
    grave = _grave(outcome, members)
    settings = outcome.states.settings
    wide = len(settings)
    found: list[tuple[tuple[bool, float, int], int, Looked]] = []
    for looked, states in sights.items():
        if not states:
            continue
        rows = [states >> (member * wide) for member in members]
        for s in range(wide):
            share = sum(each.share for each, row in zip(explanations, rows, strict=True) if row >> s & 1)
            bits = entropy(share)
            if bits > _LEAST_BITS:
                moved = sum(settings[s][name] != can[0] for name, can in circuit.handles.items())
                found.append(((s in grave and settings[s] not in been, -round(bits, 9), moved), s, looked))
    found.sort(key=lambda each: each[0])
    best: dict[Looked, NextLook] = {}
    for (_, bits, _), s, looked in found:
        if looked in best:
            continue
        row = sights[looked]
        yes = tuple(n for n, member in enumerate(members) if row >> (member * wide + s) & 1)
        no = tuple(n for n in range(len(members)) if n not in yes)
        caution = f"If it is the wrong one of these, {grave[s]}." if s in grave else ""
        best[looked] = NextLook(
            settings[s], looked, _question(circuit, settings[s], looked), HOW[looked.seen], -bits, yes, no, caution
        )
        if len(best) == most:
            break
    return tuple(best.values())


def _grave(outcome: Outcome, members: Sequence[int]) -> dict[int, str]:
    """Settings in which one of the explanations lets boiler water out or locks a pump, and which of the two."""
    found: dict[int, str] = {}
    wide = len(outcome.states.settings)
    out = 0
    for place, states in outcome.weeping.exits[AIR]:
        out |= outcome.boiler_weeps[place] & states
    locks = 0
    for driven in outcome.driven.values():
        locks |= driven.locks
    for bits, words in (
        (locks, "a pump locks: by hand and slowly, never under way"),
        (out, "boiler water or steam comes out: stand clear"),
    ):
        for s in range(wide):
            if any(bits >> (member * wide + s) & 1 for member in members):
                found[s] = words
    return found


def entropy(share: float) -> float:
    """Give how uncertain the answer to a question is.

    Parameters
    ----------
    share
        Odds of yes. [-]

    Returns
    -------
    float
        One where yes and no are even, nought where the answer is known. [bit]
    """
    return -sum(p * log2(p) for p in (share, 1.0 - share) if p > 0.0)


def _question(circuit: Circuit, setting: Setting, looked: Looked) -> str:
    name = spoken(looked.where)
    asked: Mapping[Sight, str] = {
        "feeds the boiler": f"does the {name} bring the water in the glass up",
        "returns to the tank": f"does the {name} send water back to the tank",
        "locks solid": f"does the {name} go hard and stop",
        "spits air": f"does the {name} spit air",
        "hot": f"does the {name} get hot",
        "wet": f"does water come out at the {name}",
    }
    return f"With {setting_words(circuit, setting)}: {asked[looked.seen]}?"
