"""Prices to begin from: invented, no workshop's, and said to be so until each has been changed."""

from __future__ import annotations

from trialfit.job.pricing import Pricing


def example_prices() -> Pricing:
    """Give the prices a shop may begin from.

    Returns
    -------
    Pricing
        Marked as assumed; without tax and without a way to pay, which nobody can assume for a shop.

    Source
    ------
    Invented, as the prices of examples/shop.toml, which they repeat.
    """
    tube = {"what": "copper tube 3/16 in x 22 swg", "price": "9.60", "form": "tube", "size": "3/16 in"}
    bronze = {"what": "phosphor bronze round 5/16 in", "price": "21.00", "form": "round bar", "size": "5/16 in"}
    hexagon = {"what": "brass hexagon 10 mm", "price": "12.50", "form": "hexagon bar", "size": "10 mm"}
    brass = {"what": "brass round 1/2 in", "price": "14.80", "form": "round bar", "size": "1/2 in"}
    low = {"what": "silver solder, 30 % silver", "price": "0.92", "form": "solder", "filler": "Ag130"}
    high = {"what": "silver solder, 55 % silver", "price": "1.45", "form": "solder", "filler": "Ag155"}
    bands = [("350 g", "5.90"), ("1 kg", "8.40"), ("2 kg", "11.20")]
    return Pricing.model_validate(
        {
            "assumed": True,
            "currency": "GBP",
            "rate": "32.00",
            "minimum": "45.00",
            "post": {
                "inland": {
                    "what": "inland, insured, signed for",
                    "bands": [{"up_to": mass, "price": price} for mass, price in bands],
                }
            },
            "stock": {
                "tube_3_16": {**tube, "each": "m", "metal": "CW024A"},
                "bronze_5_16": {**bronze, "each": "m", "metal": "CW451K"},
                "hexagon_3_8": {**hexagon, "each": "m", "metal": "CW614N"},
                "brass_1_2": {**brass, "each": "m", "metal": "CW614N"},
                "silver_ag130": {**low, "each": "g"},
                "silver_ag155": {**high, "each": "g"},
                "flux": {"what": "flux for silver solder", "price": "0.06", "each": "g", "form": "flux"},
            },
        }
    )


def still_assumed(pricing: Pricing | None) -> tuple[str, ...]:
    """Say which prices of a shop that began from the example are still the example's.

    Parameters
    ----------
    pricing
        What the shop charges; None where it has no prices.

    Returns
    -------
    tuple of str
        What each is for; none where the prices are the shop's own.
    """
    if pricing is None or not pricing.assumed:
        return ()
    example = example_prices()
    found = ["an hour's work"] if pricing.rate == example.rate else []
    found += ["the least charge"] if pricing.minimum == example.minimum else []
    for name, way in pricing.post.items():
        same = example.post.get(name)
        if same and any(band in same.bands for band in way.bands):
            found.append(f"post {name}")
    for name, thing in pricing.stock.items():
        of_example = example.stock.get(name)
        if of_example and of_example.price == thing.price:
            found.append(thing.what or name)
    return tuple(found)
