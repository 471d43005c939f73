// R2002
long n = GC.GetTotalMemory(false);
