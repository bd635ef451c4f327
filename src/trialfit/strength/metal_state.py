"""How strong the metal of a tail is as it stands: drawn hard, or soft from the torch.

Source: the figures of `trialfit.tables.metals` for metal as supplied; ``figures/annealed.csv`` for what silver
soldering leaves of it, which is assumed and shown as such.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from trialfit.finding import Band, Basis, Reason
from trialfit.parts.cited import cite
from trialfit.tables.metals import Metal
from trialfit.tables.rows import Row, rows

_SOFT = ("annealed", "normalised")
_HARD = ("cold drawn",)


@dataclass(frozen=True)
class MetalState:
    """A metal as it stands in the tail.

    Parameters
    ----------
    metal
        The metal.
    soft
        Whether it has lost its cold work to the torch.
    proof
        0.2 % proof stress. [MPa]
    uts
        Tensile strength. [MPa]
    because
        Where the two come from.
    """

    metal: Metal
    soft: bool
    proof: Band
    uts: Band
    because: Reason

    @property
    def words(self) -> str:
        """The metal and its state, in words."""
        return f"{self.metal.key} ({self.metal.name}){', soft from the torch' if self.soft else ''}"


def metal_state(metal: Metal, softened: bool) -> MetalState:
    """Say how strong a metal is as it stands.

    Parameters
    ----------
    metal
        The metal.
    softened
        Whether it has been at silver-soldering heat since it was drawn.

    Returns
    -------
    MetalState
        Its strength. Castings, copper sold soft and stainless steel have no cold work that the sheets count on, so that
        the torch takes nothing from them.

    Source
    ------
    Brass softens from 425 °C (the C36000 sheets give 425 to 600 °C for annealing): below every silver solder, above
    every soft solder.
    """
    printed = {strength.condition: strength for strength in metal.strengths}
    wanted = _SOFT if softened else _HARD
    named = next((printed[condition] for condition in wanted if condition in printed), None)
    if named is not None:
        text = f"{metal.key}, {named.condition}: {_both(named.proof, named.uts)}."
        keys = [key for figure in metal.figures if figure.condition == named.condition for key in figure.sources]
        return MetalState(metal, softened, named.proof, named.uts, Reason(text, cite(dict.fromkeys(keys)), metal.basis))
    if softened and metal.key in _annealed():
        proof, uts, because = _annealed()[metal.key]
        return MetalState(metal, True, proof, uts, because)
    return MetalState(metal, False, metal.proof, metal.uts, _as_supplied(metal, softened))


def _as_supplied(metal: Metal, softened: bool) -> Reason:
    still = " The torch takes nothing from it that its sheet counts on." if softened else ""
    text = f"{metal.key} as supplied: {_both(metal.proof, metal.uts)}.{still}"
    figures = [figure for figure in metal.figures if figure.name in ("proof_mpa", "uts_mpa")]
    bases = [figure.basis for figure in figures]
    worst = next((basis for basis in reversed(list(Basis)) if basis in bases), metal.basis)
    keys = [key for figure in figures for key in figure.sources]
    spread = [sentence for sentence in metal.assumed if sentence.startswith(("proof stress", "tensile strength"))]
    told = " ".join([text, *(f"{each[0].upper()}{each[1:]}." for each in spread)])
    return Reason(told, cite(dict.fromkeys(keys)), worst)


def _both(proof: Band, uts: Band) -> str:
    return f"proof stress {_span(proof)}, tensile strength {_span(uts)}"


def _span(band: Band) -> str:
    if band.low == band.high:
        return f"{band.likely:.0f} {band.unit}"
    return f"{band.low:.0f} to {band.high:.0f} {band.unit}"


def _stress(row: Row, name: str) -> Band:
    low, likely, high = (row.number(f"{name}_{end}_mpa") for end in ("low", "likely", "high"))
    return Band(low, likely, high, "MPa", 0)


@cache
def _annealed() -> dict[str, tuple[Band, Band, Reason]]:
    found = {}
    for row in rows("annealed.csv"):
        proof, uts = _stress(row, "proof"), _stress(row, "uts")
        text = f"{row['metal']} softened by silver soldering: {_both(proof, uts)}; {row.note}."
        found[row["metal"]] = (proof, uts, Reason(text, cite(row.sources), row.basis))
    return found
