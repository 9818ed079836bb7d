"""Sign-in by the shop's own identity provider: OpenID Connect Core 1.0, authorization code flow with PKCE.

It opens a session for whoever linked the provider's account to his name here; no
account is made by it, and no signature is given by it (see `app.people.links`).

question                                              file
where the provider is, its answer held to the rules   client.py
the provider from the settings                        set_up.py
what waits between two pages of one browser           waiting.py
the routes                                            routes.py
the pages                                             pages.py
"""
