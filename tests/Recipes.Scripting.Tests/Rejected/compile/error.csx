// R2001
int beak = "orange";
