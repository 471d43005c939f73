// R2002
System.Runtime.InteropServices.NativeLibrary.Load("libc.so.6");
