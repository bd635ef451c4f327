# The invoice.

invoice-kind = invoice
invoice-title = Invoice { $number }
invoice-day = Date of the invoice
invoice-due = Please pay by
invoice-pay-to = How to pay
invoice-charged = Charged
invoice-as-quoted = as quoted on { $day }
invoice-took-longer = as quoted: it took longer
invoice-by-time = by the time taken
invoice-tax-number = Tax number
invoice-total = Total
invoice-paid = Paid already
invoice-to-pay = To pay
invoice-to-give-back = We owe you
