// R2002
int n = 0;
System.Threading.Interlocked.Increment(ref n);
