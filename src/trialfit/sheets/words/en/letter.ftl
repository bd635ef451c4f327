# The letter to the owner: what to photograph and measure, and how.

letter-kind = letter to the owner
letter-title = What we still need of { $engine }
letter-foot = Distances in the sketch are from the middle of the engine's fittings.
letter-greeting = Dear { $owner },
letter-thanks = With thanks, { $name }
letter-cold = Only with the engine cold: fire out, no steam, the gauge at nought, water valves shut. Loosen and remove nothing to get at a measurement, and keep fingers, rule and lamp off anything that is still warm.

letter-enough = Your photographs and readings are as good as we can use: nothing more that we could ask you for would make the work much surer. The card behind this letter is for another time.
letter-first = To make parts for an engine that is not here we work from photographs and a few readings. Print the card behind this letter, lay it beside the engine, and please send us these:
letter-more = Your photographs and readings tell us where most things sit. What follows would make us surer, and is all we ask.{ $gain } Leave out what you cannot see or reach, and say so.
letter-more-readings = Your readings tell us where most things sit. What follows would make us surer, and is all we ask.{ $gain } Leave out what you cannot see or reach, and say so.
letter-gain = As it stands we know the length of the new pipe to { $now } either way; with all of it, to { $then }.

letter-photographs = Photographs
letter-measurements = Measurements
letter-how-pictures = Move nothing on the engine. Main lens, no zoom, phone held sideways, everything sharp. Send the pictures as the phone stored them, by mail or as files: a messenger shrinks them.
letter-how-card = The card: if it still lies exactly where it lay in your first photographs, leave it there. If it has been moved, take it right away: in a new place it would mislead us.
letter-how-readings = Write down each reading as you took it, in mm or inches, and what you measured with. Take it twice.
letter-how-spare = The card behind this letter is a spare, for the day we have to begin again: do not use it with these.

letter-from-above = From above: you stand at the foot of this page
letter-how-high = How far and how high
letter-legend-black = Black, { $letters }: where to stand for what we ask for.
letter-legend-white = White: your photographs so far ({ $taken }).
letter-sketch-engine = engine
letter-sketch-card = card
letter-sketch-bench = bench

letter-photograph = A photograph { $where }, { $high }, { $near }, { $card }{ $lamp }.
letter-one-more = One more photograph { $where }, { $high }, { $near }, { $card }{ $lamp }.
letter-with-card = with the card in view
letter-without-card = the card need not be in view
letter-lamp = , and a lamp on { $points }
letter-near = about { $own } ({ $other }) away
letter-near-cm = { $number } cm
letter-near-inches = { $number } in
letter-from-front = from straight in front
letter-from-little-left = from a little to the left, about { $degrees } degrees round
letter-from-little-right = from a little to the right, about { $degrees } degrees round
letter-from-left = from the left, about { $degrees } degrees round
letter-from-right = from the right, about { $degrees } degrees round
letter-from-far-left = from the left, about { $degrees } degrees round, nearly side on
letter-from-far-right = from the right, about { $degrees } degrees round, nearly side on
letter-high-level = level with it
letter-high-almost = almost level with it
letter-high-little = a little above (about { $degrees } degrees down)
letter-high-well = from well above (about { $degrees } degrees down)
letter-high-steep = from high above, looking steeply down (about { $degrees } degrees)

letter-rule = Measure from { $one } to { $other }, with a steel rule (a caliper is better, if you have one), { $closely }.
letter-caliper = Measure from { $one } to { $other }, with a caliper, { $closely }.
letter-rule-again = Measure again from { $one } to { $other }, with a steel rule (a caliper is better, if you have one), { $closely }.
letter-caliper-again = Measure again from { $one } to { $other }, with a caliper, { $closely }.
letter-closely-rule = to the nearest half millimetre or better
letter-closely-rule-inch = to the nearest 1/64 in or better
letter-closely-caliper = to the nearest tenth of a millimetre
letter-closely-caliper-inch = to the nearest 0.002 in
letter-place = If the card still lies where it lay, measure once more the place of { $point }, setting up afresh, as before.
letter-check-lines = Measure the check lines printed on the card, from tick to tick, with a steel rule, as closely as you can. It must be the very card that lies in the photographs.

letter-why-length = The length of the new pipe hangs on it.
letter-why-bends = The bends of the new pipe hang on it.
letter-why-part = It says where a part sits.
letter-why-all = Every point we have to make parts for hangs on it.
letter-why-size = The size of everything hangs on how large your printer made the card.
letter-and = { $one } and { $other }
