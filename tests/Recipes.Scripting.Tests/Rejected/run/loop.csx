// R4003
while (true) { }
