# Die Maßkarte, die der Besitzer druckt und neben seine Maschine legt.

card-title = Maßkarte { $size }
card-about = { $across } × { $up } Felder zu { $square } mm, { $dictionary }
card-do = Mit 100 % drucken (nicht „an Seite anpassen“), flach auf etwas Steifes kleben, beide Prüflinien mit einem Stahlmaß von Strich zu Strich messen und das Maß hier eintragen.
card-check-long = Prüflinie, lange Seite: soll { $length } sein; misst
card-check-short = Prüflinie, kurze Seite: soll { $length } sein; misst
card-cut = An den Marken ausschneiden.
