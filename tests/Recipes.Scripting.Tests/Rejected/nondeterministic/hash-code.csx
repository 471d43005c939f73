// R2002
int n = HashCode.Combine(1, "wing");
