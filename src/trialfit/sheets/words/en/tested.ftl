# The owner's record of what was tested under pressure.

tested-kind = test record
tested-title = What we tested for { $engine }
tested-working = Working pressure
tested-agreed = Water test, agreed
tested-agreed-with = { $pressure }, with { $person }
tested-day = day
tested-with = with
tested-pressure = pressure
tested-held = held for
tested-after = at the end
tested-bubbles = bubbles
tested-what = what was seen
tested-by = by
tested-water = water
tested-air = air, under water
tested-bubble = one of { $size } every { $time }
tested-none = not written down
tested-signed = Seen by the inspector, name and day:
tested-means = Water finds out whether a part stands the pressure. Air, at a low pressure, only finds leaks.
tested-day-alone = Each line says what was seen on that day, cold and off the engine. It does not say that the part will hold in steam, or for how long.
tested-certificate = This is not a certificate. What your boiler and all that is joined to it must stand is for your boiler inspector, your insurer and the rules where you live. Show them this sheet before you raise steam.
