// R2002 source
int thread = Environment.CurrentManagedThreadId;
