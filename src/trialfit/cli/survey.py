"""``trialfit survey``: where every point is, and how surely."""

from __future__ import annotations

from pathlib import Path

import click

from trialfit.cli.looking import look_at
from trialfit.cli.outline_words import rim_lines, tube_lines
from trialfit.cli.words import answer, as_json
from trialfit.store.folder import read_folder
from trialfit.survey.records import Survey
from trialfit.survey.solve import survey_of

_WORST = 8


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@as_json
def survey(job: Path, as_json: bool) -> None:
    """Print the points of the job folder JOB with k = 2, and what disagrees most."""
    folder = read_folder(job)
    looked = look_at(folder)
    found = survey_of(folder.job, looked.sighted)
    warnings = [f"Look: {same}" for same in looked.twice]
    warnings += [
        f"Look: photograph {name}: {remark}"
        for name, photograph in looked.sighted.photographs.items()
        for remark in photograph.remarks
    ]
    answer(as_json, "\n".join([as_text(found), *(["", *warnings] if warnings else [])]), found)


def as_text(found: Survey) -> str:
    """Write a survey for a person.

    Parameters
    ----------
    found
        The survey.

    Returns
    -------
    str
        Several lines.
    """
    wide = max([len(point.name) for point in found.points] + [8])
    lines = [
        "Points in the card's frame, mm (x along its long side, y along its short side, z out of the print);",
        "the second figure of each pair is its plus-or-minus, k = 2.",
        "",
        f"{'point':<{wide}}  rays  {'x':>9} ±{'':6}{'y':>9} ±{'':6}{'z':>9} ±",
    ]
    for point in found.points:
        xyz = "  ".join(f"{p:9.2f} {k:5.2f}" for p, k in zip(point.position_mm, point.k2_mm, strict=True))
        lines.append(f"{point.name:<{wide}}  {point.rays:>4}  {xyz}")
    lines += [*tube_lines(found.tubes), *rim_lines(found.rims)]
    if found.left_out:
        lines += ["", "Could not be fixed:"]
        lines += [f"  {left.name}: {left.because} {left.do}" for left in found.left_out]
    lines += ["", "Photographs:"]
    for station in found.stations:
        seen = f"{station.card_corners} corners of the card" if station.card_corners else "placed by its marks alone"
        lines.append(f"  {station.photograph}: {seen}, focal length {station.focal_px:.0f} px")
    if found.suspects:
        lines += ["", "Not to be trusted:"]
        lines += [f"  {suspect.what}: {suspect.because} {suspect.do}" for suspect in found.suspects]
    (long, short), (long_k2, short_k2) = found.card_stretch
    if long_k2:
        lines.append(
            f"The card is {100 * long:.2f} ± {100 * long_k2:.2f} % of nominal along its long side, "
            f"{100 * short:.2f} ± {100 * short_k2:.2f} % along its short side."
        )
    lines += ["", f"Chi-square {found.chi_square:.0f} for {found.freedom} degrees of freedom. What disagrees most:"]
    lines += [
        f"  {residual.what}: {residual.off:.2f} {residual.unit}, {residual.sigmas:.1f} standard deviations"
        for residual in found.residuals[:_WORST]
    ]
    return "\n".join(lines)
