; The dwell comes where the beam is off.
G21 G90
M3 S0
G0 X3 Y10
G1 X5 F1200
X20 S300
X35
X37 S0
G4 P0.5
M5
M2
