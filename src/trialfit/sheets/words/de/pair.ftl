# Das Blatt mit zwei Bildern in einem Maßstab: das Teil, wie es kam, und wie es zurückgeht.

pair-kind = vorher und nachher
pair-title = { $what }
pair-foot = Bilder zum Ansehen. Bitte kein Teil danach machen.
pair-true = Beide Bilder zeigen das Teil in wahrer Größe, { $scale }.
pair-larger = Beide Bilder zeigen das Teil im Maßstab { $scale }, also { $times } mal so groß, wie es ist.
pair-smaller = Beide Bilder zeigen das Teil im Maßstab { $scale }, also { $times } mal kleiner, als es ist.
pair-bar = Der Balken muss auf dem Papier { $long } lang sein. Wenn nicht, hat der Drucker die Größe verändert: bitte noch einmal mit 100 % drucken.

pair-came = Wie es kam
pair-goes = Wie es zurückgeht
pair-by-card = Größe nach der Karte, die dabei lag: auf { $percent } % genau.
pair-by-marks = Größe nach zwei Marken im Abstand von { $apart }: auf { $percent } % genau.
pair-by-point = Größe nach dem Abstand der Kamera: auf { $percent } % genau.
pair-deep = Was { $deep } näher an der Linse liegt, sieht hier { $percent } % zu groß aus. Was ebenso viel tiefer liegt, sieht zu klein aus.
pair-deep-unknown = Was näher an der Linse liegt, sieht hier zu groß aus. Was tiefer liegt, sieht zu klein aus.

pair-surely = „Auf … genau“ gilt 19 Mal von 20 (k = 2) und nur für das, was so tief liegt wie der Umriss des Teils.
