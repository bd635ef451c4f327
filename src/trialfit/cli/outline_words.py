"""Tubes and round faces of a survey, in lines for a person."""

from __future__ import annotations

from trialfit.survey.outline_records import SurveyedRim, SurveyedTube, Triple


def tube_lines(tubes: tuple[SurveyedTube, ...]) -> list[str]:
    """Write the tubes of a survey.

    Parameters
    ----------
    tubes
        The tubes.

    Returns
    -------
    list of str
        A heading and several lines a tube; nothing where there are none.
    """
    if not tubes:
        return []
    lines = ["", "Tubes as the photographs show them, from start to end, mm in the card's frame, ± is k = 2:"]
    for tube in tubes:
        radius = _radius(tube)
        lines.append(
            f"{tube.name}: outside diameter {tube.od_mm:.2f} ± {tube.od_k2_mm:.2f} mm{radius}, {tube.marks} marks"
        )
        for place, (vertex, k2) in enumerate(zip(tube.vertices_mm, tube.vertices_k2_mm, strict=True)):
            xyz = "  ".join(f"{p:9.2f} {k:5.2f}" for p, k in zip(vertex, k2, strict=True))
            if 0 < place < len(tube.vertices_mm) - 1:
                bend = tube.bends[place - 1]
                name = f"corner of bend{place}"
                turns = f"  turns {bend.angle_deg:.1f} ± {bend.k2_deg:.1f} deg"
            else:
                name, turns = "marked as far as", ""
            lines.append(f"  {name:<16}  {xyz}{turns}")
        lines += [
            f"  {leg.name.rpartition('.')[2]} runs {_way(leg.direction)} ± {leg.k2_deg:.1f} deg" for leg in tube.legs
        ]
    return lines


def rim_lines(rims: tuple[SurveyedRim, ...]) -> list[str]:
    """Write the round faces of a survey.

    Parameters
    ----------
    rims
        The rims.

    Returns
    -------
    list of str
        A heading and one line a rim; nothing where there are none.
    """
    if not rims:
        return []
    return [
        "",
        "Round faces, ± is k = 2:",
        *(
            f"{rim.axis.name}: about {rim.centre}, faces {_way(rim.axis.direction)} ± {rim.axis.k2_deg:.1f} deg, "
            f"diameter {2 * rim.radius_mm:.2f} ± {2 * rim.radius_k2_mm:.2f} mm, {rim.marks} marks"
            for rim in rims
        ),
    ]


def _radius(tube: SurveyedTube) -> str:
    if not tube.bends:
        return ""
    if tube.bend_radius_mm is None or tube.bend_radius_k2_mm is None:
        return ", bend radius not known: no mark lies on a bend"
    return f", bend radius {tube.bend_radius_mm:.1f} ± {tube.bend_radius_k2_mm:.1f} mm"


def _way(direction: Triple) -> str:
    return "(" + ", ".join(f"{part:.3f}" for part in direction) + ")"
