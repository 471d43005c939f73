// R2002
int n = StringComparer.Ordinal.GetHashCode("wing");
