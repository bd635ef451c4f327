"""Unit: solder and flux of a job's joints, and what they cost, by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest

from trialfit.errors import Refusals
from trialfit.finding import Answer
from trialfit.job.read import read_job, read_shop
from trialfit.job.shop import Shop
from trialfit.making.turned.plan import TurnedJob
from trialfit.quote.quote import quote_of
from trialfit.quote.records import Making, Quote
from trialfit.quote.solder_use import joint_g, solder_needs

JOB = """
format = 1
[job]
name = "wren"
owner = "A. Reedham"
date = 2026-03-14
[engine]
name = "Wren"
working_pressure = "80 psi"
[quote]
[assemblies.feed.bodies]
pipe = { metal = "CW024A", od = "3/16 in" }
one = { metal = "CW451K" }
other = { metal = "CW451K" }
[assemblies.feed.work.first]
do = "silver-solder"
on = ["pipe", "one"]
filler = "Ag130"
[assemblies.feed.work.second]
do = "silver-solder"
on = ["pipe", "other"]
filler = "Ag155"
[assemblies.feed.work.third]
do = "soft-solder"
on = ["one", "other"]
filler = "Sn60Pb40"
[heating.second]
do = "silver-solder"
torch = "small torch"
flame_on = "cone"
joint = "cone"
filler = "Ag155"
gap = { hole = "4.8625 mm", shank = "4.7625 mm", overlap = "3.5 mm", outer = "CW451K", inner = "CW024A" }
[heating.second.bodies]
cone = { metal = "CW451K", mass = "1 g", across = "6.8 mm", long = "4 mm" }
"""
SHOP = """
name = "Bench"
[scatter]
length = "0.6 mm"
bend = "2 deg"
rotation = "4 deg"
[pricing]
currency = "GBP"
rate = "30.00"
[pricing.stock.ag155]
what = "silver solder"
price = "1.45"
each = "g"
form = "solder"
filler = "Ag155"
[pricing.stock.flux]
price = "0.06"
each = "g"
form = "flux"
"""


def quoted(shop: str = SHOP) -> Quote:
    made: Shop = read_shop(shop)
    return quote_of(read_job(JOB), made, Making(TurnedJob((), ())))


def test_one_joint_by_hand() -> None:
    """Ring pi 4.8125 0.05 3.5 = 2.646, two fillets of 0.5 mm 0.25 pi 4.7625 = 3.740: 6.386 mm3. Times 9.3 mg and 2:
    0.1188 g. Flux 1 mm over 7 mm: 7 pi 4.7625 = 104.73 mm3 of 1.5 mg: 0.1571 g."""
    solder_g, flux_g = joint_g("Ag155", 4.7625, 0.05, 3.5)
    assert solder_g == pytest.approx(0.1188, abs=0.0001)
    assert flux_g == pytest.approx(0.1571, abs=0.0001)
    # Tin-lead weighs 8.5: 6.386 x 8.5 x 2 = 108.6 mg.
    assert joint_g("Sn60Pb40", 4.7625, 0.05, 3.5)[0] == pytest.approx(0.1086, abs=0.0001)


def test_each_joint_takes_its_size_from_where_it_is_said() -> None:
    """The first goes by the tube: one diameter deep, 0.1 mm a side: pi 4.8625 0.1 4.7625 = 7.275 and 3.740 mm3, so
    11.015 x 9.3 x 2 = 0.2049 g. The second by its heat; of the third nothing says how large it is."""
    first, second, third = solder_needs(read_job(JOB))
    assert first.solder_g == pytest.approx(0.2049, abs=0.0001)
    assert "overlap and gap assumed" in first.sized_by
    assert second.solder_g == pytest.approx(0.1188, abs=0.0001)
    assert "as its heat says" in second.sized_by
    assert third.solder_g is None


def test_solder_is_priced_by_the_gram_and_what_has_no_price_is_named() -> None:
    """0.1188 g are charged as 0.2 g: 0.2 x 1.45 = 0.29. Flux: first joint 2 x 4.7625 pi 4.7625 x 1.5 mg = 0.2138 g,
    second 0.1571 g: 0.3709, charged as 0.4 g: 0.4 x 0.06 = 0.024, so 0.02."""
    quote = quoted()
    assert quote.price is not None
    lines = {(line.called or line.form): line for line in quote.price.lines if line.kind == "material"}
    assert (lines["silver solder"].count, lines["silver solder"].amount) == (Decimal("0.2"), Decimal("0.29"))
    assert (lines["flux"].count, lines["flux"].amount) == (Decimal("0.4"), Decimal("0.02"))
    assert [str(each) for each in quote.unpriced] == ["0.2 g of Ag130"]
    (finding,) = [each for each in quote.findings if each.about == "solder"]
    assert finding.answer is Answer.LOOK
    assert str(finding.figure) == "0.32 g"
    assert any("third: nothing says how large that joint is." in str(reason) for reason in finding.because)
    assert any(str(reason).endswith("[assumed]") for reason in finding.because)


@pytest.mark.parametrize(("old", "new"), [('each = "g"\nform = "flux"', 'each = "kg"\nform = "flux"'),
                                          ('filler = "Ag155"\n', "")])  # fmt: skip
def test_solder_and_flux_are_priced_by_the_gram_only(old: str, new: str) -> None:
    with pytest.raises(Refusals, match="by the gram"):
        read_shop(SHOP.replace(old, new))
