"""The whole pack of the backhead example from its plan, against fonts read anew for each, and binding pages only."""

from __future__ import annotations

import io
from functools import partial
from pathlib import Path

import pikepdf

from bench.clock import Row, least_ms
from trialfit.cli.looking import look_at
from trialfit.plan import plan
from trialfit.sheets import compile as typesetter
from trialfit.sheets.bound import PACK, bound
from trialfit.sheets.pack import pack_of, sheets_of
from trialfit.store.folder import read_folder, read_shop_file

_EXAMPLES = Path(__file__).parents[1] / "examples"


def rows() -> list[Row]:
    """Time making every sheet, and binding them.

    Returns
    -------
    list of Row
        Ours whole; the same sheets with the fonts read anew for each, as they would be by a program a sheet; binding
        with contents and outline, and pages only.
    """
    folder = read_folder(_EXAMPLES / "backhead")
    looked = look_at(folder)
    made = plan(folder.job, read_shop_file(_EXAMPLES / "shop.toml"), looked.sighted, looked.twice)
    pictures = {name: photograph.grey for name, photograph in looked.sighted.photographs.items()}
    pack = pack_of(made, made.asked, "a4", pictures)
    sheets = {name: each for name, each in pack.items() if name != PACK}
    pages = len(pikepdf.open(io.BytesIO(pack[PACK])).pages)
    name = f"{len(sheets)} files, {pages} pages"

    def anew() -> None:
        kept = typesetter._fonts
        typesetter._fonts = kept.__wrapped__  # type: ignore[assignment]
        try:
            sheets_of(made, "a4", pictures)
        finally:
            typesetter._fonts = kept

    return [
        Row(
            f"{name}: trialfit, letter and binding included",
            least_ms(partial(pack_of, made, made.asked, "a4", pictures), 2),
        ),
        Row(f"{name}: trialfit, sheets alone", least_ms(partial(sheets_of, made, "a4", pictures), 2)),
        Row(f"{name}: sheets alone, fonts read anew for each", least_ms(anew, 1)),
        Row("binding: trialfit, contents and outline", least_ms(partial(bound, folder.job, sheets), 3)),
        Row("binding: qpdf, pages only", least_ms(partial(_qpdf, sheets), 3)),
    ]


def _qpdf(sheets: dict[str, bytes]) -> bytes:
    whole, out = pikepdf.new(), io.BytesIO()
    for name, made in sheets.items():
        if name.endswith(".pdf"):
            with pikepdf.open(io.BytesIO(made)) as one:
                whole.pages.extend(one.pages)
    whole.save(out)
    return out.getvalue()
