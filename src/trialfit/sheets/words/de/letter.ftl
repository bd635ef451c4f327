# Der Brief an den Besitzer: was er aufnehmen und messen soll, und wie.

letter-kind = Brief an den Besitzer
letter-title = Was wir von { $engine } noch brauchen
letter-foot = Die Abstände in der Skizze zählen von der Mitte der Armaturen.
letter-greeting = Guten Tag { $owner },
letter-thanks = Vielen Dank, { $name }
letter-cold = Nur an der kalten Maschine: Feuer aus, kein Dampf, Manometer auf null, Wasserhähne zu. Für eine Messung nichts lösen und nichts abbauen. Finger, Maß und Lampe weg von allem, was noch warm ist.

letter-enough = Ihre Bilder und Maße sind so gut, wie wir sie nutzen können. Nichts, worum wir noch bitten könnten, würde die Arbeit viel sicherer machen. Die Karte hinter diesem Brief ist für ein anderes Mal.
letter-first = Um Teile für eine Maschine zu machen, die nicht hier ist, brauchen wir Bilder und ein paar Maße. Drucken Sie die Karte hinter diesem Brief, legen Sie sie neben die Maschine und schicken Sie uns bitte dies:
letter-more = Ihre Bilder und Maße sagen uns, wo fast alles sitzt. Was hier folgt, macht uns sicherer, und mehr brauchen wir nicht.{ $gain } Lassen Sie weg, was Sie nicht sehen oder erreichen, und sagen Sie es uns.
letter-more-readings = Ihre Maße sagen uns, wo fast alles sitzt. Was hier folgt, macht uns sicherer, und mehr brauchen wir nicht.{ $gain } Lassen Sie weg, was Sie nicht sehen oder erreichen, und sagen Sie es uns.
letter-gain = Heute kennen wir die Länge des neuen Rohrs auf { $now } genau, mit allem zusammen auf { $then }.

letter-photographs = Bilder
letter-measurements = Maße
letter-how-pictures = Bewegen Sie nichts an der Maschine. Hauptlinse, kein Zoom, Telefon quer, alles scharf. Schicken Sie die Bilder so, wie das Telefon sie ablegt, per Mail oder als Datei: Ein Nachrichtendienst macht sie kleiner.
letter-how-card = Die Karte: Liegt sie noch genau dort, wo sie auf den ersten Bildern lag, dann lassen Sie sie liegen. Wurde sie bewegt, dann nehmen Sie sie ganz weg: An einem neuen Ort führt sie uns irre.
letter-how-readings = Schreiben Sie jedes Maß so auf, wie Sie es gelesen haben, in mm oder Zoll, und womit Sie gemessen haben. Messen Sie zweimal.
letter-how-spare = Die Karte hinter diesem Brief ist nur für den Tag da, an dem wir neu beginnen müssen: Für diese Bilder nehmen Sie sie nicht.

letter-from-above = Von oben: Sie stehen am unteren Rand dieser Seite
letter-how-high = Wie weit und wie hoch
letter-legend-black = Schwarz, { $letters }: Hier stehen Sie für das, worum wir bitten.
letter-legend-white = Weiß: Ihre Bilder bis jetzt ({ $taken }).
letter-sketch-engine = Maschine
letter-sketch-card = Karte
letter-sketch-bench = Tisch

letter-photograph = Ein Bild { $where }, { $high }, { $near }, { $card }{ $lamp }.
letter-one-more = Noch ein Bild { $where }, { $high }, { $near }, { $card }{ $lamp }.
letter-with-card = mit der Karte im Bild
letter-without-card = die Karte muss nicht ins Bild
letter-lamp = , mit einer Lampe auf { $points }
letter-near = aus etwa { $own } ({ $other })
letter-near-cm = { $number } cm
letter-near-inches = { $number } Zoll
letter-from-front = genau von vorn
letter-from-little-left = etwas von links, etwa { $degrees } Grad herum
letter-from-little-right = etwas von rechts, etwa { $degrees } Grad herum
letter-from-left = von links, etwa { $degrees } Grad herum
letter-from-right = von rechts, etwa { $degrees } Grad herum
letter-from-far-left = von links, etwa { $degrees } Grad herum, fast von der Seite
letter-from-far-right = von rechts, etwa { $degrees } Grad herum, fast von der Seite
letter-high-level = auf gleicher Höhe
letter-high-almost = fast auf gleicher Höhe
letter-high-little = etwas von oben (etwa { $degrees } Grad nach unten)
letter-high-well = deutlich von oben (etwa { $degrees } Grad nach unten)
letter-high-steep = von hoch oben, steil nach unten (etwa { $degrees } Grad)

letter-rule = Messen Sie von hier: { $one }, bis hier: { $other }. Mit einem Stahlmaß (besser ein Messschieber, wenn Sie einen haben), { $closely }.
letter-caliper = Messen Sie von hier: { $one }, bis hier: { $other }. Mit einem Messschieber, { $closely }.
letter-rule-again = Messen Sie noch einmal von hier: { $one }, bis hier: { $other }. Mit einem Stahlmaß (besser ein Messschieber, wenn Sie einen haben), { $closely }.
letter-caliper-again = Messen Sie noch einmal von hier: { $one }, bis hier: { $other }. Mit einem Messschieber, { $closely }.
letter-closely-rule = auf einen halben Millimeter oder besser
letter-closely-rule-inch = auf 1/64 Zoll oder besser
letter-closely-caliper = auf einen Zehntel Millimeter
letter-closely-caliper-inch = auf 0,002 Zoll
letter-place = Liegt die Karte noch, wo sie lag, dann messen Sie noch einmal diesen Ort: { $point }. Setzen Sie dabei alles neu an, sonst wie zuvor.
letter-check-lines = Messen Sie die Prüflinien auf der Karte, von Strich zu Strich, mit einem Stahlmaß, so genau Sie können. Es muss dieselbe Karte sein, die auf den Bildern liegt.

letter-why-length = Davon hängt die Länge des neuen Rohrs ab.
letter-why-bends = Davon hängen die Bögen des neuen Rohrs ab.
letter-why-part = Es sagt uns, wo ein Teil sitzt.
letter-why-all = Jeder Punkt, für den wir Teile machen, hängt davon ab.
letter-why-size = Alle Größen hängen daran, wie groß Ihr Drucker die Karte gemacht hat.
letter-and = { $one } und { $other }
