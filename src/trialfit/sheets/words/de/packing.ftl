# Die Packliste.

packing-kind = Packliste
packing-title = Was in diesem Paket für { $engine } ist
packing-arrived = Ihr Paket kam an
packing-mass = Gewicht, verpackt
packing-same-picture = Mit im Bild: { $other }.
packing-mass-lacks = etwa { $mass }, und was nicht gewogen wurde: { $lacks }
packing-box = Schachtel und Polster
packing-pipe = Rohr { $name }

packing-new = Neu
packing-returned = Ihre Teile, zurück an Sie
packing-replaced = Ersetzt
packing-enclosed = Liegt auch im Paket
packing-not-back = Kommt nicht zurück
packing-transit = VOR DEM EINBAU ABNEHMEN
packing-transit-note = nur für die Reise
packing-transit-line = { $count } × { $what }, an: { $on }

packing-holds = Das hält { $holds }.
packing-one-way = Nur so herum einbauen: { $way }.
packing-unlike = Nicht vertauschen mit: { $other }.
packing-joined = Verbunden: { $joined }.
packing-inside = Steckt in: { $outer }.
packing-by = Ersetzt durch: { $by }.
packing-old-returned = Das alte liegt im Paket.
packing-old-scrapped = Das alte wurde verschrottet.
packing-old-kept = Das alte bleibt in der Werkstatt.
packing-scrapped = Verschrottet.
packing-kept = Bleibt in der Werkstatt.
packing-leave = Mit Ihrer Zustimmung: { $leave }.

packing-closed = Jedes Teil steht in dieser Liste: { $came ->
    [one] { $came } kam
   *[other] { $came } kamen
 } an, { $back ->
    [one] { $back } kommt
   *[other] { $back } kommen
 } in diesem Paket zurück.
packing-open = DIESE LISTE GEHT NICHT AUF.
packing-missing = { $what }: Es steht nirgends, was aus { $count } davon wird.
packing-twice = { $what }: angekommen { $came }, gehen hinaus { $out }.
packing-no-leave = { $what }: Es steht nirgends, dass der Besitzer Ja gesagt hat.
packing-not-whole = Noch hat niemand gesagt, dass alles aufgeschrieben ist, was ankam.
packing-tick = beim Auspacken abhaken; erst ins Polster schauen, dann wegwerfen
packing-wrong = Fehlt etwas, oder ist es krumm: nichts einbauen, ein Bild machen, so wie es liegt, und uns schreiben.
packing-posted = Die Post nimmt oft nicht mit: Spraydosen, Gas, Flussmittel und Säure, was leicht brennt, Kleber, Farbe, lose Lithiumzellen. Fragen Sie vorher, und halten Sie sich an die Regeln beider Länder. [üblich so, ohne Quelle]
