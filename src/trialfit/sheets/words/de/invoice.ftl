# Die Rechnung.

invoice-kind = Rechnung
invoice-title = Rechnung { $number }
invoice-day = Rechnungsdatum
invoice-due = Bitte zahlen bis
invoice-pay-to = Wie zahlen
invoice-charged = Berechnet
invoice-as-quoted = wie angeboten am { $day }
invoice-took-longer = wie angeboten: es dauerte länger
invoice-by-time = nach Zeitaufwand
invoice-tax-number = Steuernummer
invoice-total = Summe
invoice-paid = Schon bezahlt
invoice-to-pay = Zu zahlen
invoice-to-give-back = Wir schulden Ihnen
