# The packing list.

packing-kind = packing list
packing-title = What is in this parcel for { $engine }
packing-arrived = Your parcel came
packing-mass = Mass, packed
packing-same-picture = In the picture with: { $other }.
packing-mass-lacks = about { $mass }, and what was not weighed: { $lacks }
packing-box = box and wrapping
packing-pipe = pipe { $name }

packing-new = New
packing-returned = Yours, coming back
packing-replaced = Replaced
packing-enclosed = Also in the parcel
packing-not-back = Not coming back
packing-transit = TAKE OFF BEFORE FITTING
packing-transit-note = only for the journey
packing-transit-line = { $count } × { $what }, on { $on }

packing-holds = It holds { $holds }.
packing-one-way = Goes one way only: { $way }.
packing-unlike = Not to be changed with: { $other }.
packing-joined = Joined: { $joined }.
packing-inside = Inside: { $outer }.
packing-by = Replaced by { $by }.
packing-old-returned = The old one is in the parcel.
packing-old-scrapped = The old one was scrapped.
packing-old-kept = The workshop keeps the old one.
packing-scrapped = Scrapped.
packing-kept = The workshop keeps it.
packing-leave = With your leave: { $leave }.

packing-closed = Every piece that came is accounted for: { $came } came, { $back ->
    [one] { $back } comes
   *[other] { $back } come
 } back in this parcel.
packing-open = THIS LIST DOES NOT CLOSE.
packing-missing = { $what }: nothing says what becomes of { $count }.
packing-twice = { $what }: { $came } came, { $out } go out.
packing-no-leave = { $what }: nothing says that the owner agreed.
packing-not-whole = Nobody has said yet that everything that came is written down.
packing-tick = tick each as it is unpacked, and look in the wrapping before you throw it away
packing-wrong = If something is missing or bent, fit nothing, photograph it as it lies, and write to us.
packing-posted = Carriers often refuse spray cans, gas, flux paste and acid, fluids that burn, glue, paint, and loose lithium cells: ask the carrier, and keep to the rules of both countries. [common practice]
