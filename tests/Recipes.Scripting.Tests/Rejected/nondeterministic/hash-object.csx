// R2002
int n = new object().GetHashCode();
