; title, written properly
(Herb marker: mint, 40x30)
(leaf of a herb marker)
G21 G90 G17
M4 S0
G0 X10 Y10
G1 X30 F1200 S400
Y20
M5
M2
