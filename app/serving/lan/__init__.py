"""Getting on from a phone in the same network: TLS, a code shown once, devices let in and shut out.

question                                            file
which addresses this machine has                    addresses.py
the server's certificate, made or given             certificate.py
what a server in the network is                     network.py
a QR code, for a terminal and for a page            qr.py
who comes without a registered device               gate.py
pairing, the list of devices, shutting out          devices.py
their pages as HTML                                 pages.py
"""
