"""The workshop's own pages and the calls for other programs. Thin: it asks the store, and computes by `plan`.

`create.create_app(settings)` puts it together: the rack, which is the first page and has to be there at once, and
behind it `calls`, loaded when first needed. Calls are under `rest/`; pages are the `router` of `pages`, their files
under `static/` are served as /static/... Every request passes `guards.Guard`, which settles what a page has to do:

- no inline script or style, no import map in the page, nothing from elsewhere: the content policy forbids them;
- with every change send the header X-Csrf-Token: a page finds it in `request.state.csrf`, a script in /api/entry;
- on a network a browser that has not given the passcode is sent to /enter?next=..., which posts
  ``{"passcode": ...}`` to /api/entry;
- a change carries an Idempotency-Key of its own, and the same one when it is sent again: it is made once;
- every refusal is ``{"faults": [{what, got, wanted, remedy, file, line}], "conflict": null}``; code 409 with a
  `conflict` shows both versions.
"""
