// R2002
int Cast() => System.Runtime.InteropServices.MemoryMarshal.Cast<byte, long>(new byte[8]).Length;
Cast();
