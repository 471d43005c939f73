// R2002
int n = "wing".GetHashCode();
