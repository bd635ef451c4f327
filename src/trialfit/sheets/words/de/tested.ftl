# Für den Besitzer: was unter Druck geprüft wurde.

tested-kind = Prüfblatt
tested-title = Was wir für { $engine } geprüft haben
tested-working = Betriebsdruck
tested-agreed = Wasserprobe, vereinbart
tested-agreed-with = { $pressure }, mit { $person }
tested-day = Tag
tested-with = womit
tested-pressure = Druck
tested-held = gehalten
tested-after = am Ende
tested-bubbles = Blasen
tested-what = was zu sehen war
tested-by = durch
tested-water = Wasser
tested-air = Luft, unter Wasser
tested-bubble = eine von { $size } alle { $time }
tested-none = nicht notiert
tested-signed = Der Prüfer war dabei, Name und Tag:
tested-means = Wasser zeigt, ob ein Teil den Druck aushält. Luft mit wenig Druck zeigt nur, wo es undicht ist.
tested-day-alone = Jede Zeile sagt, was an dem Tag zu sehen war, kalt und nicht an der Maschine. Sie sagt nicht, dass das Teil unter Dampf hält oder wie lange.
tested-certificate = Das ist keine Bescheinigung. Was Ihr Kessel und alles daran aushalten muss, sagen Ihr Kesselprüfer, Ihre Versicherung und die Regeln vor Ort. Zeigen Sie dort dieses Blatt, bevor Sie Dampf machen.
