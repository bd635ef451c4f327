"""Outside: what past times teach, against scipy's Student's t and multivariate t; money against sums done by hand."""

from __future__ import annotations

from decimal import Decimal
from math import log

import iso4217
import numpy as np
import pytest

from loaded import Loaded
from trialfit.job.pricing import Pricing
from trialfit.quote.foresee import draw, repair_and_perhaps_remake, summed
from trialfit.quote.learn import SHAPE, Reach, Taken, learn
from trialfit.quote.money import price_of, rounded, work_line
from trialfit.quote.records import MoneyLine
from trialfit.tables.currencies import currencies, minor_digits

stats = Loaded("scipy.stats")

REACHES = {"bend": Reach(10.0, 25.0), "solder": Reach(25.0, 60.0), "turn": Reach(18.0, 40.0)}


def test_without_a_past_time_an_operation_is_a_student_t_through_its_two_guesses() -> None:
    """A t of six freedoms whose 90 % lies at the one-in-ten guess; 80 % by scipy. 200 000 draws: 0.4 %."""
    drawn = draw(learn(REACHES, []), [("solder", 1)], 7, 200_000)[:, 0]
    t = stats.t(2 * SHAPE)
    for share in (0.5, 0.8, 0.9):
        expected = 25.0 * np.exp(log(60.0 / 25.0) * t.ppf(share) / t.ppf(0.9))
        assert np.quantile(drawn, share) == pytest.approx(expected, rel=0.006)


def test_weights_and_means_are_those_of_the_multivariate_t() -> None:
    """Every cell of the grid by brute force: the whole covariance written out, scipy's density of the times."""
    rng = np.random.default_rng(3)
    past = [Taken(f"j{n // 3}", ("bend", "solder")[n % 2], float(t)) for n, t in enumerate(rng.uniform(8, 50, 9))]
    learnt = learn(REACHES, past)
    names = list(REACHES)
    y = np.array([log(p.minutes_each / REACHES[p.operation].likely_min) for p in past])
    reach = np.array([REACHES[name].log_reach for name in names])
    middle = np.exp(np.log(reach).mean())
    scores, means = [], []
    for follows in (0.0, 0.5, 1.0):
        own = middle * (reach / middle) ** follows
        for of_shop in (0.1, 0.6):
            for of_operation in (0.1, 0.4, 1.5):
                for of_job in (0.05, 0.25, 1.0):
                    scale = np.array([own[names.index(p.operation)] for p in past])
                    same = np.array([[a.operation == b.operation for b in past] for a in past])
                    job = np.array([[a.job == b.job for b in past] for a in past])
                    shape = of_shop + of_operation * same + of_job * job + np.eye(len(past))
                    spread = 1 / stats.t(2 * SHAPE).ppf(0.9) ** 2 / (1 + of_shop + of_operation + of_job)
                    t = stats.multivariate_t(np.zeros(len(past)), spread * shape, int(2 * SHAPE))
                    scores.append(t.logpdf(y / scale) - np.log(scale).sum())
                    means.append(of_shop * np.ones(len(past)) @ np.linalg.solve(shape, y / scale))
    weights = np.exp(np.array(scores) - max(scores))
    weights /= weights.sum()
    kept = weights > 1e-3
    ours = np.array([cell.weight for cell in learnt.cells])
    assert len(learnt.cells) == len(weights)
    np.testing.assert_allclose(ours[kept], weights[kept], rtol=2e-3)
    np.testing.assert_allclose([cell.mean[0] for cell in learnt.cells], means, atol=1e-9)


def test_repair_and_perhaps_remake_is_the_mixture() -> None:
    """By hand: 10 min always, 40 more one time in five: mean 18, eight in ten stay at 10, nine in ten are 50."""
    mixed = repair_and_perhaps_remake(np.full(100_000, 10.0), np.full(100_000, 40.0), 0.2, 5)
    assert mixed.mean() == pytest.approx(18.0, abs=0.2)
    assert (np.quantile(mixed, 0.79), np.quantile(mixed, 0.9)) == (10.0, 50.0)
    assert summed(np.zeros((10, 0))).four_in_five_min == 0.0


def test_minor_units_are_those_of_iso_4217() -> None:
    assert {code: minor_digits(code) for code in currencies()} == {
        code: iso4217.Currency(code).exponent for code in currencies()
    }


# By hand, on paper. 421 min at 32.00: 32 x 421 / 60 = 224.5333, 224.53; with 58.35 and 2.125 -> 2.13 and the post
# 5.90 the net is 290.91; 20 % of it 58.182, 58.18; 349.09.
# 100 min at 35.55 is 59.25; 19 % of 59.25 is 11.2575, 11.26; 70.51. Yen: 100 min at 3500 is 5833.33, 5833; 10 %
# 583.3, 583; 6416. Dinar: 10 min at 7.125 is 1.1875, 1.188; no tax.
INVOICES = [
    ("GBP", "32.00", "20 %", 421.0, ["58.35", "2.125", "5.90"], "290.91", "58.18", "349.09"),
    ("EUR", "35.55", "19 %", 100.0, [], "59.25", "11.26", "70.51"),
    ("JPY", "3500", "10 %", 100.0, [], "5833", "583", "6416"),
    ("KWD", "7.125", None, 9.2, [], "1.188", "0.000", "1.188"),
]


@pytest.mark.parametrize(("currency", "rate", "share", "minutes", "more", "net", "tax", "total"), INVOICES)
def test_totals_are_those_worked_by_hand(
    currency: str, rate: str, share: str | None, minutes: float, more: list[str], net: str, tax: str, total: str
) -> None:
    pricing = Pricing.model_validate(
        {"currency": currency, "rate": rate, **({"tax": {"name": "tax", "share": share}} if share else {})}
    )
    assert pricing.rate is not None
    lines = [work_line("work", minutes, pricing.rate, currency)]
    lines += [
        MoneyLine("material", "more", "piece", Decimal(1), Decimal(each), rounded(Decimal(each), currency))
        for each in more
    ]
    price = price_of(lines, pricing)
    assert [str(price.net), str(price.tax), str(price.total)] == [net, tax, total]
