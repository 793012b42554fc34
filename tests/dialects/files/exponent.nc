; told: 6 Y1.2e-14, a number with an exponent
(leaf of a herb marker)
G21 G90 G17
M4 S0
G0 X10 Y10
G91 G1 X20 Y1.2e-14 F1.2e3 S400
G90 Y2e+1
M5
M2
