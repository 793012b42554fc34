; The file ends without M5, with S above 0 again.
G21 G90
M3 S0
G0 X3 Y10
G1 X5 F1200
X35 S300
X37 S0
S300
