# Was Angebot und Rechnung gemeinsam haben.

charge-what = was
charge-how-much = wie viel
charge-price-of-one = Einzelpreis
charge-amount = Betrag

charge-work = Arbeit
charge-work-by-time = Arbeit nach Zeitaufwand
charge-least = Ergänzt auf den Mindestpreis
charge-post = Versand: { $way }
charge-tube = Rohr
charge-round-bar = Rundstange
charge-hexagon-bar = Sechskantstange
charge-solder = Lot
charge-flux = Flussmittel
charge-up-to = bis { $mass }
charge-an-hour = { $price } je Stunde
charge-each = { $price } je Stück
charge-a-metre = { $price } je Meter
charge-a-kilogram = { $price } je Kilogramm
charge-a-gram = { $price } je Gramm

charge-draft = Entwurf, nicht versenden: Preise darin sind erfunden und nicht die der Werkstatt.
charge-net = Netto
charge-rounding = Jede Zeile ist kaufmännisch auf die kleinste Münze der Währung gerundet; die Steuer wird einmal gerechnet, auf die Summe.
