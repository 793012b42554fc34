; exponent, written properly
(leaf of a herb marker)
G21 G90 G17
M4 S0
G0 X10 Y10
G91 G1 X20 Y0.000000000000012 F1200 S400
G90 Y20
M5
M2
