# Das Angebot.

quote-kind = Angebot
quote-title = Was die Arbeit an { $engine } kostet
quote-until = Gilt bis
quote-to-pay = Zu zahlen
quote-holds = Von fünf solchen Aufträgen dauern vier nicht länger, als hier gerechnet ist. Sie zahlen diesen Preis und nicht mehr. Soll es mehr werden, fragen wir Sie vorher, und nur mit Ihrem Ja geht es weiter.
quote-rests = { $jobs ->
    [one] Der Preis stützt sich auf die Zeiten von einem früheren Auftrag.
   *[other] Der Preis stützt sich auf die Zeiten von { $jobs } früheren Aufträgen.
}
quote-rests-on-guess = Der Preis stützt sich auf übliche Zeiten: Diese Werkstatt hat noch bei keinem Auftrag die Zeit genommen.
quote-not-priced = Nicht im Preis: { $what }.
quote-need = { $form }, { $size }, { $long } lang ({ $part })
quote-need-stuff = { $what }, { $grams } g
quote-post-not-priced = Der Versand ist noch nicht im Preis.

quote-choices = Reparieren oder neu machen?
quote-choice-repair = { $what }: Wir reparieren. In etwa { $fails } von hundert Fällen geht das schief; dann machen wir es neu. So oft, wie das vorkommt, ist es schon im Preis.
quote-choice-remake = { $what }: Das machen wir neu.
quote-choice-prices = Die Arbeit daran: repariert { $repair }, neu gemacht { $remake }, jeweils in vier von fünf Fällen.
quote-choice-strength = Das neue Teil gibt bei einem Drehmoment von { $after } nach; das alte gab bei { $before } nach.
