// R2002
record Beak(string Name);
int n = new Beak("orange").GetHashCode();
