# Etiketten für Beutel und Teile.

label-kind = Etiketten
label-title = Etiketten für Beutel und Teile
label-bag = BEUTEL { $bag }
label-whole = PAKET
label-owner = von { $owner }
label-pieces = { $count } Stück
label-one-way = ! Richtung beachten
label-unlike = ! nicht gleich
label-unprintable = Name wie im Auftrag
label-transit = VOR DEM EINBAU ABNEHMEN
label-on = { $what }, an: { $on }
