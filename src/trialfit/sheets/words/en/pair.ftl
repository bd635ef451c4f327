# The sheet of two photographs at one scale: the piece as it came, and as it goes back.

pair-kind = before and after
pair-title = { $what }
pair-foot = Pictures to look at. Do not make a part by them.
pair-true = Both pictures show the piece at its true size, { $scale }.
pair-larger = Both pictures show the piece at { $scale }, that is { $times } times its true size.
pair-smaller = Both pictures show the piece at { $scale }, that is { $times } times smaller than it is.
pair-bar = The bar must be { $long } long on the paper. If it is not, the printer changed the size: print it again at 100 %.

pair-came = As it came
pair-goes = As it goes back
pair-by-card = Size by the card that lay with it: right within { $percent } %.
pair-by-marks = Size by two marks { $apart } apart: right within { $percent } %.
pair-by-point = Size by how far off the camera stood: right within { $percent } %.
pair-deep = What lies { $deep } nearer to the lens looks { $percent } % too large here. What lies that much deeper looks too small.
pair-deep-unknown = What lies nearer to the lens looks too large here. What lies deeper looks too small.

pair-surely = "Right within" holds 19 times in 20 (k = 2), and only for what lies as deep as the outline of the piece.
