// R2002
System.Runtime.InteropServices.MemoryMarshal.AsMemory("abc".AsMemory()).Span[0] = 'z';
