// R2002
GC.TryStartNoGCRegion(1000);
