// R2002
int n = (1, "wing").GetHashCode();
