"""Metals met in small steam fittings, as printed: a range stays a range, a least value is called one.

Source: EN data sheets, by the rows of ``figures/metal_figures.csv``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from trialfit.errors import Refusal
from trialfit.finding import Band, Basis
from trialfit.tables.rows import Row, rows

_PLACES = {"MPa": 0, "GPa": 0, "W/(m·K)": 0, "°C": 0, "µm/(m·K)": 1}


@dataclass(frozen=True)
class MetalFigure:
    """One printed figure of a metal.

    Parameters
    ----------
    name
        What it is, the unit last: ``proof_mpa``, ``density_kg_m3`` ...
    condition
        The state of the metal it holds for; empty where the sheet does not say.
    low
        The figure, or the lower end of a range, in the unit of `name`. [unit]
    high
        The upper end, or the same figure again; None where only a least value is printed. [unit]
    sources, basis, note
        Where it comes from.
    """

    name: str
    condition: str
    low: float
    high: float | None
    sources: tuple[str, ...]
    basis: Basis
    note: str


@dataclass(frozen=True)
class Strength:
    """Strength of a metal in one state.

    Parameters
    ----------
    condition
        The state: annealed, cold drawn, normalised.
    proof
        Proof stress. [MPa]
    uts
        Tensile strength. [MPa]
    """

    condition: str
    proof: Band
    uts: Band


@dataclass(frozen=True)
class Metal:
    """One metal.

    A band whose figure is printed once has its three alike. Where a range, several sheets or only a least value are
    printed, `assumed` says how the likely value was put in.

    Parameters
    ----------
    key
        Its name in the tables: ``CW614N``.
    name
        Its name in words.
    also
        Other names it goes by.
    density_kg_m3
        Density. [kg/m³]
    modulus
        Young's modulus. [GPa]
    expansion
        Linear expansion. [µm/(m·K)]
    conductivity
        Thermal conductivity. [W/(m·K)]
    heat_j_kg_k
        Specific heat. [J/(kg·K)]
    proof
        0.2 % proof stress over all states printed. [MPa]
    uts
        Tensile strength over all states printed. [MPa]
    strengths
        The same state by state, where print gives states.
    solidus_c, liquidus_c
        Melting range; None where not printed. [°C]
    anneal
        Annealing range; None where not printed. [°C]
    steam_most_c
        Highest steam temperature its sheet lists it for; None where not printed. [°C]
    machinability_pct
        Of free-cutting brass; None where not printed. [%]
    figures
        Every printed figure with its own source.
    assumed
        Sentences a reader of the bands has to be told.
    sources, basis, note
        Of the metal as a whole.
    """

    key: str
    name: str
    also: tuple[str, ...]
    density_kg_m3: float
    modulus: Band
    expansion: Band
    conductivity: Band
    heat_j_kg_k: float
    proof: Band
    uts: Band
    strengths: tuple[Strength, ...]
    solidus_c: float | None
    liquidus_c: float | None
    anneal: Band | None
    steam_most_c: float | None
    machinability_pct: float | None
    figures: tuple[MetalFigure, ...]
    assumed: tuple[str, ...]
    sources: tuple[str, ...]
    basis: Basis
    note: str


@cache
def metals() -> Mapping[str, Metal]:
    """Give every metal of the tables.

    Returns
    -------
    Mapping
        Metals by their keys.
    """
    return {row["metal"]: _metal(row) for row in rows("metals.csv")}


def find_metal(text: str, what: str = "metal") -> Metal:
    """Find a metal by any of its names.

    Parameters
    ----------
    text
        Such as ``CW614N``, ``CZ121``, ``LG2``, ``copper``.
    what
        The thing it is about, for the refusal.

    Returns
    -------
    Metal
        The metal.

    Raises
    ------
    Refusal
        No metal goes by that name, and the nearest is named; or more than one does, and they are listed.
    """
    wanted = text.strip().lower()
    names = {name.lower(): metal for metal in metals().values() for name in (metal.key, metal.name, *metal.also)}
    if wanted in names:
        return names[wanted]
    within = [metal for metal in metals().values() if wanted and wanted in metal.name]
    if len(within) == 1:
        return within[0]
    close = [names[name].key for name in get_close_matches(wanted, list(names), n=1)]
    known = ", ".join(f"{metal.key} ({metal.name})" for metal in within or metals().values())
    remedy = f"Did you mean {close[0]}?" if close and not within else f"Write which: {known}."
    raise Refusal(what, text.strip() or "nothing", "a metal of the tables", remedy)


def _metal(row: Row) -> Metal:
    figures = tuple(_figure(found) for found in rows("metal_figures.csv") if found["metal"] == row["metal"])
    assumed = [f"{_words(figure.name)}: {figure.basis}" for figure in figures if figure.basis.must_be_shown]

    def one(name: str) -> float | None:
        return next((figure.low for figure in figures if figure.name == name), None)

    def band(name: str, unit: str, condition: str | None = None) -> Band:
        chosen = [f for f in figures if f.name == name and condition in (None, f.condition)]
        sentence, found = _band(name, chosen, unit)
        if sentence and sentence not in assumed:
            assumed.append(sentence)
        return found

    conditions = dict.fromkeys(f.condition for f in figures if f.name == "proof_mpa" and f.condition)
    return Metal(
        key=row["metal"],
        name=row["name"],
        also=tuple(name.strip() for name in row["also"].split(";")),
        density_kg_m3=one("density_kg_m3") or 0.0,
        modulus=band("modulus_gpa", "GPa"),
        expansion=band("expansion_um_m_k", "µm/(m·K)"),
        conductivity=band("conductivity_w_m_k", "W/(m·K)"),
        heat_j_kg_k=one("heat_j_kg_k") or 0.0,
        proof=band("proof_mpa", "MPa"),
        uts=band("uts_mpa", "MPa"),
        strengths=tuple(Strength(c, band("proof_mpa", "MPa", c), band("uts_mpa", "MPa", c)) for c in conditions),
        solidus_c=one("solidus_c"),
        liquidus_c=one("liquidus_c"),
        anneal=None if one("anneal_c") is None else band("anneal_c", "°C"),
        steam_most_c=one("steam_most_c"),
        machinability_pct=one("machinability_pct"),
        figures=figures,
        assumed=tuple(assumed),
        sources=row.sources,
        basis=row.basis,
        note=row.note,
    )


def _figure(row: Row) -> MetalFigure:
    low, high = row.number("low"), row.number_if_any("high")
    return MetalFigure(row["figure"], row["condition"], low, high, row.sources, row.basis, row.note)


def _band(name: str, figures: list[MetalFigure], unit: str) -> tuple[str, Band]:
    """Put the printed figures together, and say where the likely one is not itself printed."""
    low = min(figure.low for figure in figures)
    high = max(figure.low if figure.high is None else figure.high for figure in figures)
    likely = (low + high) / 2
    sentence = ""
    if low < high:
        sentence = f"{_words(name)}: {low:g} to {high:g} {unit} is printed; the middle as likely is assumed"
    elif any(figure.high is None for figure in figures):
        sentence = f"{_words(name)}: only a least value, {low:g} {unit}, is printed; the metal may be stronger"
    return sentence, Band(low, likely, high, unit, _PLACES[unit])


def _words(name: str) -> str:
    words = {
        "modulus_gpa": "modulus", "expansion_um_m_k": "expansion", "conductivity_w_m_k": "conductivity",
        "heat_j_kg_k": "specific heat", "proof_mpa": "proof stress", "uts_mpa": "tensile strength",
        "solidus_c": "solidus", "liquidus_c": "liquidus", "anneal_c": "annealing range",
    }  # fmt: skip
    return words.get(name, name)
