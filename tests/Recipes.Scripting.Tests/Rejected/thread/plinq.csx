// R2002
int n = Enumerable.Range(0, 9).AsParallel().Sum();
