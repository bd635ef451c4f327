# Das Einbaublatt für den Besitzer. Kurze Sätze, einfache Worte: Er hat einen Schlüssel und ein Telefon.

fitting-kind = Einbaublatt
fitting-title = So bauen Sie ein, was wir schicken
fitting-for = Für { $owner }, Maschine { $engine }
fitting-foot = Wenn etwas nicht so aussieht wie hier gezeichnet: aufhören und uns fragen.

fitting-before = Bevor Sie anfangen
fitting-cold = Feuer aus, Maschine kalt, Manometer auf null. Einen Ablass oder den Bläser kurz öffnen, damit sicher kein Druck mehr da ist.
fitting-drained = Das Wasser ablassen, bis es unter den Teilen steht, die Sie anfassen. Heißes Wasser verbrüht.
fitting-photograph = Vor dem Lösen von jeder Seite ein Bild machen. Schicken Sie es uns, wenn etwas anders aussieht.
fitting-transit = Diese Teile sind nur für die Post da. Nehmen Sie sie vor dem Einbau ab:
fitting-transit-piece = { $count } × { $what }, an: { $on }
fitting-needs = Was Sie brauchen
fitting-needs-spanner = Schlüssel, Schlüsselweite { $size }
fitting-needs-washers = Die Scheiben aus dem Beutel, { $sizes }
fitting-needs-retaining = Fügeklebstoff, die Sorte, die bei den Teilen liegt
fitting-needs-jointing = Dichtmasse für Dampf
fitting-needs-tape = PTFE-Band
fitting-needs-washer = Die Dichtscheiben aus dem Beutel

fitting-off = Abbauen
fitting-on = Anbauen
fitting-nothing-off = Vorher muss nichts ab.
fitting-step = Schritt { $number }

fitting-unscrew = { $part } herausschrauben: gegen den Uhrzeigersinn, von { $seen } gesehen, etwa { $turns } Umdrehungen.
fitting-screw = { $part } einschrauben: im Uhrzeigersinn, von { $seen } gesehen, etwa { $turns } Umdrehungen. Mit den Fingern ansetzen.
fitting-unscrew-left = { $part } herausschrauben. Das Gewinde ist linksgängig: im Uhrzeigersinn drehen, von { $seen } gesehen, etwa { $turns } Umdrehungen.
fitting-screw-left = { $part } einschrauben. Das Gewinde ist linksgängig: gegen den Uhrzeigersinn drehen, von { $seen } gesehen, etwa { $turns } Umdrehungen. Mit den Fingern ansetzen.
fitting-pull = { $part } gerade abziehen, etwa { $far }, { $way }.
fitting-push = { $part } gerade aufstecken, die letzten { $far } { $way }.
fitting-turn-away = { $part } um etwa { $angle } Grad aus dem Weg drehen.
fitting-turn-back = { $part } um etwa { $angle } Grad zurückdrehen.
fitting-together = Diese Teile gehen zusammen: { $parts }.
fitting-stand = Die Maschine so drehen, dass Sie von { $side } arbeiten.
fitting-force = Es muss von Hand gehen. Wenn nicht: aufhören, keine Gewalt.
fitting-force-nut = Es muss von Hand gehen. Wenn nicht: aufhören. Nicht mit der Mutter heranziehen.
fitting-chance = Wir rechnen damit, dass dieses Rohr { $often } von selbst passt.
fitting-chance-set = Es ist weich, damit Sie es richten können: damit passt es { $often }. Nehmen Sie es dazu von der Maschine. Halten Sie es am geraden Stück neben dem Kegel, nie am Lot. Biegen Sie ein wenig, probieren Sie, und biegen Sie wieder.
fitting-chance-not = Wenn es dann noch nicht passt, bitte nicht mit Kraft: beide Enden fotografieren, wie sie liegen, und uns fragen.
fitting-chance-assumed = Das ist gerechnet, zum Teil mit Werten, die wir annehmen mussten.
fitting-often = { $times ->
    [one] 1 Mal von 20
   *[other] { $times } Mal von 20
}
fitting-often-most = mehr als { $times } Mal von 20
fitting-often-seldom = weniger als 1 Mal von 20

fitting-spanner = Schlüsselweite { $size } nehmen.
fitting-spanner-fingers = Hier nur mit den Fingern. Kein Schlüssel.
fitting-tight = Mit { $torque } anziehen, nicht mehr.
fitting-tight-pull = An einem Schlüssel von { $long } Länge ist das ein Zug von { $pull } am Ende: so viel, wie { $hanging } daran ziehen würden.
fitting-tight-unknown = Dafür haben wir keine Zahl. Mit zwei Fingern am kurzen Schlüssel anziehen, bis es steht, und nicht weiter.
fitting-not-you = Dieses Teil nicht anziehen. So lassen, wie wir es schicken.
fitting-hold = Das Teil dahinter mit einem zweiten Schlüssel halten, damit es sich nicht mitdreht.

fitting-points = Wohin es zeigt
fitting-points-at = Es muss auf { $clock } zeigen. Zwölf Uhr ist { $twelve }. { $seen }
fitting-points-within = Auf { $degrees } Grad genau genügt.
fitting-half-past = halb { $next }
fitting-o-clock = { $hour } Uhr
fitting-washers = Darunter legen: { $washers }.
fitting-washers-none = Darunter gehört keine Scheibe.
fitting-table = Einmal anziehen wie gesagt. Schauen, wo es stehen bleibt, und diese Scheiben darunter legen:
fitting-table-stopped = Es steht bei
fitting-table-fit = Darunter legen
fitting-no-washer = keine
fitting-taper-turns = Erst handfest. Dann noch { $turns } Umdrehungen weiter, bis es richtig zeigt. Nie zurückdrehen: Es würde undicht.
fitting-plus-washer = { $one } und { $other }

fitting-seal-dry = Der Kegel dichtet trocken. Beide Flächen sauber wischen, nichts auftragen.
fitting-seal-retaining = Beide Gewinde reinigen und trocknen. Einen Tropfen Fügeklebstoff auf den zweiten Gang, keinen ans Ende. Handschuhe an; nicht auf die Haut und nicht in die Bohrung.
fitting-seal-jointing = Dünn Dichtmasse auf das Außengewinde, keine auf den ersten Gang.
fitting-seal-tape = Drei Lagen PTFE-Band auf das kegelige Gewinde, in Einschraubrichtung gewickelt. Den ersten Gang frei lassen.
fitting-seal-washer = Neue Scheibe darunter, eben und sauber.
fitting-cures = { $hours } Stunden ruhen lassen, bevor Wasser oder Dampf daran kommt.

fitting-steam = Bevor Sie Dampf machen
fitting-steam-cold = Kaltes Wasser einfüllen und mit der Handpumpe drücken. Jede Stelle, die Sie angefasst haben, mit trockenem Papier prüfen.
fitting-steam-settings = Jeden Hahn und jedes Ventil einmal bewegen. Das Wasser muss fließen wie vorher.
fitting-steam-weep = Eine Mutter schwitzt: erst Druck weg, dann ein wenig nachziehen, nie über die Zahl oben. Nie unter Druck nachziehen.
fitting-steam-low = Dann ein kleines Feuer. Bei einem Drittel des Betriebsdrucks, { $third }, anhalten und noch einmal schauen.
fitting-steam-full = Dann auf { $working } gehen, Gesicht und Hände weg von den neuen Teilen.
fitting-steam-inspector = Dieses Blatt bescheinigt nichts. Wenn Ihr Kessel geprüft oder versichert ist, fragen Sie vor dem Anheizen Ihren Kesselprüfer.

fitting-stop = Aufhören und uns fragen, wenn
fitting-stop-force = ein Teil nicht von Hand aufgeht oder eine Mutter nicht mit zwei Fingern ansetzt;
fitting-stop-points = etwas um mehr als eine Stunde der Uhr falsch zeigt;
fitting-stop-left = ein Teil übrig bleibt oder fehlt;
fitting-stop-drip = es noch tropft, obwohl es so fest ist, wie dieses Blatt erlaubt;
fitting-stop-crack = es knackt, eine Mutter weich wird oder blankes neues Metall zu sehen ist.

fitting-view = Mit einem Finger drehen. Zwei Finger vergrößern.
fitting-view-play = Schritt zeigen
fitting-view-none = Dieses Telefon kann die drehbare Ansicht nicht zeigen. Die Bilder sagen dasselbe.
fitting-done = Fertig
fitting-picture = Bild zu Schritt { $number }: { $what }
fitting-no-order = Für diese Teile haben wir keine Reihenfolge ausgearbeitet. Fragen Sie uns, bevor Sie etwas lösen.
fitting-seen-outside = Sie schauen von außen am Gewinde entlang auf das Teil, in das es geschraubt wird.

fitting-way-up = nach oben
fitting-way-down = nach unten
fitting-way-left = nach links
fitting-way-right = nach rechts
fitting-way-to-you = zu Ihnen hin
fitting-way-from-you = von Ihnen weg
fitting-side-up = oben
fitting-side-down = unten
fitting-side-left = links
fitting-side-right = rechts
fitting-side-to-you = vorn
fitting-side-from-you = hinten
