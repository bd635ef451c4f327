"""Unit: what is typed freely, as it is understood; every conversion done by hand."""

from __future__ import annotations

import pytest

from trialfit.app.understood import understood
from trialfit.errors import Refusal

TYPED = (
    ("3/16", "length", "3/16 in", "4.763 mm = 0.1875 in"),  # 3 / 16 x 25.4 = 4.7625
    ("1-1/4", "length", "1-1/4 in", "31.750 mm = 1.2500 in"),
    ("4,76", "length", "4.76 mm", "4.760 mm = 0.1874 in"),  # 4.76 / 25.4 = 0.18740
    ("80", "pressure", "80 psi", "80.0 psi = 5.52 bar"),  # 80 x 0.0689476 = 5.5158
    ("5 1/2 bar", "pressure", "5.5 bar", "79.8 psi = 5.50 bar"),  # 5.5 / 0.0689476 = 79.771
    ("1/4", "mass", "0.25 g", "0.25 g = 0.00882 oz"),  # 0.25 / 28.3495 = 0.0088185
    ("-22 1/2", "angle", "-22.5 deg", "-22.5 deg"),
    ("1/2 h", "minutes", "0.5 h", "0.5 h"),
)


@pytest.mark.parametrize(("text", "kind", "written", "echo"), TYPED)
def test_what_is_typed_is_written_with_its_unit_and_echoed(text: str, kind: str, written: str, echo: str) -> None:
    assert understood(text, kind) == (written, echo)


@pytest.mark.parametrize(
    ("text", "kind"), [("3/0", "pressure"), ("1/2/3", "mass"), ("half", "angle"), ("3/16 bar", "length")]
)
def test_what_cannot_be_read_is_refused(text: str, kind: str) -> None:
    with pytest.raises(Refusal):
        understood(text, kind)
