"""Own drawings, made as SVG text in the theme's colours.

how a strut is photographed, and the words beside     `strut_photo`
a leg and the card beside it                          `leg`
strokes, hatches, balloons                            `pen`
"""
