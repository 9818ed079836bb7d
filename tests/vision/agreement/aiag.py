"""The worked example of AIAG, Measurement Systems Analysis, 4th edition: 3 people, 10 parts, 3 trials.

Data and results as transcribed in two public test suites that agree with each other; the
manual itself was not seen.
"""

import numpy as np

_ROWS = """
 0.29  0.41  0.64   0.08  0.25  0.07   0.04 -0.11 -0.15
-0.56 -0.68 -0.58  -0.47 -1.22 -0.68  -1.38 -1.13 -0.96
 1.34  1.17  1.27   1.19  0.94  1.34   0.88  1.09  0.67
 0.47  0.50  0.64   0.01  1.03  0.20   0.14  0.20  0.11
-0.80 -0.92 -0.84  -0.56 -1.20 -1.28  -1.46 -1.07 -1.45
 0.02 -0.11 -0.21  -0.20  0.22  0.06  -0.29 -0.67 -0.49
 0.59  0.75  0.66   0.47  0.55  0.83   0.02  0.01  0.21
-0.31 -0.20 -0.17  -0.63  0.08 -0.34  -0.46 -0.56 -0.49
 2.26  1.99  2.01   1.80  2.12  2.19   1.77  1.45  1.87
-1.36 -1.25 -1.31  -1.68 -1.62 -1.50  -1.49 -1.77 -2.16
"""
READINGS = np.array(_ROWS.split(), float).reshape(10, 3, 3).transpose(1, 0, 2)  # people, parts, trials
