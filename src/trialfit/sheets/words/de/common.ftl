# Worte, die mehrere Blätter gemeinsam haben.
common-job = Auftrag
common-page = Seite
common-of = von
common-revision = Ausgabe { $number }
common-given = vom { $day }
common-workshop = die Werkstatt
common-for = Für
common-from = Von
common-engine = Maschine
common-cautions = VORSICHT
