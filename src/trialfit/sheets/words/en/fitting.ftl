# The owner's fitting sheet. Short sentences, plain words: the reader has one spanner and a telephone.

fitting-kind = fitting sheet
fitting-title = How to fit what we send you
fitting-for = For { $owner }, engine { $engine }
fitting-foot = If anything is not as it is drawn here, stop and ask us.

fitting-before = Before you start
fitting-cold = Fire out, engine cold, gauge at nought. Open a drain or the blower for a moment to be sure that no pressure is left.
fitting-drained = Let the water down below the parts you will touch. Water that is still hot scalds.
fitting-photograph = Take a photograph from each side before you loosen anything. Send it to us if something looks different.
fitting-transit = These pieces are for the post only. Take them off before you fit anything:
fitting-transit-piece = { $count } × { $what }, on { $on }
fitting-needs = What you need
fitting-needs-spanner = Spanner { $size } across the flats
fitting-needs-washers = The washers from the bag, { $sizes }
fitting-needs-retaining = Retaining compound, the grade that came with the parts
fitting-needs-jointing = Jointing compound for steam
fitting-needs-tape = PTFE tape
fitting-needs-washer = The sealing washers from the bag

fitting-off = Taking off
fitting-on = Putting on
fitting-nothing-off = Nothing has to come off first.
fitting-step = Step { $number }

fitting-unscrew = Unscrew { $part }, anticlockwise as you look at it from { $seen }. It takes about { $turns } turns.
fitting-screw = Screw in { $part }, clockwise as you look at it from { $seen }. It takes about { $turns } turns. Start it with your fingers.
fitting-unscrew-left = Unscrew { $part }. It has a left-hand thread: turn it clockwise as you look at it from { $seen }, about { $turns } turns.
fitting-screw-left = Screw in { $part }. It has a left-hand thread: turn it anticlockwise as you look at it from { $seen }, about { $turns } turns. Start it with your fingers.
fitting-pull = Draw { $part } straight off, about { $far }, { $way }.
fitting-push = Put { $part } straight on, the last { $far } { $way }.
fitting-turn-away = Turn { $part } about { $angle } degrees out of the way.
fitting-turn-back = Turn { $part } back by about { $angle } degrees.
fitting-together = These go as one: { $parts }.
fitting-stand = Turn the engine so that you work from { $side }.
fitting-force = It must go by hand. If it does not, stop: do not force it.
fitting-force-nut = It must go by hand. If it does not, stop: do not pull it on with the nut.
fitting-chance = We expect this pipe to drop on by itself { $often }.
fitting-chance-set = It is soft, so that you can set it: with that it goes on { $often }. Take it off the engine for it. Hold it by the straight beside its cone, never by the solder. Bend it a little, try it, and bend it again.
fitting-chance-not = If it still does not go on, do not force it: take a photograph of both ends as they lie, and ask us.
fitting-chance-assumed = We reckoned that. Part of it rests on figures we had to assume.
fitting-often = { $times ->
    [one] 1 time in 20
   *[other] { $times } times in 20
}
fitting-often-most = more than { $times } times in 20
fitting-often-seldom = less than 1 time in 20

fitting-spanner = Use the spanner { $size } across the flats.
fitting-spanner-fingers = Fingers only here. No spanner.
fitting-tight = Tighten to { $torque }, no more.
fitting-tight-pull = On a spanner { $long } long that is a pull of { $pull } at its end: what { $hanging } hanging from it would pull.
fitting-tight-unknown = We have no figure for this one. Tighten it with two fingers on a short spanner until it stops, and no further.
fitting-not-you = Do not tighten this one. Leave it as we sent it.
fitting-hold = Hold the fitting behind it with a second spanner, so that it does not turn with the nut.

fitting-points = Which way it points
fitting-points-at = It must point to { $clock }. Twelve o'clock is { $twelve }. { $seen }
fitting-points-within = Within { $degrees } degrees is good enough.
fitting-half-past = half past { $hour }
fitting-o-clock = { $hour } o'clock
fitting-washers = Put under it: { $washers }.
fitting-washers-none = No washer is needed under it.
fitting-table = Tighten it once as told. Look where it stops, and put these washers under it:
fitting-table-stopped = It stops at
fitting-table-fit = Put under it
fitting-no-washer = none
fitting-taper-turns = Hand tight first. Then turn it on { $turns } turns, until it points right. Never turn it back: it would leak.
fitting-plus-washer = { $one } and { $other }

fitting-seal-dry = The cone seals dry. Wipe both faces clean, nothing on them.
fitting-seal-retaining = Clean and dry both threads. One drop of retaining compound on the second thread, none at the end. Gloves on; keep it off your skin and out of the bore.
fitting-seal-jointing = A thin smear of jointing compound on the male thread, none on the first turn.
fitting-seal-tape = Three turns of PTFE tape on the taper thread, wound the way the thread goes in. Leave the first thread bare.
fitting-seal-washer = New washer under it, flat and clean.
fitting-cures = Leave it for { $hours } hours before water or steam comes near.

fitting-steam = Before you raise steam
fitting-steam-cold = Fill with cold water and work the hand pump. Look at each joint you touched, with dry paper.
fitting-steam-settings = Try each cock and valve once. Water must go where it went before.
fitting-steam-weep = A weep at a nut: pressure off first, then a touch more, never past the figure above. Never tighten under pressure.
fitting-steam-low = Then light a small fire. Stop at a third of the working pressure, { $third }, and look again.
fitting-steam-full = Then go up to { $working } with your face and hands away from the new parts.
fitting-steam-inspector = This sheet does not certify anything. If your boiler is under test or insurance rules, ask your boiler inspector before you raise steam.

fitting-stop = Stop, and ask us, if
fitting-stop-force = a part does not go on by hand, or a nut does not start with two fingers;
fitting-stop-points = something points more than one hour of the clock wrong;
fitting-stop-left = you have a piece left over, or one is missing;
fitting-stop-drip = it still drips when it is as tight as this sheet allows;
fitting-stop-crack = you hear a crack, feel a nut go soft, or see bright new metal.

fitting-view = Turn it with a finger. Two fingers make it larger.
fitting-view-play = Show the step
fitting-view-none = This telephone cannot show the turning view. The pictures say the same.
fitting-done = Done
fitting-picture = Picture of step { $number }: { $what }
fitting-no-order = We have not worked out an order for these parts. Ask us before you loosen anything.
fitting-seen-outside = You look along its thread from outside, towards the part it screws into.

fitting-way-up = upwards
fitting-way-down = downwards
fitting-way-left = to the left
fitting-way-right = to the right
fitting-way-to-you = towards you
fitting-way-from-you = away from you
fitting-side-up = above
fitting-side-down = below
fitting-side-left = the left
fitting-side-right = the right
fitting-side-to-you = the front
fitting-side-from-you = behind
