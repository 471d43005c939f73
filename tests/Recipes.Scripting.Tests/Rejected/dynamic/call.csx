// R2003
dynamic beak = 1;
beak.Open();
