; zero k, written properly
(leaf of a herb marker)
G21 G90 G17
M4 S0
G0 X10 Y10
G1 X30 F1200 S400
G3 X30 Y20 I0 J5
G18
G2 X20 Z0 I-5 K0
G17
M5
M2
