"""``trialfit measure``: sums of the bench, each with its plus-or-minus."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import click

from trialfit.cli.words import answer, as_json
from trialfit.errors import Refusal
from trialfit.finding import Figure
from trialfit.parts.measuring import Taken, cone_by_balls, cone_by_mouth, pitch_by_counting, tube_by_weight
from trialfit.tables.metals import find_metal
from trialfit.units import length_mm, read

_DENSITY_SHARE = 0.005


@click.group(name="measure")
def command() -> None:
    """Work out what a caliper cannot reach. Write a reading with its plus-or-minus behind it: "8.0 mm +- 0.1 mm"."""


@command.command()
@click.option("--mouth", required=True, help="Diameter of the cone's mouth.")
@click.option("--bore", required=True, help="Diameter it runs out into, or of a rod that stops in it.")
@click.option("--deep", required=True, help="How far the one lies below the other.")
@as_json
def cone(mouth: str, bore: str, deep: str, as_json: bool) -> None:
    """Included angle of a hollow cone from its mouth, its bore and its depth."""
    taken = {"mouth": _length(mouth, "mouth"), "bore": _length(bore, "bore"), "depth": _length(deep, "depth")}
    found = _sure(cone_by_mouth(*taken.values()), taken)
    answer(as_json, f"Included angle {found}{_how_sure(found, taken)}", found)


@command.command()
@click.option("--large", required=True, help="Diameter of the large ball.")
@click.option("--large-deep", required=True, help="How deep its top lies below the face; minus: it stands proud.")
@click.option("--small", required=True, help="Diameter of the small ball.")
@click.option("--small-deep", required=True, help="How deep its top lies below the face.")
@as_json
def balls(large: str, large_deep: str, small: str, small_deep: str, as_json: bool) -> None:
    """Included angle of a hollow cone from two balls laid in it one after the other."""
    written = {
        "large ball": large,
        "small ball": small,
        "top of the large ball": large_deep,
        "top of the small ball": small_deep,
    }
    taken = {what: _length(each, what) for what, each in written.items()}
    found = _sure(cone_by_balls(*taken.values()), taken)
    answer(as_json, f"Included angle {found}{_how_sure(found, taken)}", found)


@command.command()
@click.option("--weight", required=True, help='Of the piece, clean and dry: "4.85 g +- 0.02 g".')
@click.option("--length", required=True, help="Of the piece, ends square.")
@click.option("--od", required=True, help="Outside diameter.")
@click.option("--metal", default="CW024A", show_default=True, help="What it is made of.")
@as_json
def tube(weight: str, length: str, od: str, metal: str, as_json: bool) -> None:
    """Bore and wall of a tube from its weight."""
    made_of = find_metal(metal)
    density = Taken(made_of.density_kg_m3, _DENSITY_SHARE * made_of.density_kg_m3)
    taken = {
        "weight": _taken(weight, "mass", "g", "weight"),
        "length": _length(length, "length"),
        "outside diameter": _length(od, "outside diameter"),
    }
    found = tube_by_weight(taken["weight"], taken["length"], taken["outside diameter"], density)
    text = (
        f"Wall {found.wall}, bore {found.bore}{_how_sure(found.wall, taken)}\n"
        f"{made_of.name}: {made_of.density_kg_m3:.0f} kg/m³, taken as good to {100 * _DENSITY_SHARE:g} %. [assumed]"
    )
    answer(as_json, text, found)


@command.command()
@click.option("--length", required=True, help="From crest to crest.")
@click.option("--count", type=int, default=10, show_default=True, help="Pitches along it: nought at the first crest.")
@as_json
def pitch(length: str, count: int, as_json: bool) -> None:
    """Pitch of a thread from a length over several threads."""
    taken = {"length": _length(length, "length")}
    found = _sure(pitch_by_counting(count, taken["length"]), taken)
    answer(as_json, f"Pitch {found}{_how_sure(found, taken, f'; {25.4 / found.value:.1f} to the inch')}", found)


def _sure(found: Figure, taken: Mapping[str, Taken]) -> Figure:
    """Without any plus-or-minus nothing is known of how sure it is: that is not the same as sure."""
    return found if any(each.k2 for each in taken.values()) else replace(found, k2=None)


def _how_sure(found: Figure, taken: Mapping[str, Taken], besides: str = "") -> str:
    exact = [what for what, each in taken.items() if not each.k2]
    k2 = f"{'' if found.k2 is None else ', k = 2'}{besides}."
    if not exact:
        return k2
    listed = exact[0] if len(exact) == 1 else f"{', '.join(exact[:-1])} and {exact[-1]}"
    return f'{k2}\nTaken as exact, which no reading is: {listed}. Write it with its plus-or-minus: "8.0 mm +- 0.1 mm".'


def _length(written: str, what: str) -> Taken:
    return _taken(written, "length", "mm", what)


def _taken(written: str, kind: str, unit: str, what: str) -> Taken:
    """A reading, and what stands behind +- or ± as its plus-or-minus."""
    value, _, pm = written.replace("±", "+-").partition("+-")
    if "+-" in written.replace("±", "+-") and not pm.strip():
        raise Refusal(what, written, "a reading and its plus-or-minus", 'Write it like this: "8.0 mm +- 0.1 mm".')
    if not pm:
        return Taken(_number(value, kind, unit, what))
    k2 = _number(pm, kind, unit, f"{what}, plus-or-minus")
    if k2 < 0:
        raise Refusal(f"{what}, plus-or-minus", pm.strip(), "nought or more", "Leave the minus sign off.")
    return Taken(_number(value, kind, unit, what), k2)


def _number(written: str, kind: str, unit: str, what: str) -> float:
    return length_mm(written, what) if kind == "length" else float(read(written, kind, what).to(unit))
