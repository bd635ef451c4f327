"""Settings of a circuit: one position for every handle and drive; and sets of settings as bits of one number.

Source: plain counting.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import combinations, product

from trialfit.errors import Refusal
from trialfit.feed.records import Circuit, spoken
from trialfit.job.nearest import did_you_mean

Setting = Mapping[str, str]

MOST_SETTINGS = 4096


def all_settings(circuit: Circuit) -> tuple[Setting, ...]:
    """Give every setting there is.

    Parameters
    ----------
    circuit
        The circuit.

    Returns
    -------
    tuple of Setting
        The usual one first.

    Raises
    ------
    Refusal
        There are more settings than can be gone through.
    """
    count = 1
    for positions in circuit.handles.values():
        count *= len(positions)
    if count > MOST_SETTINGS:
        remedy = "Leave out handles that are never touched, or look at one half of the circuit at a time."
        raise Refusal("circuit, handles", f"{count} settings", f"at most {MOST_SETTINGS}", remedy)
    return tuple(dict(zip(circuit.handles, each, strict=True)) for each in product(*circuit.handles.values()))


def setting_of(circuit: Circuit, positions: Setting) -> Setting:
    """Fill a setting up: what is not named stands as usual.

    Parameters
    ----------
    circuit
        The circuit.
    positions
        Position of each handle that is named.

    Returns
    -------
    Setting
        A position for every handle.

    Raises
    ------
    Refusal
        No such handle, or a position it cannot take.
    """
    for handle, position in positions.items():
        if handle not in circuit.handles:
            remedy = did_you_mean(handle, circuit.handles, f"The handles are {', '.join(circuit.handles)}.")
            raise Refusal(f"handle {handle}", "nothing of that name", "a handle or drive of the circuit", remedy)
        if position not in circuit.handles[handle]:
            can = circuit.handles[handle]
            remedy = did_you_mean(position, can, f"It can be {' or '.join(can)}.")
            raise Refusal(f"handle {handle}", f'"{position}"', "a position the handle can take", remedy)
    return {name: positions.get(name, can[0]) for name, can in circuit.handles.items()}


def usual(circuit: Circuit) -> Setting:
    """Give the setting in which every handle stands as usual.

    Parameters
    ----------
    circuit
        The circuit.

    Returns
    -------
    Setting
        A position for every handle.
    """
    return {name: positions[0] for name, positions in circuit.handles.items()}


def setting_words(circuit: Circuit, setting: Setting, whole: bool = False) -> str:
    """Write a setting as it is said.

    Parameters
    ----------
    circuit
        The circuit.
    setting
        Positions of some handles, or of all.
    whole
        Whether handles that stand as usual are named too.

    Returns
    -------
    str
        Such as ``bypass shut, engine running``.
    """
    named = [
        f"{spoken(name)} {position}" for name, position in setting.items()
        if whole or position != circuit.handles[name][0]
    ]  # fmt: skip
    return ", ".join(named) or "all as usual"


def position_bits(circuit: Circuit, settings: Sequence[Setting]) -> dict[tuple[str, str], int]:
    """Give, for every position of every handle, the settings it is in.

    Parameters
    ----------
    circuit
        The circuit.
    settings
        The settings, which are numbered as they come.

    Returns
    -------
    dict
        One bit a setting, by handle and position.
    """
    bits = {(name, position): 0 for name, positions in circuit.handles.items() for position in positions}
    for n, setting in enumerate(settings):
        for name in circuit.handles:
            bits[name, setting[name]] |= 1 << n
    return bits


def whenever(circuit: Circuit, settings: Sequence[Setting], wanted: int) -> tuple[Setting, ...]:
    """Say in the fewest handles when something is so.

    Parameters
    ----------
    circuit
        The circuit.
    settings
        All settings, as `all_settings` gives them.
    wanted
        Those in which it is so, one bit a setting.

    Returns
    -------
    tuple of Setting
        Part settings, none of which can lose a handle: it is so in every setting that agrees with one of them, and in
        no other. One empty setting: always. None: never.
    """
    if wanted == 0:
        return ()
    if wanted == (1 << len(settings)) - 1:
        return ({},)
    found: list[tuple[Mapping[str, str], int]] = []
    handles = tuple(circuit.handles.items())
    matter = tuple(name for name in circuit.handles if _matters(handles, name, wanted))
    left, size = wanted, 0
    while left:
        size += 1
        for cube, covered in _cubes(handles, matter, size):
            # One that can lose a handle adds nothing to what was found with fewer.
            if covered & left and not covered & ~wanted:
                found.append((cube, covered))
                left &= ~covered
    left, kept = wanted, []
    while left:
        cube, covered = max(found, key=lambda each: ((each[1] & left).bit_count(), -len(each[0])))
        kept.append(cube)
        left &= ~covered
    return tuple(kept)


Handles = tuple[tuple[str, tuple[str, ...]], ...]


@lru_cache(maxsize=8)
def _where(handles: Handles) -> tuple[dict[tuple[str, str], int], dict[str, int]]:
    """By position, the settings it is in; by handle, how far apart settings lie that differ in it by one position."""
    bits = {(name, at): 0 for name, can in handles for at in can}
    for n, setting in enumerate(product(*(can for _, can in handles))):
        for (name, _), at in zip(handles, setting, strict=True):
            bits[name, at] |= 1 << n
    apart, wide = {}, 1
    for name, can in reversed(handles):
        apart[name] = wide
        wide *= len(can)
    return bits, apart


def _matters(handles: Handles, name: str, wanted: int) -> bool:
    """Whether moving a handle alone ever changes it."""
    bits, apart = _where(handles)
    first, *others = dict(handles)[name]
    return any(
        (wanted & bits[name, first]) << (k * apart[name]) != wanted & bits[name, at] for k, at in enumerate(others, 1)
    )


@lru_cache(maxsize=512)
def _cubes(handles: Handles, matter: tuple[str, ...], size: int) -> list[tuple[Mapping[str, str], int]]:
    """Every choice of positions of so many of the handles that matter, with the settings that agree with it."""
    bits, _ = _where(handles)
    every = sum(bits[handles[0][0], at] for at in handles[0][1])
    found: list[tuple[Mapping[str, str], int]] = []
    for chosen in combinations(matter, size):
        for positions in product(*(dict(handles)[name] for name in chosen)):
            cube = dict(zip(chosen, positions, strict=True))
            covered = every
            for each in cube.items():
                covered &= bits[each]
            found.append((cube, covered))
    return found
