"""What the server answers beside the pages: sign-in, uploads, pictures, and the gate before all of it.

question                                           file
all routes and layers together, the health answer  routes.py
who passes; what another site sends                gate.py
what every answer tells the browser                headers.py
signing in and out                                 sign_in.py, sign_in_page.py, sign_in.css
a try's photo in, and how far it is                uploads.py
photos from the gallery in                         gathering.py
photos, their pieces and annotated copies out      pictures.py
what is made from photos once and kept             derived.py
a body up to a limit                               bodies.py
phones in the same network                         lan
sign-in by a shop's own provider                   provider
the frame of our own pages                         frame.py
what a refusal of the service becomes              answers.py
"""
