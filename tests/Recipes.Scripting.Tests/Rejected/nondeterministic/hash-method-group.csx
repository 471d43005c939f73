// R2002
Func<int> hash = "wing".GetHashCode;
int n = hash();
