"""Unit: prices a shop begins from are the example's, said to be so until each is changed, and never charged."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from trialfit.errors import Refusal
from trialfit.finding import Answer, Basis
from trialfit.job.example_prices import example_prices, still_assumed
from trialfit.job.pricing import Pricing
from trialfit.job.read import read_job, read_shop
from trialfit.job.records import Job
from trialfit.job.shop import Shop, assumed_shop
from trialfit.job.write import write_shop
from trialfit.plan import plan
from trialfit.quote.invoice import invoice_of
from trialfit.sheets.charges import quote_sheet
from workshops import EXAMPLES, job_text

QUOTED = job_text() + ('\n[quote.work.lapping]\noperation = "lap"\n[invoice]\nnumber = "1"\nday = 2026-03-20\n')
EVERYTHING = (
    "an hour's work", "the least charge", "post inland", "copper tube 3/16 in x 22 swg",
    "phosphor bronze round 5/16 in", "brass hexagon 10 mm", "brass round 1/2 in", "silver solder, 30 % silver",
    "silver solder, 55 % silver", "flux for silver solder",
)  # fmt: skip


def _shop(**changed: Any) -> Shop:
    pricing = Pricing.model_validate({**dict(example_prices()), **changed})
    return assumed_shop().model_copy(update={"pricing": pricing})


def test_the_figures_are_the_example_shop_s_and_hold_no_tax_and_no_way_to_pay() -> None:
    written = tomllib.loads(Path(EXAMPLES / "shop.toml").read_text("utf-8"))["pricing"]
    tax, pay_to = written.pop("tax"), written.pop("pay_to")
    assert tax and pay_to
    begun = tomllib.loads(write_shop(_shop()))["pricing"]
    assert begun.pop("assumed") is True
    assert begun == written


def test_each_is_named_until_it_is_changed() -> None:
    assert still_assumed(example_prices()) == EVERYTHING
    assert still_assumed(None) == ()
    own = read_shop((EXAMPLES / "shop.toml").read_text("utf-8")).pricing
    assert still_assumed(own) == ()  # nobody said that they are assumed
    changed = example_prices().model_copy(update={"rate": Decimal("36.00"), "stock": {}})
    assert still_assumed(changed) == ("the least charge", "post inland")
    assert still_assumed(changed.model_copy(update={"assumed": False})) == ()


def _quoted(job: Job, shop: Shop) -> Any:
    made = plan(job, shop)
    assert made.quote is not None and made.quote.price is not None
    [finding] = [each for each in made.quote.findings if each.about == "quote"]
    return made, made.quote, finding


def test_a_quote_from_them_is_a_draft_and_there_is_no_invoice() -> None:
    job = read_job(QUOTED)
    made, quote, finding = _quoted(job, _shop())
    assert finding.answer is Answer.LOOK
    assert (finding.because[0].basis, "an hour's work" in str(finding.because[0])) == (Basis.ASSUMED, True)
    draft = quote_sheet(job, made.shop, quote, quote.price)["draft"]
    assert draft == "Draft, not to be sent: prices in it are invented and not the workshop's own."
    assert made.invoice is None
    with pytest.raises(Refusal, match="the example's prices, invented, for an hour's work"):
        invoice_of(job, made.shop, quote)
    # The same figures once the shop has said that they are its own.
    made, quote, finding = _quoted(job, _shop(assumed=False))
    assert quote_sheet(job, made.shop, quote, quote.price)["draft"] == ""
    assert made.invoice is not None
