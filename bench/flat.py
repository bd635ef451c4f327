"""The window of the backhead example's flat print, against a look at every place; and the example's whole plan."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from bench.clock import Row, least_ms
from trialfit.cli.looking import look_at
from trialfit.plan import plan
from trialfit.store.folder import read_folder, read_shop_file
from trialfit.survey.flat_limits import lattice_of
from trialfit.survey.flat_window import square, useful_window

_EXAMPLES = Path(__file__).parents[1] / "examples"
_LINES = 300


def rows() -> list[Row]:
    """Time finding what of a plane is worth printing, and the whole plan it is a part of.

    Returns
    -------
    list of Row
        Ours from a few lines outwards, and every crossing of the lattice it is as fine as: in the print's own square,
        in a usual one, and far round. The plan with its photographs read and searched beforehand.
    """
    folder = read_folder(_EXAMPLES / "backhead")
    looked, shop = look_at(folder), read_shop_file(_EXAMPLES / "shop.toml")
    work = partial(plan, folder.job, shop, looked.sighted, looked.twice, looked.bench)
    wanted = work().flats[0]
    view, plane = wanted.view, wanted.plane
    found: list[Row] = []
    for size_mm in (110.0, 300.0, 3000.0):
        within, name = square(plane.middle_mm, size_mm), f"worth printing within {size_mm:g} mm"
        every = partial(lattice_of, view, plane, within, size_mm / _LINES)
        found += [
            Row(
                f"{name}: trialfit", least_ms(partial(useful_window, view, plane, within)), "from a few lines outwards"
            ),
            Row(f"{name}: every crossing", least_ms(every, 3), f"{(_LINES + 1) ** 2} of them"),
        ]
    return [*found, Row("the whole plan: trialfit", least_ms(work, 5), "photographs read and searched beforehand")]
