# The quote.

quote-kind = quote
quote-title = What the work on { $engine } costs
quote-until = Holds until
quote-to-pay = To pay
quote-holds = Four jobs in five like this one take no longer than this allows. You pay this price, and no more, unless we ask you first and you agree.
quote-rests = { $jobs ->
    [one] It rests on what one past job took.
   *[other] It rests on what { $jobs } past jobs took.
}
quote-rests-on-guess = It rests on usual times: this bench has timed no job yet.
quote-not-priced = Not in this price: { $what }.
quote-need = { $form }, { $size }, { $long } long ({ $part })
quote-need-stuff = { $what }, { $grams } g
quote-post-not-priced = Post is not in this price yet.

quote-choices = Repair, or make anew?
quote-choice-repair = { $what }: we repair it. It fails about { $fails } times in a hundred; then we make it anew, and that is in the price as often as it happens.
quote-choice-remake = { $what }: we make it anew.
quote-choice-prices = Work on it: repairing { $repair }, making anew { $remake }, each four times in five.
quote-choice-strength = The new one yields at { $after } of torque; the old one did at { $before }.
