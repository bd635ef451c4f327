# What quote and invoice share.

charge-what = what
charge-how-much = how much
charge-price-of-one = price of one
charge-amount = amount

charge-work = Work
charge-work-by-time = Work, by the time taken
charge-least = Made up to the least charge
charge-post = Post: { $way }
charge-tube = Tube
charge-round-bar = Round bar
charge-hexagon-bar = Hexagon bar
charge-solder = solder
charge-flux = flux
charge-up-to = up to { $mass }
charge-an-hour = { $price } an hour
charge-each = { $price } each
charge-a-metre = { $price } a metre
charge-a-kilogram = { $price } a kilogram
charge-a-gram = { $price } a gram

charge-draft = Draft, not to be sent: prices in it are invented and not the workshop's own.
charge-net = Net
charge-rounding = Each line is rounded half up to the smallest coin of the currency; the tax is worked out once, on the sum.
