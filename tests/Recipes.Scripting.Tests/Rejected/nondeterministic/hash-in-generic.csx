// R2002
int Hash<T>(T one) => one.GetHashCode();
int n = Hash("wing");
