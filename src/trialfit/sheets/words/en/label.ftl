# Labels for bags and parts.

label-kind = labels
label-title = Labels for bags and parts
label-bag = BAG { $bag }
label-whole = PARCEL
label-owner = of { $owner }
label-pieces = { $count ->
    [one] { $count } piece
   *[other] { $count } pieces
}
label-one-way = ! one way only
label-unlike = ! not alike
label-unprintable = name as in the job
label-transit = TAKE OFF BEFORE FITTING
label-on = { $what }, on { $on }
