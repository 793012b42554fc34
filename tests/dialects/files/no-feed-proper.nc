; no feed, written properly
(leaf of a herb marker)
G21 G90 G17
M4 S0
G0 X10 Y10
G1 X30 S400 F1200
Y20
F1200
X10
F600
Y10
M5
M2
