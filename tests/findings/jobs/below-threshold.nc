; S 60 on a diode that lights from 10 % of full duty.
G21 G90
M4 S0
G0 X5 Y10
G1 X7 F1200
X35 S60
X37 S0
M5
M2
