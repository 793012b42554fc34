; An outline with sharp corners, constant power. Run-up and run-out are dark.
G21 G90
M3 S0
G0 X4 Y10
G1 X8 F1200
X30 S300
Y30
X10 Y20
X10 Y28
X6 Y34
X2 Y40 S0
M5
M2
