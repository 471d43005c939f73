// R2002
GC.Collect();
