// R2002
System.Runtime.InteropServices.GCHandle.Alloc(new int[1]);
